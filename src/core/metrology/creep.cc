#include "core/metrology/creep.h"

#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

constexpr double kHalfHourS = 1800.0;
constexpr double kNearlyHalfHourS = 1620.0;

// Linear between the readings; nullopt outside them.
std::optional<double> At(const std::vector<double>& t,
                         const std::vector<double>& y, double when) {
  const auto after = std::lower_bound(t.begin(), t.end(), when);
  if (after == t.end()) return std::nullopt;
  const auto i = static_cast<std::size_t>(after - t.begin());
  if (*after == when) return y[i];
  if (i == 0) return std::nullopt;
  const double part = (when - t[i - 1]) / (t[i] - t[i - 1]);
  return y[i - 1] + part * (y[i] - y[i - 1]);
}

}  // namespace

std::optional<CreepRecord> JudgeCreep(const std::vector<StandingLoad>& standing,
                                      const Estimator& estimator) {
  const auto longest =
      std::max_element(standing.begin(), standing.end(),
                       [](const StandingLoad& a, const StandingLoad& b) {
                         return a.t_s.back() < b.t_s.back();
                       });
  if (longest == standing.end()) return std::nullopt;
  std::vector<double> answer;
  for (const auto& v : longest->v) answer.push_back(estimator.Force(v));
  if (!(answer.front() > 0.0)) return std::nullopt;
  CreepRecord out;
  out.force_n = longest->force_n;
  out.place = longest->place;
  out.seconds = longest->t_s.back();
  out.rows = static_cast<int>(longest->t_s.size());
  out.line = longest->line;
  const auto at_30 = At(longest->t_s, answer, 30.0);
  const auto at_300 = At(longest->t_s, answer, 300.0);
  if (at_30 && at_300) {
    out.from_30_to_300_s = (*at_300 - *at_30) / answer.front();
  }
  if (out.seconds >= kNearlyHalfHourS) {
    const double end = std::min(out.seconds, kHalfHourS);
    out.over_30_min =
        (*At(longest->t_s, answer, end) - answer.front()) / answer.front();
  }
  return out;
}

std::optional<double> CreepSize(const CreepRecord& record) {
  if (record.over_30_min) return std::abs(*record.over_30_min);
  if (record.from_30_to_300_s) return std::abs(*record.from_30_to_300_s);
  return std::nullopt;
}

}  // namespace masseter
