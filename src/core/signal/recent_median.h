// The median of the last values of a signal about a level, value by value.
#ifndef MASSETER_CORE_SIGNAL_RECENT_MEDIAN_H_
#define MASSETER_CORE_SIGNAL_RECENT_MEDIAN_H_

#include <cstddef>
#include <vector>

namespace masseter {

// What RunningMedian (core/signal/robust.h) computes, to the bit, at less than
// half its price for a few hundred values that scatter about a level: only
// those near the median, the band, are kept in order; of the others it is known
// how many lie below. When the median walks out of the band, the next values on
// that side are looked up in the window.
//
// A value that is no number counts as above all others. Allocates only in the
// constructor. Thread rule: one thread at a time.
class RecentMedian {
 public:
  explicit RecentMedian(std::size_t window);  // odd, >= 1

  // Takes in a value, drops the oldest when full; the median of the window,
  // before it has filled that of what there is.
  double Push(double value);
  void Clear();

 private:
  bool InBand(double value) const { return (value >= low_) & (value <= high_); }
  std::size_t PlaceOf(double value) const;
  double Grow(double value);
  void ReachDown();
  void ReachUp();
  void Trim();

  std::vector<double> values_;  // a ring
  std::size_t next_ = 0;        // slot of the oldest value once full
  std::size_t count_ = 0;
  // All values of the window in [low_, high_], in order; below_ lie under it.
  std::vector<double> band_;
  double low_ = 0.0;
  double high_ = 0.0;
  std::size_t below_ = 0;
  std::size_t wide_ = 0;        // a band of more values is trimmed
  std::vector<double> beyond_;  // scratch
};

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_RECENT_MEDIAN_H_
