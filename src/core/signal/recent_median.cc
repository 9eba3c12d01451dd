#include "core/signal/recent_median.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace masseter {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr std::size_t kReach = 16;  // values of the band beside the median

}  // namespace

RecentMedian::RecentMedian(std::size_t window) : values_(window) {
  assert(window % 2 == 1);
  band_.reserve(window);
  scratch_.reserve(window);
  Clear();
}

void RecentMedian::Clear() {
  next_ = 0;
  count_ = 0;
  band_.clear();
  low_ = -kInfinity;
  high_ = kInfinity;
  below_ = 0;
  wide_ = values_.size();
}

// How many values of the band lie below `value`. Counted without a branch.
std::size_t RecentMedian::PlaceOf(double value) const {
  std::size_t place = 0;
  for (const double v : band_) place += v < value ? 1U : 0U;
  return place;
}

void RecentMedian::Take(double value) {
  if (value < low_) {
    ++below_;
  } else if (value <= high_) {
    const auto at = static_cast<std::ptrdiff_t>(PlaceOf(value));
    band_.insert(band_.begin() + at, value);
  }
}

void RecentMedian::Drop(double value) {
  if (value < low_) {
    --below_;
  } else if (value <= high_) {
    const auto at = static_cast<std::ptrdiff_t>(PlaceOf(value));
    band_.erase(band_.begin() + at);
  }
}

void RecentMedian::SortAnew() {
  scratch_ = values_;
  const auto at = [this](std::size_t rank) {
    return scratch_.begin() + static_cast<std::ptrdiff_t>(rank);
  };
  const std::size_t middle = values_.size() / 2;
  const std::size_t first = middle - std::min(middle, kReach);
  const std::size_t last = std::min(middle + kReach, values_.size() - 1);
  std::nth_element(scratch_.begin(), at(first), scratch_.end());
  low_ = *at(first);
  std::nth_element(at(first), at(last), scratch_.end());
  high_ = *at(last);
  below_ = 0;
  band_.clear();
  for (const double v : values_) {
    if (v < low_) {
      ++below_;
    } else if (v <= high_) {
      band_.push_back(v);
    }
  }
  std::sort(band_.begin(), band_.end());
  wide_ = std::max<std::size_t>(4 * kReach, 2 * band_.size());
}

double RecentMedian::Middle() const {
  const double upper = band_[count_ / 2 - below_];
  if (count_ % 2 == 1) return upper;
  return 0.5 * upper + 0.5 * band_[count_ / 2 - below_ - 1];
}

double RecentMedian::Push(double value) {
  if (std::isnan(value)) value = kInfinity;
  const bool was_full = full();
  if (was_full) Drop(values_[next_]);
  values_[next_] = value;
  if (++next_ == values_.size()) next_ = 0;
  if (!was_full) ++count_;
  Take(value);
  // Until the window has filled, the band holds all of it.
  const std::size_t middle = count_ / 2;
  const bool inside = middle >= below_ && middle - below_ < band_.size();
  if (full() && (!was_full || !inside || band_.size() > wide_)) SortAnew();
  return Middle();
}

}  // namespace masseter
