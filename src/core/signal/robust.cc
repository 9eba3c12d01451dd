#include "core/signal/robust.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace masseter {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

double MiddleOf(double a, double b, double c) {
  return std::max(std::min(a, b), std::min(std::max(a, b), c));
}

// Brings what `first` says yes to to the front; returns how many. No branch
// depends on the values: noise makes the processor guess every other one of
// those wrongly.
template <class First>
std::size_t Part(std::span<double> values, First first) {
  std::size_t count = 0;
  for (double& value : values) {
    const double v = value;
    value = values[count];
    values[count] = v;
    count += static_cast<std::size_t>(first(v));
  }
  return count;
}

// What std::nth_element does. Hoare's way, with values equal to the pivot set
// apart; should the pivots be bad, the library's.
void BringToItsPlace(std::span<double> values, std::size_t place) {
  for (int rounds = 0; rounds < 24 && values.size() > 8; ++rounds) {
    const double pivot =
        MiddleOf(values.front(), values[values.size() / 2], values.back());
    const std::size_t below =
        Part(values, [pivot](double v) { return v < pivot; });
    if (place < below) {
      values = values.first(below);
      continue;
    }
    values = values.subspan(below);
    place -= below;
    const std::size_t equal =
        Part(values, [pivot](double v) { return v <= pivot; });
    if (place < equal) return;
    values = values.subspan(equal);
    place -= equal;
  }
  std::nth_element(values.begin(),
                   values.begin() + static_cast<std::ptrdiff_t>(place),
                   values.end());
}

}  // namespace

double MedianInPlace(std::span<double> values) {
  if (values.empty()) return kNan;
  const std::size_t middle = values.size() / 2;
  BringToItsPlace(values, middle);
  if (values.size() % 2 == 1) return values[middle];
  const double below = *std::max_element(
      values.begin(), values.begin() + static_cast<std::ptrdiff_t>(middle));
  return 0.5 * below + 0.5 * values[middle];
}

double Median(std::span<const double> values) {
  std::vector<double> copy(values.begin(), values.end());
  return MedianInPlace(copy);
}

double MadSdInPlace(std::span<double> values) {
  const double median = MedianInPlace(values);
  for (double& v : values) v = std::fabs(v - median);
  return kMadToSd * MedianInPlace(values);
}

double MadSd(std::span<const double> values) {
  std::vector<double> copy(values.begin(), values.end());
  return MadSdInPlace(copy);
}

RunningMedian::RunningMedian(std::size_t window)
    : values_(std::max<std::size_t>(window, 1)),
      positions_(values_.size()),
      slots_(values_.size()) {
  Clear();
}

void RunningMedian::Clear() {
  next_ = 0;
  count_ = 0;
  // Slots fill the median first, then upper and lower in turn.
  for (std::size_t slot = 0; slot < values_.size(); ++slot) {
    const auto half = static_cast<std::ptrdiff_t>((slot + 1) / 2);
    positions_[slot] = slot % 2 == 1 ? -half : half;
    Slot(positions_[slot]) = static_cast<std::uint32_t>(slot);
  }
}

double RunningMedian::At(std::ptrdiff_t position) const {
  const auto middle = static_cast<std::ptrdiff_t>(slots_.size() / 2);
  return values_[slots_[static_cast<std::size_t>(position + middle)]];
}

std::uint32_t& RunningMedian::Slot(std::ptrdiff_t position) {
  const auto middle = static_cast<std::ptrdiff_t>(slots_.size() / 2);
  return slots_[static_cast<std::size_t>(position + middle)];
}

std::ptrdiff_t RunningMedian::UpperCount() const {
  return count_ == 0 ? 0 : static_cast<std::ptrdiff_t>((count_ - 1) / 2);
}

std::ptrdiff_t RunningMedian::LowerCount() const {
  return static_cast<std::ptrdiff_t>(count_ / 2);
}

bool RunningMedian::SwapIfLess(std::ptrdiff_t i, std::ptrdiff_t j) {
  if (!(At(i) < At(j))) return false;
  std::swap(Slot(i), Slot(j));
  positions_[Slot(i)] = i;
  positions_[Slot(j)] = j;
  return true;
}

