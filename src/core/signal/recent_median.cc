#include "core/signal/recent_median.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <functional>
#include <limits>

namespace masseter {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr std::size_t kReach = 12;  // values of the band beside the median

std::ptrdiff_t Offset(std::size_t n) { return static_cast<std::ptrdiff_t>(n); }

// Those of `values` that `wanted` says yes to. Every value is written and
// nearly every other one overwritten: that costs less than to guess which.
template <class Wanted>
void Pick(const std::vector<double>& values, Wanted wanted,
          std::vector<double>& out) {
  out.resize(values.size());
  std::size_t count = 0;
  for (const double v : values) {
    out[count] = v;
    count += static_cast<std::size_t>(wanted(v));
  }
  out.resize(count);
}

// The first kReach values of `from` in the order of `before`, and those equal
// to the last of them; in that order, at the front of `from`. Returns how many.
template <class Before>
std::size_t FirstOf(std::vector<double>& from, Before before) {
  if (from.size() > kReach) {
    std::nth_element(from.begin(), from.begin() + Offset(kReach - 1),
                     from.end(), before);
    const double last = from[kReach - 1];
    const auto end = std::partition(from.begin() + Offset(kReach), from.end(),
                                    [&](double v) { return v == last; });
    from.erase(end, from.end());
  }
  std::sort(from.begin(), from.end(), before);
  return from.size();
}

}  // namespace

RecentMedian::RecentMedian(std::size_t window) : values_(window) {
  assert(window % 2 == 1);
  band_.reserve(window + 1);
  beyond_.reserve(window);
  Clear();
}

void RecentMedian::Clear() {
  next_ = 0;
  count_ = 0;
  band_.clear();
  low_ = -kInfinity;
  high_ = kInfinity;
  below_ = 0;
  wide_ = 0;
}

// How many values of the band lie below `value`. Counted without a branch,
// which noise would make the processor guess wrongly.
std::size_t RecentMedian::PlaceOf(double value) const {
  std::size_t place = 0;
  for (const double v : band_) place += v < value ? 1U : 0U;
  return place;
}

// Until the window has filled, the band holds all of it.
double RecentMedian::Grow(double value) {
  values_[count_++] = value;
  band_.insert(band_.begin() + Offset(PlaceOf(value)), value);
  const double upper = band_[count_ / 2];
  if (count_ % 2 == 0) return 0.5 * upper + 0.5 * band_[count_ / 2 - 1];
  if (count_ == values_.size()) Trim();
  return upper;
}

// The median is the highest value below the band.
void RecentMedian::ReachDown() {
  Pick(
      values_, [this](double v) { return v < low_; }, beyond_);
  below_ -= FirstOf(beyond_, std::greater<>());
  low_ = beyond_.back();
  band_.insert(band_.begin(), beyond_.rbegin(), beyond_.rend());
  Trim();
}

// The median is the lowest value above the band.
void RecentMedian::ReachUp() {
  Pick(
      values_, [this](double v) { return v > high_; }, beyond_);
  FirstOf(beyond_, std::less<>());
  high_ = beyond_.back();
  band_.insert(band_.end(), beyond_.begin(), beyond_.end());
  Trim();
}

// Leaves kReach values on either side of the median, and what equals the
// outermost of them.
void RecentMedian::Trim() {
  const std::size_t middle = values_.size() / 2 - below_;
  std::size_t last = std::min(middle + kReach, band_.size() - 1);
  while (last + 1 < band_.size() && band_[last + 1] == band_[last]) ++last;
  std::size_t first = middle - std::min(middle, kReach);
  while (first > 0 && band_[first - 1] == band_[first]) --first;
  high_ = band_[last];
  low_ = band_[first];
  band_.erase(band_.begin() + Offset(last + 1), band_.end());
  band_.erase(band_.begin(), band_.begin() + Offset(first));
  below_ += first;
  wide_ = std::max<std::size_t>(4 * kReach, 2 * band_.size());
}

double RecentMedian::Push(double value) {
  if (std::isnan(value)) value = kInfinity;
  if (count_ < values_.size()) return Grow(value);
  const double old = values_[next_];
  values_[next_] = value;
  if (++next_ == values_.size()) next_ = 0;
  below_ += static_cast<std::size_t>(value < low_);
  below_ -= static_cast<std::size_t>(old < low_);
  if (InBand(old) | InBand(value)) {
    if (InBand(old)) band_.erase(band_.begin() + Offset(PlaceOf(old)));
    if (InBand(value)) {
      band_.insert(band_.begin() + Offset(PlaceOf(value)), value);
    }
  }
  const std::size_t middle = values_.size() / 2;
  if (middle < below_) {
    ReachDown();
  } else if (middle - below_ >= band_.size()) {
    ReachUp();
  } else if (band_.size() > wide_) {
    Trim();
  }
  return band_[middle - below_];
}

}  // namespace masseter
