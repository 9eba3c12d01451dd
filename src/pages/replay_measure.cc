#include "pages/replay_measure.h"

#include <algorithm>
#include <cstddef>
#include <cstdio>
#include <string>
#include <vector>

namespace masseter::replay {
namespace {

using Json = nlohmann::json;
constexpr double kStep = 0.001;

double Round(double value, double place) {
  return std::round(value / place) * place;
}

std::vector<double> Samples(const ScriptedBite& bite, double until_s) {
  std::vector<double> samples;
  const double end_s = std::min(until_s, EndOf(bite));
  for (double t = bite.start_s; t < end_s; t += kStep) {
    if (bite.at_least && t >= bite.gap_from_s) break;
    samples.push_back(Missing(t) ? samples.back() : Force(t));
  }
  return samples;
}

double HighestMean(const std::vector<double>& samples, std::size_t from,
                   std::size_t width) {
  double best = 0.0;
  for (std::size_t i = from; i + width <= samples.size(); i += 5) {
    double sum = 0.0;
    for (std::size_t k = i; k < i + width; ++k) sum += samples[k];
    best = std::max(best, sum / static_cast<double>(width));
  }
  return best;
}

Json Spark(const ScriptedBite& bite, double peak_n) {
  constexpr int kHeights = 48;
  Json spark = Json::array();
  for (int i = 0; i < kHeights; ++i) {
    const double t = bite.start_s + bite.hold_s * (i + 0.5) / kHeights;
    const double height = std::clamp(Force(t) / peak_n, 0.0, 1.0);
    spark.push_back(Missing(t) ? Json() : Json(Round(height, 0.01)));
  }
  return spark;
}

Json Reasons(const ScriptedBite& bite, const std::string& struck) {
  Json reasons = Json::array();
  if (!struck.empty()) {
    reasons.push_back({{"code", "withdrawn"},
                       {"text", struck},
                       {"effect_n", nullptr},
                       {"start_s", nullptr},
                       {"end_s", nullptr}});
  }
  for (const Trouble& trouble : bite.trouble) {
    if (trouble.code == nullptr) continue;
    reasons.push_back(
        {{"code", trouble.code},
         {"text", trouble.text},
         {"effect_n", trouble.effect_n > 0 ? Json(trouble.effect_n) : Json()},
         {"start_s", bite.start_s},
         {"end_s", EndOf(bite)}});
  }
  return reasons;
}

}  // namespace

Figures Measure(const ScriptedBite& bite, double until_s) {
  const std::vector<double> samples = Samples(bite, until_s);
  Figures f;
  if (samples.empty()) return f;
  const auto peak = std::max_element(samples.begin(), samples.end());
  const auto at = static_cast<std::size_t>(peak - samples.begin());
  f.peak_n = *peak;
  f.peak_at_s = bite.start_s + kStep * static_cast<double>(at);
  const std::size_t strike = std::min<std::size_t>(samples.size(), 200);
  f.strike_n = *std::max_element(
      samples.begin(), samples.begin() + static_cast<std::ptrdiff_t>(strike));
  f.squeeze_n = HighestMean(samples, 200, 250);
  double held = 0.0;
  int held_count = 0;
  std::size_t from = 0;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    f.impulse_ns += samples[i] * kStep;
    if (samples[i] < 0.1 * f.peak_n && i < at) from = i;
    if (i <= at && samples[i] < 0.9 * f.peak_n) {
      f.rise_s = kStep * static_cast<double>(i - from);
    }
    if (samples[i] < 0.5 * f.peak_n) continue;
    held += samples[i];
    ++held_count;
  }
  if (held_count > 0) f.held_n = held / held_count;
  return f;
}

Json BiteMessage(const ScriptedBite& bite, const Told& told) {
  const Figures f = Measure(bite, EndOf(bite));
  const std::string verdict = told.struck.empty() ? bite.verdict : "void";
  const bool no_figure = std::string(bite.verdict) == "void";
  const auto figure = [no_figure](double value, double place) {
    return no_figure || value == 0.0 ? Json() : Json(Round(value, place));
  };
  const double end_s = bite.at_least ? bite.gap_from_s : EndOf(bite);
  const Json u95 =
      bite.at_least ? Json() : figure(f.peak_n * bite.relative_u95, 0.1);
  const Json squeeze_u95 =
      f.squeeze_n > 0 ? figure(f.squeeze_n * bite.relative_u95, 0.1) : Json();
  return {{"type", "bite"},
          {"sleeve", told.sleeve},
          {"clock", ClockAt(bite.start_s + kSleeveLag * told.sleeve)},
          {"squeeze_u95_n", squeeze_u95},
          {"spark", Spark(bite, f.peak_n)},
          {"bite",
           {{"id", told.id},
            {"dog", told.dog},
            {"start_s", bite.start_s},
            {"end_s", Round(end_s, 0.001)},
            {"duration_s", Round(end_s - bite.start_s, 0.001)},
            {"peak_n", figure(f.peak_n, 0.1)},
            {"peak_u95_n", u95},
            {"peak_at_s", Round(f.peak_at_s, 0.001)},
            {"strike_n", figure(f.strike_n, 0.1)},
            {"squeeze_n", figure(f.squeeze_n, 0.1)},
            {"squeeze_u95_n", squeeze_u95},
            {"held_n", figure(f.held_n, 0.1)},
            {"impulse_ns", figure(f.impulse_ns, 0.1)},
            {"rise_s", figure(f.rise_s, 0.001)},
            {"loading_rate_n_s", figure(0.8 * f.peak_n / f.rise_s, 1.0)},
            {"regrips", 0},
            {"shake_hz", nullptr},
            {"held_cv", bite.at_least ? Json() : Json(0.06)},
            {"out_s", nullptr},
            {"x_mm", figure(18.0, 0.1)},
            {"y_mm", figure(-2.1, 0.1)},
            {"verdict", verdict},
            {"at_least", bite.at_least},
            {"reasons", Reasons(bite, told.struck)}}}};
}

std::string ClockAt(double t_s) {
  const int seconds = 14 * 3600 + 5 * 60 + static_cast<int>(t_s);
  char text[16];
  std::snprintf(text, sizeof text, "%02d:%02d:%02d", seconds / 3600 % 24,
                seconds / 60 % 60, seconds % 60);
  return text;
}

}  // namespace masseter::replay
