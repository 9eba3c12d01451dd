// The median of the last values of a steady signal, value by value.
#ifndef MASSETER_CORE_SIGNAL_RECENT_MEDIAN_H_
#define MASSETER_CORE_SIGNAL_RECENT_MEDIAN_H_

#include <cstddef>
#include <vector>

namespace masseter {

// What RunningMedian (core/signal/robust.h) computes, to the bit, at a third of
// its price for a few hundred values that scatter about a level: only those
// near the median are kept in order. A value that lies outside of their band
// is counted, no more. When the median leaves the band, a new one is sorted out
// of the window: about every hundredth value of white noise, at worst every
// sixteenth.
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
  bool full() const { return count_ == values_.size(); }
  std::size_t PlaceOf(double value) const;
  void Take(double value);
  void Drop(double value);
  void SortAnew();
  double Middle() const;

  std::vector<double> values_;  // a ring
  std::size_t next_ = 0;        // slot of the oldest value once full
  std::size_t count_ = 0;
  // All values of the window in [low_, high_], in order; below_ lie under it.
  std::vector<double> band_;
  double low_ = 0.0;
  double high_ = 0.0;
  std::size_t below_ = 0;
  std::size_t wide_ = 0;  // a band of more values is sorted anew
  std::vector<double> scratch_;
};

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_RECENT_MEDIAN_H_
