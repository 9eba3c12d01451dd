#include "core/bench/load_plan.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "core/metrology/student_t.h"
#include "core/trust/words.h"

namespace masseter {
namespace {

constexpr double kStandardGravity = 9.80665;
constexpr double kSecondsAReading = 25.0;
constexpr double kHalfLengthMm = 50.0;  // of a rig that names no places
constexpr double kHalfWidthMm = 15.0;
constexpr std::size_t kMostReadings = 1000;
constexpr double kKnown = 1e9;  // degrees of freedom of what is assumed

struct Extent {
  double x = 0.0;
  double y = 0.0;
};

// Half the area that the cells span; a guess where they name no places.
Extent ExtentOf(const Rig& rig) {
  Extent out;
  if (rig.HasPositions()) {
    for (const Channel& c : rig.channels) {
      out.x = std::max(out.x, std::abs(c.x->si()) * 1000.0);
      out.y = std::max(out.y, std::abs(c.y->si()) * 1000.0);
    }
  }
  if (out.x == 0.0 && out.y == 0.0) return {kHalfLengthMm, kHalfWidthMm};
  return out;
}

std::vector<Place> PlacesOf(const Rig& rig, bool brief) {
  const Extent e = ExtentOf(rig);
  std::vector<Place> out = {{0.0, 0.0}};
  const auto add = [&](double u, double w) {
    const Place p{u * e.x, w * e.y};
    if (std::find(out.begin(), out.end(), p) == out.end()) out.push_back(p);
  };
  for (const double u : {-1.0, 1.0}) {
    for (const double w : {-1.0, 1.0}) add(u, w);
  }
  if (brief) return out;
  for (const double s : {-1.0, 1.0}) {
    add(s, 0.0);
    add(0.0, s);
    add(0.5 * s, 0.0);
  }
  return out;
}

// A load over one cell is borne by that cell alone; a tenth is kept free.
std::optional<double> MostForce(const Rig& rig) {
  std::optional<double> most;
  const auto lower = [&](double n) { most = std::min(most.value_or(n), n); };
  if (rig.safe_load) lower(0.9 * rig.safe_load->si());
  for (const Channel& c : rig.channels) {
    if (c.capacity) lower(0.9 * c.capacity->si());
  }
  return most;
}

std::vector<double> LoadsOf(const Rig& rig, const PlanRequest& request) {
  const double unit = request.by_mass ? kStandardGravity : 1.0;
  const double most =
      MostForce(rig).value_or(60.0 * kStandardGravity + 1.0) / unit;
  std::vector<double> loads;
  if (request.by_mass) {
    for (const double kg : {5.0, 10.0, 20.0, 40.0, 60.0}) {
      if (kg <= most) loads.push_back(kg);
    }
  }
  if (loads.size() < 4) {
    loads.clear();
    for (const double share : {0.1, 0.25, 0.5, 0.75, 1.0}) {
      // Two digits: a load somebody can put together.
      const double wanted = share * most;
      const double step = std::pow(10.0, std::floor(std::log10(wanted)) - 1.0);
      loads.push_back(std::floor(wanted / step) * step);
    }
  }
  if (request.brief)
    return {loads.front(), loads[loads.size() / 2], loads.back()};
  return loads;
}

// 1, u, w, u^2, ... up to the fourth order; the constant comes first.
std::vector<std::pair<int, int>> Powers(bool across) {
  std::vector<std::pair<int, int>> out;
  for (int order = 0; order <= 4; ++order) {
    for (int j = 0; j <= (across ? order : 0); ++j)
      out.push_back({order - j, j});
  }
  return out;
}

Eigen::VectorXd Row(const std::vector<std::pair<int, int>>& powers, double u,
                    double w) {
  Eigen::VectorXd row(static_cast<Eigen::Index>(powers.size()));
  for (Eigen::Index k = 0; k < row.size(); ++k) {
    const auto [i, j] = powers[static_cast<std::size_t>(k)];
    row(k) = std::pow(u, i) * std::pow(w, j);
  }
  return row;
}

double PriorVariance(std::pair<int, int> power, const SleeveGuess& guess) {
  const int order = power.first + power.second;
  if (order == 0) return 1.0;  // the factor itself is unknown
  const double sd = order <= 2 ? guess.edge_low : guess.edge_high;
  return sd * sd;
}

// Standard uncertainty of the sensitivity at a place of the area, root mean
// square over a grid.
double PlaceUncertainty(const Rig& rig, const LoadPlan& plan,
                        const SleeveGuess& guess) {
  const Extent e = ExtentOf(rig);
  const auto powers = Powers(e.y > 0.0 && e.x > 0.0);
  const bool seen = rig.HasPositions() && rig.channels.size() > 1;
  const auto n = static_cast<Eigen::Index>(powers.size());
  Eigen::MatrixXd weight = Eigen::MatrixXd::Zero(n, n);
  for (Eigen::Index k = 0; k < n; ++k) {
    weight(k, k) =
        1.0 / PriorVariance(powers[static_cast<std::size_t>(k)], guess);
  }
  const double along = e.x > 0.0 ? e.x : e.y;
  const auto row_at = [&](const Place& p) {
    if (e.x > 0.0 && e.y > 0.0) return Row(powers, p.x_mm / e.x, p.y_mm / e.y);
    return Row(powers, (e.x > 0.0 ? p.x_mm : p.y_mm) / along, 0.0);
  };
  const double information =
      static_cast<double>(plan.series) / (guess.placing * guess.placing);
  for (const Place& p : plan.places) {
    const Eigen::VectorXd row = row_at(p);
    weight += information * row * row.transpose();
  }
  const Eigen::MatrixXd c =
      weight.ldlt().solve(Eigen::MatrixXd::Identity(n, n));
  double sum = 0.0;
  int count = 0;
  for (double u = -1.0; u <= 1.01; u += 0.25) {
    for (double w = -1.0; w <= 1.01; w += 0.25) {
      const Eigen::VectorXd row =
          Row(powers, u, e.x > 0.0 && e.y > 0.0 ? w : 0);
      sum += row.dot(c * row);
      for (Eigen::Index k = 1; !seen && k < n; ++k) {
        sum += row(k) * row(k) *
               PriorVariance(powers[static_cast<std::size_t>(k)], guess);
      }
      ++count;
    }
  }
  return std::sqrt(sum / count);
}

Expected<void> CheckLoads(const Rig& rig, const LoadPlan& plan) {
  const std::string option = plan.by_mass ? "--masses" : "--forces";
  const auto most = MostForce(rig);
  double before = 0.0;
  for (const double load : plan.loads) {
    if (!(load > before)) {
      return BadInput(option, "must be above zero and rise, as in 5,10,20");
    }
    before = load;
    const double force = load * (plan.by_mass ? kStandardGravity : 1.0);
    if (most && force > *most / 0.9) {
      return BadInput(option, InNewtons(force) +
                                  " is more than the rig may bear, " +
                                  InNewtons(*most / 0.9) +
                                  " on one cell or the whole sleeve");
    }
  }
  return {};
}

}  // namespace

Expected<LoadPlan> MakeLoadPlan(const Rig& rig, const PlanRequest& request) {
  LoadPlan plan;
  plan.by_mass = request.by_mass;
  plan.falling = !request.brief;
  plan.series = request.series.value_or(request.brief ? 2 : 3);
  if (plan.series < 1 || plan.series > 20) {
    return BadInput("--series", "must lie between 1 and 20");
  }
  plan.places =
      request.places.empty() ? PlacesOf(rig, request.brief) : request.places;
  plan.loads = request.loads.empty() ? LoadsOf(rig, request) : request.loads;
  if (auto ok = CheckLoads(rig, plan); !ok) return tl::unexpected(ok.error());
  if (StepsOf(plan).size() > kMostReadings) {
    return BadInput("--series",
                    "the plan has more than 1000 readings; take fewer series, "
                    "places or loads");
  }
  return plan;
}

std::vector<LoadStep> StepsOf(const LoadPlan& plan) {
  std::vector<LoadStep> out;
  for (int s = 1; s <= plan.series; ++s) {
    for (const Place& place : plan.places) {
      out.push_back({s, true, 0.0, place});
      for (const double load : plan.loads) {
        out.push_back({s, true, load, place});
      }
      for (std::size_t i = plan.loads.size() - 1; plan.falling && i-- > 0;) {
        out.push_back({s, false, plan.loads[i], place});
      }
      out.push_back({s, false, 0.0, place});
    }
  }
  return out;
}

PlanPromise PromiseOf(const Rig& rig, const LoadPlan& plan,
                      const SleeveGuess& guess) {
  PlanPromise out;
  out.readings = static_cast<int>(StepsOf(plan).size());
  out.minutes = out.readings * kSecondsAReading / 60.0;
  out.place_u = PlaceUncertainty(rig, plan, guess);
  out.reversibility = plan.falling;
  out.curvature = plan.loads.size() >= 4;
  // The placing's scatter is known from series - 1 repeats at each place.
  const double dof = static_cast<double>(plan.series - 1) *
                     static_cast<double>(plan.places.size());
  const std::vector<UncertaintyTerm> terms = {
      {out.place_u, kKnown},
      {guess.placing, std::max(dof, 1.0)},
      {guess.weights, kKnown}};
  const CombinedUncertainty u = CombineUncertainties(terms);
  out.expanded_u95 = CoverageFactor(0.95, u.dof) * u.standard_uncertainty;
  return out;
}

std::string CostInWords(const PlanPromise& brief, const PlanPromise& full) {
  std::string out = "The short plan takes " + std::to_string(brief.readings) +
                    " readings instead of " + std::to_string(full.readings) +
                    "\nand can reach " + InPercent(brief.expanded_u95) +
                    " of the force at best (95 %) instead of " +
                    InPercent(full.expanded_u95) + ".";
  if (!brief.reversibility) {
    out += "\nIt does not come back down, so hysteresis stays unknown.";
  }
  if (!brief.curvature) {
    out += "\nThree loads cannot tell a curve from a straight line.";
  }
  return out;
}

}  // namespace masseter
