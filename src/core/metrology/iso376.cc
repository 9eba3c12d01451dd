#include "core/metrology/iso376.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "core/metrology/polynomial_fit.h"

namespace masseter {
namespace {

constexpr std::array<IsoClass, 4> kClasses = {{
    {"00", 5e-4, 2.5e-4, 2.5e-4, 1.2e-4, 7e-4, 2.5e-4, 1e-4, 4000},
    {"0.5", 1e-3, 5e-4, 5e-4, 2.5e-4, 1.5e-3, 5e-4, 2e-4, 2000},
    {"1", 2e-3, 1e-3, 1e-3, 5e-4, 3e-3, 1e-3, 5e-4, 1000},
    {"2", 4e-3, 2e-3, 2e-3, 1e-3, 5e-3, 2e-3, 1e-3, 500},
}};
constexpr std::size_t kFewestLevels = 8;
constexpr std::size_t kFewestPlacings = 3;
constexpr double kLowestShare = 0.5;

bool Within(const std::optional<double>& value, double limit) {
  // Room for the last digit of a limit that is met exactly.
  return !value || std::abs(*value) <= limit * (1.0 + 1e-9);
}

// Readings of one placing at one force, in the order they were taken.
struct Placing {
  std::vector<double> rising;
  std::vector<double> falling;
};

struct Place376 {
  Place place;
  // By force level, then by series in the order of the file.
  std::map<int, std::vector<Placing>> levels;
  std::size_t placings = 0;
};

int NearestToMiddle(const BenchSet& bench) {
  const auto distance = [](const Place& p) {
    return std::hypot(p.x_mm, p.y_mm);
  };
  const auto it =
      std::min_element(bench.positions.begin(), bench.positions.end(),
                       [&](const Place& a, const Place& b) {
                         return distance(a) < distance(b);
                       });
  return static_cast<int>(it - bench.positions.begin());
}

Place376 GatherPlace(const PreparedBench& prepared,
                     const std::vector<double>& deflection) {
  Place376 out;
  const BenchSet& bench = prepared.bench;
  const int at = NearestToMiddle(bench);
  out.place = bench.positions[static_cast<std::size_t>(at)];
  std::map<std::string, std::size_t> series;
  for (std::size_t i = 0; i < bench.loads.size(); ++i) {
    const BenchLoad& load = bench.loads[i];
    if (load.position != at || load.force_n <= 0.0) continue;
    const std::size_t s =
        series.emplace(load.series, series.size()).first->second;
    std::vector<Placing>& level = out.levels[prepared.level[i]];
    if (level.size() <= s) level.resize(s + 1);
    // A reference transducer's loads differ a little; the deflection is taken
    // to the level's mean force.
    const double mean =
        prepared.level_force_n[static_cast<std::size_t>(prepared.level[i])];
    const double x = deflection[i] * mean / load.force_n;
    (load.rising ? level[s].rising : level[s].falling).push_back(x);
  }
  out.placings = series.size();
  return out;
}

double Mean(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double v : values) sum += v;
  return sum / static_cast<double>(values.size());
}

double Spread(const std::vector<double>& values) {
  const auto [low, high] = std::minmax_element(values.begin(), values.end());
  return (*high - *low) / std::abs(Mean(values));
}

// X1, X3, X5, ...: the first rising reading of every placing.
std::vector<double> FirstRising(const std::vector<Placing>& placings) {
  std::vector<double> out;
  for (const Placing& p : placings) {
    if (!p.rising.empty()) out.push_back(p.rising.front());
  }
  return out;
}

IsoLevel JudgeLevel(double force_n, const std::vector<Placing>& placings) {
  IsoLevel out;
  out.force_n = force_n;
  const std::vector<double> anew = FirstRising(placings);
  if (anew.size() >= 2) out.b = Spread(anew);
  double v = 0.0;
  double pairs = 0.0;
  for (const Placing& p : placings) {
    if (p.rising.size() >= 2) {
      out.b_prime = std::max(out.b_prime.value_or(0.0), Spread(p.rising));
    }
    if (p.rising.empty() || p.falling.empty()) continue;
    v += std::abs(p.falling.front() - p.rising.front()) /
         std::abs(p.rising.front());
    pairs += 1.0;
  }
  if (pairs > 0.0) out.v = v / pairs;
  return out;
}

// fc of every level; the cubic without constant needs four forces at least.
void JudgeInterpolation(const Place376& place, std::vector<IsoLevel>& levels) {
  std::vector<double> force;
  std::vector<double> x;
  std::vector<std::size_t> index;
  std::size_t k = 0;
  for (const auto& [level, placings] : place.levels) {
    const std::vector<double> anew = FirstRising(placings);
    if (!anew.empty()) {
      force.push_back(levels[k].force_n);
      x.push_back(Mean(anew));
      index.push_back(k);
    }
    ++k;
  }
  if (force.size() < 4) return;
  const auto fit =
      FitPolynomial(force, x, 3, {.through_zero = true, .weights = {}});
  if (!fit) return;
  for (std::size_t i = 0; i < force.size(); ++i) {
    const double fitted = fit->Value(force[i]);
    levels[index[i]].fc = (x[i] - fitted) / fitted;
  }
}

void Add(std::string& reasons, const std::string& reason) {
  if (!reasons.empty()) reasons += "; ";
  reasons += reason;
}

// What the standard's procedure asks for and the readings do not have.
std::string MissingFrom(const Place376& place, const Iso376& iso,
                        std::size_t places) {
  std::string out;
  if (places > 1) {
    Add(out,
        "the standard judges an instrument that is loaded along one axis, "
        "this one was loaded at " +
            std::to_string(places) + " places");
  }
  if (iso.levels.size() < kFewestLevels) {
    Add(out, std::to_string(iso.levels.size()) +
                 (iso.levels.size() == 1 ? " force" : " forces") +
                 " where it asks for 8");
  }
  if (place.placings < kFewestPlacings) {
    Add(out, std::to_string(place.placings) +
                 (place.placings == 1 ? " placing" : " placings") +
                 " where it asks for 3");
  }
  bool again = false;
  bool falling = false;
  for (const IsoLevel& level : iso.levels) {
    again = again || level.b_prime.has_value();
    falling = falling || level.v.has_value();
  }
  if (!again) Add(out, "no load was given twice in one placing (b')");
  if (!falling && !iso.c) {
    Add(out, "neither falling loads (v) nor a record of creep (c)");
  }
  if (!iso.f0) Add(out, "no series ends with a zero (f0)");
  return out;
}

// The class that holds from the largest force down to half of it at least.
std::optional<std::string> ClassOverRange(const std::vector<IsoLevel>& levels) {
  for (std::size_t rank = kClasses.size(); rank-- > 0;) {
    const auto holds = [&](const IsoLevel& level) {
      for (std::size_t k = 0; k <= rank; ++k) {
        if (level.class_word == kClasses[k].word) return true;
      }
      return false;
    };
    double lowest = levels.back().force_n * 2.0;
    for (std::size_t i = levels.size(); i-- > 0 && holds(levels[i]);) {
      lowest = levels[i].force_n;
    }
    const bool enough =
        lowest <= kLowestShare * levels.back().force_n * (1.0 + 1e-9);
    if (rank == kClasses.size() - 1 && !enough) return std::nullopt;
    if (!enough) return std::string(kClasses[rank + 1].word);
    if (rank == 0) return std::string(kClasses[0].word);
  }
  return std::nullopt;
}

}  // namespace

