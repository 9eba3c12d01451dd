#include "core/metrology/slips.h"

#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include "core/signal/robust.h"

namespace masseter {
namespace {

constexpr double kBadRatio = 0.25;
constexpr double kBadFactor = 4.0;
constexpr std::size_t kJudgedAlone = 4;

using Signals = std::vector<double>;

Signals PerNewton(const BenchLoad& load) {
  Signals out = load.v;
  for (double& v : out) v /= load.force_n;
  return out;
}

double Size(const Signals& v) {
  double square = 0.0;
  for (const double x : v) square += x * x;
  return std::sqrt(square);
}

// All channels together: how the load is shared among them, and so the place,
// hardly matters.
double Whole(const Signals& v) {
  double sum = 0.0;
  for (const double x : v) sum += std::abs(x);
  return sum;
}

// The median of each channel.
Signals Usual(const std::vector<Signals>& loads) {
  Signals out(loads.front().size());
  std::vector<double> values(loads.size());
  for (std::size_t c = 0; c < out.size(); ++c) {
    for (std::size_t i = 0; i < loads.size(); ++i) values[i] = loads[i][c];
    out[c] = Median(values);
  }
  return out;
}

bool FarFrom(const Signals& a, const Signals& usual) {
  Signals off = a;
  for (std::size_t c = 0; c < a.size(); ++c) off[c] -= usual[c];
  return Size(off) > kBadRatio * Size(usual);
}

class Sieve {
 public:
  explicit Sieve(const BenchSet& bench) {
    std::vector<double> wholes;
    for (const BenchLoad& load : bench.loads) {
      by_place_[load.position].push_back(PerNewton(load));
      wholes.push_back(Whole(by_place_[load.position].back()));
    }
    whole_ = Median(wholes);
    for (const auto& [place, loads] : by_place_) usual_[place] = Usual(loads);
  }

  // Stated load over what the signals speak of, for a slip.
  std::optional<double> RatioOfSlip(const BenchLoad& load) const {
    const Signals here = PerNewton(load);
    if (by_place_.at(load.position).size() >= kJudgedAlone) {
      const Signals& usual = usual_.at(load.position);
      if (!FarFrom(here, usual)) return std::nullopt;
      const double size = Size(here);
      return size > 0.0 ? Size(usual) / size : 0.0;
    }
    const double whole = Whole(here);
    if (whole * kBadFactor > whole_ && whole < kBadFactor * whole_) {
      return std::nullopt;
    }
    return whole > 0.0 ? whole_ / whole : 0.0;
  }

 private:
  std::map<int, std::vector<Signals>> by_place_;
  std::map<int, Signals> usual_;
  double whole_ = 0.0;
};

}  // namespace

std::vector<BadRow> TakeSlips(BenchSet& bench) {
  if (bench.loads.size() < kJudgedAlone) return {};
  const Sieve sieve(bench);
  std::vector<BadRow> slips;
  std::vector<BenchLoad> kept;
  for (const BenchLoad& load : bench.loads) {
    if (const auto ratio = sieve.RatioOfSlip(load)) {
      slips.push_back({load.line, *ratio});
    } else {
      kept.push_back(load);
    }
  }
  if (kept.size() * 2 < bench.loads.size()) return {};
  bench.loads = std::move(kept);
  return slips;
}

}  // namespace masseter
