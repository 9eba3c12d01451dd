// A capture's seconds as curves: thinned to what a picture can show.
#ifndef MASSETER_REPORT_HEALTH_CURVES_H_
#define MASSETER_REPORT_HEALTH_CURVES_H_

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/trust/health_pictures.h"

namespace masseter::report {

// Seconds [first, end) that share one column of a picture.
struct SecondsRange {
  std::size_t first = 0;
  std::size_t end = 0;
};
// `n` seconds shared out among at most `most` columns, none empty.
std::vector<SecondsRange> ShareOut(std::size_t n, std::size_t most);

// Where the capture ends, in seconds; 1 without a sample.
double EndOf(const HealthPictures& p);

// Time along the foot of a picture: seconds, minutes from five on.
struct TimeFoot {
  double unit_s = 1.0;
  std::string_view title = "Time (s)";
};
TimeFoot TimeFootOf(const HealthPictures& p);

// "N", or "channels' unit" without a calibration to newtons.
std::string_view HealthUnit(const HealthPictures& p);

// A curve over time in seconds: in each column the mean of what `value` gives;
// seconds without a value are left out.
using Points = std::vector<std::pair<double, double>>;
using ValueOf = std::function<std::optional<double>(const HealthSecond&)>;
Points HealthCurve(const HealthPictures& p, std::size_t most,
                   const ValueOf& value);

// The points as an SVG path.
std::string PathOf(const Points& points);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_HEALTH_CURVES_H_
