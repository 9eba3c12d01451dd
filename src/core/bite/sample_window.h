// The samples a bite may still need: a growing run of rows whose front is let
// go from time to time.
#ifndef MASSETER_CORE_BITE_SAMPLE_WINDOW_H_
#define MASSETER_CORE_BITE_SAMPLE_WINDOW_H_

#include <array>
#include <cstdint>
#include <span>

#include "core/signal/sample_block.h"

namespace masseter {

class SampleWindow {
 public:
  // Where Timeline appends new samples.
  SampleBlock& block() { return block_; }

  std::uint64_t first_row() const { return block_.first_row; }
  std::uint64_t end_row() const { return block_.first_row + block_.size(); }

  double Time(std::uint64_t row) const { return block_.t_s[Index(row)]; }
  Break Before(std::uint64_t row) const { return block_.before[Index(row)]; }
  double Signal(std::size_t channel, std::uint64_t row) const {
    return block_.channel[channel][Index(row)];
  }
  // The channel's samples of the rows [first, end).
  std::span<const double> Signals(std::size_t channel, std::uint64_t first,
                                  std::uint64_t end) const {
    return std::span(block_.channel[channel])
        .subspan(Index(first), static_cast<std::size_t>(end - first));
  }
  // Only for a sample that cannot be true (core/bite/despike.h).
  void SetSignal(std::size_t channel, std::uint64_t row, double value) {
    block_.channel[channel][Index(row)] = value;
  }
  bool has_supply() const { return block_.supply_mv.size() == block_.size(); }
  double Supply(std::uint64_t row) const {
    return block_.supply_mv[Index(row)];
  }
  // Whether the device tells the sleeve's acceleration, on one axis at least.
  bool has_acceleration() const;
  // g; 0 on axes that do not exist.
  std::array<double, 3> AccelerationAt(std::uint64_t row) const;
  std::size_t channels() const { return block_.channel.size(); }

  // Rows before `row` are no longer needed. Memory is freed once as many rows
  // can go as stay, so that each row is moved at most once on average.
  void Release(std::uint64_t row);

 private:
  std::size_t Index(std::uint64_t row) const {
    return static_cast<std::size_t>(row - block_.first_row);
  }
  SampleBlock block_;
};

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_SAMPLE_WINDOW_H_
