// Gathers samples row by row into raw blocks, column by column.
#ifndef MASSETER_DEVICE_BLOCK_BUILDER_H_
#define MASSETER_DEVICE_BLOCK_BUILDER_H_

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "core/rig/rig.h"
#include "core/signal/raw_block.h"
#include "device/number_text.h"

namespace masseter {

// A column stays one of integers until a decimal comes; then the integers
// before it in the same block become doubles. Memory: `block_rows` rows.
class BlockBuilder {
 public:
  explicit BlockBuilder(std::size_t block_rows) : block_rows_(block_rows) {}

  // The columns of the rows to come; only while empty().
  void SetLayout(std::vector<ColumnRole> layout);
  const std::vector<ColumnRole>& layout() const { return layout_; }

  // One value a column of the layout. Must not be called when full().
  void Add(std::span<const NumberText> row);

  // For rows of integers alone, written in place: how many there is room for,
  // 0 when a column of this block holds decimals; where the next value of a
  // column goes; and that `rows` were written behind those of before.
  std::size_t IntegerRoom() const;
  std::int64_t* NextInteger(std::size_t column) {
    return columns_[column].integers.data() + rows_;
  }
  void Written(std::size_t rows) { rows_ += rows; }

  bool empty() const { return rows_ == 0; }
  bool full() const { return rows_ == block_rows_; }

  // The rows so far, and starts anew with the same layout.
  RawBlock Take(double host_time_s);

 private:
  struct Column {
    bool decimal = false;
    // Room for a whole block; the rows so far hold values.
    std::vector<std::int64_t> integers;
    std::vector<double> reals;  // once it was needed
  };

  std::size_t block_rows_;
  std::size_t rows_ = 0;
  std::vector<ColumnRole> layout_;
  std::vector<Column> columns_;
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_BLOCK_BUILDER_H_
