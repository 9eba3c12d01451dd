#include "core/trust/missing.h"

#include <algorithm>
#include <cmath>

#include "core/trust/words.h"

namespace masseter {
namespace {

// Steepest change of this bite, newtons a second, few samples' luck aside.
double SteepestSlope(const ForceSeries& s, Span span) {
  std::vector<double> slope;
  for (std::size_t i = std::max<std::size_t>(span.begin, 1); i < span.end;
       ++i) {
    const double dt = s.t_s[i] - s.t_s[i - 1];
    if (s.before[i] != Break::kNone || dt <= 0.0) continue;
    slope.push_back(std::abs(s.filtered_n[i] - s.filtered_n[i - 1]) / dt);
  }
  if (slope.empty()) return 0.0;
  const auto at =
      slope.begin() +
      static_cast<std::ptrdiff_t>(0.98 * static_cast<double>(slope.size() - 1));
  std::nth_element(slope.begin(), at, slope.end());
  return *at;
}

// While a running dog arrives, what was seen of a bite says little about what
// was not: a half-sine of 0.8 kN and 125 ms rises at 20 kN/s (widths of 80 to
// 140 ms follow from the decelerations of Hyytiainen et al. 2021).
constexpr double kStrikeS = 0.25;
constexpr double kStrikeSlope = 20000.0;

Reason GapReason(const MeasuredBite& b, std::size_t i, double slope,
                 double range_n) {
  const ForceSeries& s = b.series;
  const double peak = b.bite.peak_n.value_or(0.0);
  const double length = s.t_s[i] - s.t_s[i - 1];
  if (s.t_s[i - 1] < b.bite.start_s + kStrikeS) {
    slope = std::max(slope, kStrikeSlope);
  }
  const double hidden =
      0.5 * (s.filtered_n[i - 1] + s.filtered_n[i] + slope * length);
  const double effect =
      std::clamp(hidden - peak, 0.0, std::max(range_n - peak, 0.0));
  const bool at_peak = s.t_s[i - 1] <= b.bite.peak_at_s + 0.02 &&
                       s.t_s[i] >= b.bite.peak_at_s - 0.02;
  Reason out;
  out.code = ReasonCode::kGap;
  out.text = InMilliseconds(std::max(length - s.period_s, s.period_s)) +
             " without samples" + (at_peak ? " across the peak" : "");
  out.effect_n = effect;
  out.start_s = s.t_s[i - 1];
  out.end_s = s.t_s[i];
  return out;
}

// "stood at 512 N", or "stood" when nobody knows newtons.
std::string Stood(const char* word, double force, bool in_newtons) {
  return in_newtons ? word + (" at " + InNewtons(force)) : std::string(word);
}

Reason RestartReason(const MeasuredBite& b, std::size_t i, bool in_newtons) {
  const ForceSeries& s = b.series;
  Reason out;
  out.code = ReasonCode::kRestart;
  out.text = "the device started again while the force " +
             Stood("stood", s.filtered_n[i - 1], in_newtons) +
             "; what the dog did meanwhile is not in the data";
  out.start_s = s.t_s[i - 1];
  out.end_s = s.t_s[i];
  return out;
}

}  // namespace

std::vector<Reason> MissingSamples(const LoadEvent& event,
                                   const MeasuredBite& bite, double range_n,
                                   bool in_newtons) {
  std::vector<Reason> out;
  const ForceSeries& s = bite.series;
  const double slope = SteepestSlope(s, bite.span);
  const std::size_t last = std::min(bite.span.end, s.size() - 1);
  for (std::size_t i = std::max<std::size_t>(bite.span.begin, 1); i <= last;
       ++i) {
    if (s.before[i] == Break::kGap) {
      out.push_back(GapReason(bite, i, slope, range_n));
    } else if (s.before[i] == Break::kRestart) {
      out.push_back(RestartReason(bite, i, in_newtons));
    }
  }
  if (event.cut) {
    Reason cut;
    cut.code = ReasonCode::kGap;
    cut.text = "the recording ends while the force " +
               Stood("stands", s.filtered_n[bite.span.end - 1], in_newtons);
    cut.start_s = cut.end_s = bite.bite.end_s;
    out.push_back(cut);
  }
  return out;
}

}  // namespace masseter
