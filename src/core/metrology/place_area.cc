#include "core/metrology/place_area.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/metrology/calibration.h"

namespace masseter {
namespace {

// Twice the signed area of the triangle a b c.
double Turn(const Place& a, const Place& b, const Place& c) {
  return (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) -
         (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm);
}

void AddToChain(std::vector<Place>& chain, std::size_t base, Place point) {
  while (chain.size() >= base + 2 &&
         Turn(chain[chain.size() - 2], chain.back(), point) <= 0.0) {
    chain.pop_back();
  }
  chain.push_back(point);
}

double DistanceToSegment(Place a, Place b, Place p) {
  const double dx = b.x_mm - a.x_mm;
  const double dy = b.y_mm - a.y_mm;
  const double length2 = dx * dx + dy * dy;
  double t = 0.0;
  if (length2 > 0.0) {
    t = ((p.x_mm - a.x_mm) * dx + (p.y_mm - a.y_mm) * dy) / length2;
    t = std::clamp(t, 0.0, 1.0);
  }
  return std::hypot(p.x_mm - a.x_mm - t * dx, p.y_mm - a.y_mm - t * dy);
}

}  // namespace

std::vector<Place> ConvexHull(std::vector<Place> points) {
  std::sort(points.begin(), points.end(), [](const Place& a, const Place& b) {
    return a.x_mm != b.x_mm ? a.x_mm < b.x_mm : a.y_mm < b.y_mm;
  });
  points.erase(std::unique(points.begin(), points.end()), points.end());
  if (points.size() < 3) return points;
  std::vector<Place> hull;
  for (const Place& p : points) AddToChain(hull, 0, p);
  const std::size_t base = hull.size() - 1;
  for (std::size_t i = points.size() - 1; i-- > 0;) {
    AddToChain(hull, base, points[i]);
  }
  hull.pop_back();
  return hull;
}

double DistanceToHull(const std::vector<Place>& hull, Place place) {
  if (hull.empty()) return std::numeric_limits<double>::infinity();
  bool inside = hull.size() >= 3;
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < hull.size(); ++i) {
    const Place& a = hull[i];
    const Place& b = hull[(i + 1) % hull.size()];
    if (Turn(a, b, place) < 0.0) inside = false;
    nearest = std::min(nearest, DistanceToSegment(a, b, place));
  }
  return inside ? 0.0 : nearest;
}

bool InArea(const std::vector<Place>& area, Place place, double margin_mm) {
  return DistanceToHull(area, place) <= margin_mm;
}

}  // namespace masseter
