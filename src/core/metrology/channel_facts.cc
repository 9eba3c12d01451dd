#include "core/metrology/channel_facts.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

#include "core/metrology/curve_choice.h"
#include "core/metrology/least_squares.h"
#include "core/metrology/student_t.h"
#include "core/signal/robust.h"

namespace masseter {
namespace {

constexpr double kSmallShare = 0.1;
constexpr double kSignificance = 0.01;
constexpr std::size_t kFewestLevels = 3;

double SlopeOf(const PositionFacts& facts, std::size_t channel) {
  return facts.per_newton.empty() ? 0.0 : facts.per_newton[channel];
}

// The place where the channel takes most of the load.
std::size_t StrongestPlace(const std::vector<PositionFacts>& map,
                           std::size_t channel) {
  std::size_t best = 0;
  for (std::size_t p = 1; p < map.size(); ++p) {
    if (std::abs(SlopeOf(map[p], channel)) >
        std::abs(SlopeOf(map[best], channel))) {
      best = p;
    }
  }
  return best;
}

// The channel alone, at one place, as a bench of its own.
BenchSet AloneAt(const BenchSet& bench, std::size_t place,
                 std::size_t channel) {
  BenchSet out;
  out.positions = {bench.positions[place]};
  for (const BenchLoad& load : bench.loads) {
    if (static_cast<std::size_t>(load.position) != place) continue;
    BenchLoad alone = load;
    alone.v = {load.v[channel]};
    alone.position = 0;
    out.loads.push_back(std::move(alone));
  }
  return out;
}

// `value` is what is judged, one a load; `slope` its value a newton, a place;
// places with a slope of 0 take no part.
std::optional<Curvature> FitCurvature(const PreparedBench& prepared,
                                      const std::vector<double>& value,
                                      const std::vector<double>& slope) {
  if (prepared.level_force_n.size() < kFewestLevels) return std::nullopt;
  const double largest = prepared.level_force_n.back();
  std::vector<int> column(slope.size(), -1);
  int places = 0;
  for (std::size_t p = 0; p < slope.size(); ++p) {
    if (slope[p] != 0.0) column[p] = places++;
  }
  std::vector<std::size_t> used;
  for (std::size_t i = 0; i < value.size(); ++i) {
    const BenchLoad& load = prepared.bench.loads[i];
    if (column[static_cast<std::size_t>(load.position)] >= 0) used.push_back(i);
  }
  const auto n = static_cast<Eigen::Index>(used.size());
  if (n < places + 4 || !(largest > 0.0)) return std::nullopt;
  // In the unit of the load, so that places weigh alike.
  Eigen::MatrixXd x = Eigen::MatrixXd::Zero(n, places + 1);
  Eigen::VectorXd y(n);
  for (Eigen::Index r = 0; r < n; ++r) {
    const std::size_t i = used[static_cast<std::size_t>(r)];
    const BenchLoad& load = prepared.bench.loads[i];
    const auto p = static_cast<std::size_t>(load.position);
    const double f = load.force_n / largest;
    x(r, column[p]) = f;
    x(r, places) = f * (f - 1.0);
    y(r) = value[i] / (slope[p] * largest);
  }
  const auto fit = SolveLeastSquares(x, y);
  if (!fit || fit->dof < 3) return std::nullopt;
  Curvature out;
  out.value = fit->coeffs(places);
  out.se = std::sqrt(fit->covariance(places, places));
  out.bent = out.se > 0.0 &&
             2.0 * StudentTUpperTail(std::abs(out.value) / out.se, fit->dof) <
                 kSignificance;
  return out;
}

std::optional<Curvature> OfChannel(const PreparedBench& prepared,
                                   const std::vector<PositionFacts>& map,
                                   std::size_t channel, double strongest) {
  std::vector<double> value;
  for (const BenchLoad& load : prepared.bench.loads) {
    value.push_back(load.v[channel]);
  }
  std::vector<double> slope;
  for (const PositionFacts& facts : map) {
    const double s = SlopeOf(facts, channel);
    slope.push_back(std::abs(s) >= kSmallShare * strongest ? s : 0.0);
  }
  return FitCurvature(prepared, value, slope);
}

}  // namespace

std::optional<Curvature> CurvatureLeft(const PreparedBench& prepared,
                                       const std::vector<double>& answer) {
  const std::vector<double> slope(prepared.bench.positions.size(), 1.0);
  return FitCurvature(prepared, answer, slope);
}

std::vector<ChannelFacts> JudgeChannels(const Rig& rig,
                                        const PreparedBench& prepared,
                                        const Estimator& estimator,
                                        const std::vector<PositionFacts>& map,
                                        bool zeroed) {
  std::vector<ChannelFacts> out;
  for (std::size_t c = 0; c < rig.channels.size(); ++c) {
    ChannelFacts facts;
    facts.name = rig.channels[c].name;
    facts.gain = estimator.gain[c];
    const std::size_t at = StrongestPlace(map, c);
    if (rig.channels.size() > 1) {
      const BenchSet alone = AloneAt(prepared.bench, at, c);
      if (auto curve = ChooseCurve(alone, CurveOrder::kAuto, zeroed)) {
        facts.curve = std::move(curve->curve);
        facts.curve_place = map[at].place;
      }
    }
    if (zeroed) {
      const double strongest = std::abs(SlopeOf(map[at], c));
      if (const auto q = OfChannel(prepared, map, c, strongest)) {
        facts.curvature = q->value;
        facts.curvature_se = q->se;
        facts.bent = q->bent;
      }
    }
    std::vector<double> zeros;
    for (const Reading* row : prepared.zeros) zeros.push_back(row->signal[c]);
    if (!zeros.empty()) facts.zero = Median(zeros);
    out.push_back(std::move(facts));
  }
  return out;
}

}  // namespace masseter
