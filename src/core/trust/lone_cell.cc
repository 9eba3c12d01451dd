#include "core/trust/lone_cell.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace masseter {
namespace {

constexpr double kNoises = 8.0;
constexpr double kShareOfRange = 0.02;
constexpr double kTogetherS = 0.15;
constexpr double kBackShare = 0.3;  // of the smallest jump
// Near jumps that are certain, this share of their size is one as well.
constexpr double kNearShare = 0.25;

class Finder {
 public:
  Finder(const ChannelTraces& t, double period_s, double range_n,
         std::optional<double> capacity_n, const std::vector<char>& skip)
      : t_(t),
        p_(t.p[0]),
        skip_(skip),
        fastest_n_(std::min(kFastestN_S * period_s, kWorstImpactN)),
        least_n_(std::max(kShareOfRange * range_n,
                          kNoises * std::sqrt(2.0) * t.noise_n[0])),
        highest_n_(capacity_n ? kBreaksAt * *capacity_n
                              : std::numeric_limits<double>::infinity()),
        together_(std::max<std::size_t>(
            3, static_cast<std::size_t>(kTogetherS / period_s))) {}

  std::vector<AwaySpan> Find() const {
    std::vector<AwaySpan> out;
    for (std::size_t i = 1; i < t_.size();) {
      if (!Jumps(i)) {
        ++i;
        continue;
      }
      std::size_t last = i;
      std::size_t certain = 1;
      for (std::size_t j = i + 1; j < t_.size() && j <= last + together_; ++j) {
        if (!Jumps(j, kNearShare)) continue;
        last = j;
        certain += Jumps(j) ? 1U : 0U;
      }
      std::size_t first = i;
      const std::size_t done = out.empty() ? 0 : EndOf(out.back());
      for (std::size_t j = i; j-- > done + 1 && first - j <= together_;) {
        if (Jumps(j, kNearShare)) first = j;
      }
      if (certain > 1) Add(first, last, out);
      i = last + 1;
    }
    return out;
  }

 private:
  bool Broken(std::size_t i) const { return std::abs(p_[i]) > highest_n_; }

  bool Jumps(std::size_t i, double share = 1.0) const {
    if (t_.fresh[i] != 0 || skip_[i] != 0) return false;
    return std::abs(p_[i] - p_[i - 1]) >
               std::max(share * fastest_n_, least_n_) ||
           Broken(i) != Broken(i - 1);
  }
  static std::size_t EndOf(const AwaySpan& span) {
    return span.begin + span.off.size();
  }

  // Away is what lies off the line between the two good ends by more than a
  // part of the smallest jump.
  void Add(std::size_t begin, std::size_t end,
           std::vector<AwaySpan>& out) const {
    const double before = p_[begin - 1];
    const double after = p_[end];
    double smallest = std::numeric_limits<double>::infinity();
    for (std::size_t i = begin; i <= end; ++i) {
      if (Jumps(i)) smallest = std::min(smallest, std::abs(p_[i] - p_[i - 1]));
    }
    const double limit = kBackShare * smallest;
    if (std::abs(after - before) > std::max({limit, fastest_n_, least_n_}))
      return;
    AwaySpan span{begin, {}};
    const auto steps = static_cast<double>(end - begin + 1);
    for (std::size_t i = begin; i < end; ++i) {
      const double part = static_cast<double>(i - begin + 1) / steps;
      const double line = before + part * (after - before);
      span.off.push_back(std::abs(p_[i] - line) > limit ? 1 : 0);
    }
    out.push_back(std::move(span));
  }

  const ChannelTraces& t_;
  const std::vector<double>& p_;
  const std::vector<char>& skip_;
  double fastest_n_;  // within one sample
  double least_n_;
  double highest_n_;
  std::size_t together_;
};

}  // namespace

std::vector<AwaySpan> JumpsNoForceMakes(const ChannelTraces& traces,
                                        double period_s, double range_n,
                                        std::optional<double> capacity_n,
                                        const std::vector<char>& skip) {
  return Finder(traces, period_s, range_n, capacity_n, skip).Find();
}

}  // namespace masseter
