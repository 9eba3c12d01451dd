#include "app/bite_spark.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "report/text_table.h"
#include "report/trace_columns.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr std::size_t kWidth = 60;
constexpr double kBesideS = 0.1;

}  // namespace

std::vector<float> SparkOf(const MeasuredBite& b) {
  std::vector<TraceGap> gaps;
  const ForceSeries& s = b.series;
  for (std::size_t i = 1; i < s.size(); ++i) {
    if (s.before[i] != Break::kNone) gaps.push_back({s.t_s[i - 1], s.t_s[i]});
  }
  const TraceColumns trace =
      MakeTraceColumns(s.t_s, s.raw_n, gaps, b.bite.start_s - kBesideS,
                       b.bite.end_s + kBesideS, static_cast<int>(kWidth));
  std::vector<float> heights = SparkHeights(trace, kWidth);
  for (float& h : heights) h = std::round(h * 100.0F) / 100.0F;
  return heights;
}

ordered_json SparkJson(const std::vector<float>& spark) {
  ordered_json out = ordered_json::array();
  for (const float h : spark) {
    // Of a double the short decimal is written: 0.43, not 0.43000000715.
    const double hundredths = std::round(100.0 * static_cast<double>(h));
    out.push_back(std::isfinite(h) ? ordered_json(hundredths / 100.0)
                                   : ordered_json(nullptr));
  }
  return out;
}

std::vector<float> ReadSpark(const ordered_json& j) {
  std::vector<float> out;
  if (!j.is_array() || j.size() > kWidth) return out;
  for (const auto& height : j) {
    out.push_back(height.is_number() ? height.get<float>()
                                     : std::numeric_limits<float>::quiet_NaN());
  }
  return out;
}

}  // namespace masseter
