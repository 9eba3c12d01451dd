// Location and scale that a few wild values do not move: median, median
// absolute deviation, Hampel's test for spikes, running medians. Values must
// be finite; nothing here sorts a NaN. Pure functions and one value class;
// safe from several threads on different data.
#ifndef MASSETER_CORE_SIGNAL_ROBUST_H_
#define MASSETER_CORE_SIGNAL_ROBUST_H_

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace masseter {

// MAD to standard deviation for normal data: 1 / Phi^-1(3/4).
inline constexpr double kMadToSd = 1.482602218505602;

// The middle value, or the mean of the two middle ones; NaN when empty.
// `Median` copies (allocates once); `MedianInPlace` reorders and does not
// allocate. O(n).
double Median(std::span<const double> values);
double MedianInPlace(std::span<double> values);

// Standard deviation by the median absolute deviation from the median,
// kMadToSd median|x - median(x)|; NaN when empty. The in-place form leaves
// `values` without meaning and does not allocate.
double MadSd(std::span<const double> values);
double MadSdInPlace(std::span<double> values);

// The median of the last `window` values, value by value. O(log window) a
// value; allocates only in the constructor. Before the window has filled, the
// median of what there is.
class RunningMedian {
 public:
  explicit RunningMedian(std::size_t window);  // >= 1

  // Takes in a value, drops the oldest when full; the median of the window.
  double Push(double value);
  double value() const;  // NaN before the first Push
  std::size_t size() const { return count_; }
  void Clear();

 private:
  // Values sit in a ring of slots. A max-heap of the lower half and a min-heap
  // of the upper half hold slot numbers, at positions -1, -2, ... and 1, 2,
  // ... about the median at position 0 (Hardle and Steiger, Appl. Stat. 44
  // (1995) 258).
  double At(std::ptrdiff_t position) const;
  std::uint32_t& Slot(std::ptrdiff_t position);
  bool SwapIfLess(std::ptrdiff_t i, std::ptrdiff_t j);
  void SinkUpper(std::ptrdiff_t i);
  void SinkLower(std::ptrdiff_t i);
  bool RiseUpper(std::ptrdiff_t i);
  bool RiseLower(std::ptrdiff_t i);
  std::ptrdiff_t UpperCount() const;
  std::ptrdiff_t LowerCount() const;

  std::vector<double> values_;             // by slot
  std::vector<std::ptrdiff_t> positions_;  // by slot
  std::vector<std::uint32_t> slots_;       // by position, from the lowest
  std::size_t next_ = 0;                   // slot of the oldest value
  std::size_t count_ = 0;
};

// out[i] = median of values[i-h .. i+h], h = window / 2, the window cut off at
// the ends. `window` >= 1 (an even one counts as the next odd); `out` has the
// size of `values` and may be the same memory. O(n log window); allocates the
// window and, where out is values, n doubles.
void CentredRunningMedian(std::span<const double> values, std::size_t window,
                          std::span<double> out);

// Hampel's test: marks i when |x[i] - m| > limit s with m the median and s the
// MadSd of values[i-h .. i+h] cut off at the ends. A window that stands still
// (s = 0) marks nothing unless `floor`, the least scale believed, is positive.
// O(n window).
std::vector<bool> HampelOutliers(std::span<const double> values,
                                 std::size_t half_window, double limit = 3.0,
                                 double floor = 0.0);

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_ROBUST_H_
