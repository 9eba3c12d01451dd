// A run of lines as the device printed them, column by column, nothing
// computed. This is what the logbook keeps, bit for bit, and what every later
// figure is derived from.
#ifndef MASSETER_CORE_SIGNAL_RAW_BLOCK_H_
#define MASSETER_CORE_SIGNAL_RAW_BLOCK_H_

#include <cstddef>
#include <cstdint>
#include <variant>
#include <vector>

#include "core/rig/rig.h"

namespace masseter {

// The values of one column: integers as printed, or, as soon as one value of
// the block has a decimal point or exponent, doubles for the whole block.
using RawColumn = std::variant<std::vector<std::int64_t>, std::vector<double>>;

inline std::size_t RawColumnSize(const RawColumn& column) {
  return std::visit([](const auto& v) { return v.size(); }, column);
}

// Equal-length columns in the order of `layout`. Columns with Role::kSkip are
// not kept. Invariant: columns.size() == layout.size(), and every column has
// `rows` values.
struct RawBlock {
  std::vector<ColumnRole> layout;
  std::vector<RawColumn> columns;
  std::size_t rows = 0;
  // Host clock at the arrival of the block's last byte, seconds since the
  // Unix epoch; 0 when it was read from a file.
  double host_time_s = 0.0;

  bool operator==(const RawBlock&) const = default;
};

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_RAW_BLOCK_H_
