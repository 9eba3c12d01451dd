#include "report/health_curves.h"

#include <fmt/format.h>

#include <algorithm>

#include "report/svg_axis.h"

namespace masseter::report {

std::vector<SecondsRange> ShareOut(std::size_t n, std::size_t most) {
  std::vector<SecondsRange> out;
  const std::size_t count = std::min(n, most);
  for (std::size_t i = 0; i < count; ++i) {
    out.push_back({i * n / count, (i + 1) * n / count});
  }
  return out;
}

double EndOf(const HealthPictures& p) {
  const double end =
      p.force.cell_s() * static_cast<double>(p.force.low().size());
  return end > 0.0 ? end : 1.0;
}

TimeFoot TimeFootOf(const HealthPictures& p) {
  if (EndOf(p) < 300.0) return {};
  return {60.0, "Time (min)"};
}

std::string_view HealthUnit(const HealthPictures& p) {
  return p.in_newtons ? "N" : "channels' unit";
}

std::string PathOf(const Points& points) {
  std::string d;
  for (const auto& [x, y] : points) {
    d += fmt::format("{}{} {}", d.empty() ? "M" : "L", Coordinate(x),
                     Coordinate(y));
  }
  if (points.size() == 1) d += "h0.5";
  return d;
}

Points HealthCurve(const HealthPictures& p, std::size_t most,
                   const ValueOf& value) {
  Points out;
  for (const SecondsRange& column : ShareOut(p.seconds.size(), most)) {
    double t = 0.0;
    double sum = 0.0;
    double n = 0.0;
    for (std::size_t i = column.first; i < column.end; ++i) {
      const auto v = value(p.seconds[i]);
      if (!v) continue;
      t += p.seconds[i].start_s + 0.5;
      sum += *v;
      n += 1.0;
    }
    if (n > 0.0) out.push_back({t / n, sum / n});
  }
  return out;
}

}  // namespace masseter::report