std::span<const IsoClass> IsoClasses() { return kClasses; }

std::string_view ClassOfLevel(const IsoLevel& level, const IsoCommon& common) {
  for (const IsoClass& c : kClasses) {
    const bool fine = Within(level.b, c.b) &&
                      Within(level.b_prime, c.b_prime) &&
                      Within(level.fc, c.fc) && Within(level.v, c.v) &&
                      Within(common.f0, c.f0) && Within(common.c, c.c) &&
                      common.reference_u95 <= c.reference_u95 * (1.0 + 1e-9) &&
                      level.force_n >= c.resolution_steps * common.resolution_n;
    if (fine) return c.word;
  }
  return "";
}

Iso376 JudgeIso376(const PreparedBench& prepared,
                   const std::vector<double>& deflection,
                   const IsoCommon& common) {
  const Place376 place = GatherPlace(prepared, deflection);
  Iso376 out;
  out.place = place.place;
  out.f0 = common.f0;
  out.c = common.c;
  for (const auto& [level, placings] : place.levels) {
    out.levels.push_back(JudgeLevel(
        prepared.level_force_n[static_cast<std::size_t>(level)], placings));
  }
  JudgeInterpolation(place, out.levels);
  for (IsoLevel& level : out.levels) {
    level.class_word = ClassOfLevel(level, common);
  }
  if (out.levels.empty()) {
    out.class_reason = "no load above zero at the middle";
    return out;
  }
  out.class_reason = MissingFrom(place, out, prepared.bench.positions.size());
  if (!out.class_reason.empty()) return out;
  out.class_word = ClassOverRange(out.levels);
  out.class_reason =
      out.class_word
          ? "by its figures, if the series were placings turned by 120 and 240 "
            "degrees; limits from memory"
          : "the figures exceed class 2 within the upper half of the range";
  return out;
}

}  // namespace masseter