// Position i has become larger: let smaller children up.
void RunningMedian::SinkUpper(std::ptrdiff_t i) {
  for (std::ptrdiff_t child = 2 * i; child <= UpperCount(); child *= 2) {
    if (child > 1 && child < UpperCount() && At(child + 1) < At(child)) {
      ++child;
    }
    if (!SwapIfLess(child, child / 2)) return;
  }
}

void RunningMedian::SinkLower(std::ptrdiff_t i) {
  for (std::ptrdiff_t child = 2 * i; child >= -LowerCount(); child *= 2) {
    if (child < -1 && child > -LowerCount() && At(child) < At(child - 1)) {
      --child;
    }
    if (!SwapIfLess(child / 2, child)) return;
  }
}

// Position i has become smaller: rises toward the median; true if it becomes
// the median.
bool RunningMedian::RiseUpper(std::ptrdiff_t i) {
  while (i > 0 && SwapIfLess(i, i / 2)) i /= 2;
  return i == 0;
}

bool RunningMedian::RiseLower(std::ptrdiff_t i) {
  while (i < 0 && SwapIfLess(i / 2, i)) i /= 2;
  return i == 0;
}

double RunningMedian::Push(double value) {
  const bool fresh = count_ < values_.size();
  const std::size_t slot = next_;
  const std::ptrdiff_t p = positions_[slot];
  const double old = values_[slot];
  values_[slot] = value;
  next_ = (next_ + 1) % values_.size();
  if (fresh) ++count_;
  // The heap roots 1 and -1 have the median, 0, as their parent.
  if (p > 0) {
    if (!fresh && old < value) {
      SinkUpper(p);
    } else if (RiseUpper(p) && LowerCount() > 0 && SwapIfLess(0, -1)) {
      SinkLower(-1);
    }
  } else if (p < 0) {
    if (!fresh && value < old) {
      SinkLower(p);
    } else if (RiseLower(p) && UpperCount() > 0 && SwapIfLess(1, 0)) {
      SinkUpper(1);
    }
  } else {
    if (LowerCount() > 0 && SwapIfLess(0, -1)) SinkLower(-1);
    if (UpperCount() > 0 && SwapIfLess(1, 0)) SinkUpper(1);
  }
  return this->value();
}

double RunningMedian::value() const {
  if (count_ == 0) return kNan;
  if (count_ % 2 == 1) return At(0);
  return 0.5 * At(0) + 0.5 * At(-1);
}

void CentredRunningMedian(std::span<const double> values, std::size_t window,
                          std::span<double> out) {
  const std::size_t n = values.size();
  const std::size_t half = std::min(window / 2, n);
  std::vector<double> copy;
  if (values.data() == out.data()) {
    copy.assign(values.begin(), values.end());
    values = copy;
  }
  RunningMedian median(2 * half + 1);
  for (std::size_t i = 0; i < n; ++i) {
    const double m = median.Push(values[i]);
    if (i >= half) out[i - half] = m;
  }
  // The cut-off windows at the far end grow when walked from that end.
  median.Clear();
  for (std::size_t k = 0; k < std::min(n, 2 * half); ++k) {
    const double m = median.Push(values[n - 1 - k]);
    if (k >= half) out[n - 1 - (k - half)] = m;
  }
  if (n < 2 * half) {  // windows cut off at both ends are the whole record
    const double whole = Median(values);
    for (std::size_t c = n - half; c < half; ++c) out[c] = whole;
  }
}

std::vector<bool> HampelOutliers(std::span<const double> values,
                                 std::size_t half_window, double limit,
                                 double floor) {
  const std::size_t n = values.size();
  std::vector<bool> marks(n, false);
  std::vector<double> window;
  window.reserve(std::min(n, 2 * half_window + 1));
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t from = i < half_window ? 0 : i - half_window;
    const std::size_t to = std::min(n, i + half_window + 1);
    window.assign(values.begin() + static_cast<std::ptrdiff_t>(from),
                  values.begin() + static_cast<std::ptrdiff_t>(to));
    const double median = MedianInPlace(window);
    const double scale = std::fmax(floor, MadSdInPlace(window));
    marks[i] = scale > 0.0 && std::fabs(values[i] - median) > limit * scale;
  }
  return marks;
}

}  // namespace masseter
