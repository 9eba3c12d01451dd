#include "core/signal/clock_join.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace masseter {
namespace {

constexpr double kLeastSpanS = 10.0;

// A host's clock set forward looks like a delay, but one that stays: this many
// seconds on end lie above all before and within a second of each other. What
// a stalled link delivers late catches up meanwhile.
constexpr std::size_t kStepPoints = 10;
constexpr double kSteadyS = 1.0;

// Whether the last kStepPoints of `points` stand a step above the one before.
template <class Points>
bool EndsInStep(const Points& points, double step_s) {
  if (points.size() <= kStepPoints) return false;
  const std::size_t first = points.size() - kStepPoints;
  const double level = points[first - 1].difference_s;
  double low = points[first].difference_s;
  double high = low;
  for (std::size_t i = first; i < points.size(); ++i) {
    low = std::min(low, points[i].difference_s);
    high = std::max(high, points[i].difference_s);
  }
  return low - level > step_s && high - low < kSteadyS;
}

}  // namespace

void ClockJoin::Restart() { points_.clear(); }

void ClockJoin::Add(double device_s, double host_s) {
  const Point point{device_s, host_s - device_s};
  if (!points_.empty()) {
    const Point& last = points_.back();
    const double step = point.difference_s - last.difference_s;
    // A late message only ever looks as if the host's clock had gone forward:
    // that may be a delay, a step back may not.
    if (device_s < last.device_s || step < -kStepS || step > 60.0) Restart();
  }
  const bool same_second =
      !points_.empty() &&
      std::floor(points_.back().device_s) == std::floor(device_s);
  if (!same_second) {
    if (EndsInStep(points_, kStepS)) {
      points_.erase(points_.begin(),
                    points_.end() - static_cast<std::ptrdiff_t>(kStepPoints));
    }
    points_.push_back(point);
    if (points_.size() > kSeconds) points_.pop_front();
  } else if (point.difference_s < points_.back().difference_s) {
    points_.back() = point;
  }
}

std::optional<JoinedClocks> ClockJoin::Estimate() const {
  if (points_.size() < 2 ||
      points_.back().device_s - points_.front().device_s < kLeastSpanS) {
    return std::nullopt;
  }
  // Differences from the first keep the digits of a clock since 1970.
  const Point origin = points_.front();
  std::vector<Point> hull;
  double mean = 0.0;
  for (const Point& p : points_) {
    const Point q{p.device_s - origin.device_s,
                  p.difference_s - origin.difference_s};
    mean += q.device_s / static_cast<double>(points_.size());
    while (hull.size() >= 2) {
      const Point& a = hull[hull.size() - 2];
      const Point& b = hull.back();
      const double turn =
          (b.device_s - a.device_s) * (q.difference_s - a.difference_s) -
          (b.difference_s - a.difference_s) * (q.device_s - a.device_s);
      if (turn > 0.0) break;
      hull.pop_back();
    }
    hull.push_back(q);
  }
  std::size_t right = 1;
  while (right + 1 < hull.size() && hull[right].device_s < mean) ++right;
  const Point& a = hull[right - 1];
  const Point& b = hull[right];
  const double slope =
      (b.difference_s - a.difference_s) / (b.device_s - a.device_s);
  JoinedClocks joined;
  joined.drift_ppm = 1e6 * slope;
  joined.at_s = origin.device_s + mean;
  joined.offset_s =
      origin.difference_s + a.difference_s + slope * (mean - a.device_s);
  std::vector<double> above;
  for (const Point& p : points_) {
    above.push_back(p.device_s + p.difference_s - joined.HostAt(p.device_s));
  }
  const auto middle =
      above.begin() + static_cast<std::ptrdiff_t>(above.size() / 2);
  std::nth_element(above.begin(), middle, above.end());
  joined.spread_s = *middle;
  return joined;
}

}  // namespace masseter
