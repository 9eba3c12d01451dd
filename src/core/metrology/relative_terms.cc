#include "core/metrology/relative_terms.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

namespace masseter {
namespace {

// Loads below a tenth of the largest say more about the zero than about the
// sleeve and are left out of the relative figures.
constexpr double kSmallLoad = 0.1;

using Key = std::tuple<int, int, bool, std::string>;

struct Pool {
  double squares = 0.0;
  int dof = 0;
  void Add(const std::vector<double>& values) {
    if (values.size() < 2) return;
    double mean = 0.0;
    for (const double v : values) mean += v;
    mean /= static_cast<double>(values.size());
    for (const double v : values) squares += (v - mean) * (v - mean);
    dof += static_cast<int>(values.size()) - 1;
  }
  std::optional<double> Sd() const {
    if (dof == 0) return std::nullopt;
    return std::sqrt(squares / dof);
  }
};

class Judge {
 public:
  Judge(const PreparedBench& prepared, const std::vector<double>& answer) {
    double largest = 0.0;
    for (const BenchLoad& load : prepared.bench.loads) {
      largest = std::max(largest, load.force_n);
    }
    for (std::size_t i = 0; i < prepared.bench.loads.size(); ++i) {
      const BenchLoad& load = prepared.bench.loads[i];
      if (load.force_n < kSmallLoad * largest || load.force_n <= 0.0) continue;
      const double error = answer[i] / load.force_n - 1.0;
      const int level = prepared.level[i];
      cell_[{load.position, level, load.rising, load.series}].push_back(error);
      level_[level].push_back(error);
      place_[load.position].push_back(error);
    }
  }

  std::optional<double> Repeatability() const {
    Pool pool;
    for (const auto& [key, errors] : cell_) pool.Add(errors);
    return pool.Sd();
  }

  std::optional<double> Reproducibility() const {
    std::map<std::tuple<int, int, bool>, std::vector<double>> placings;
    for (const auto& [key, errors] : cell_) {
      placings[{std::get<0>(key), std::get<1>(key), std::get<2>(key)}]
          .push_back(Mean(errors));
    }
    Pool pool;
    for (const auto& [key, means] : placings) pool.Add(means);
    return pool.Sd();
  }

  std::optional<double> Interpolation() const {
    if (level_.size() < 3) return std::nullopt;
    double sum = 0.0;
    for (const auto& [level, errors] : level_) {
      sum += Mean(errors) * Mean(errors);
    }
    return std::sqrt(sum / static_cast<double>(level_.size()));
  }

  // Mean over pairs of |falling - rising| / load, ISO 376's v.
  std::optional<double> Reversibility() const {
    double sum = 0.0;
    int pairs = 0;
    for (const auto& [key, errors] : cell_) {
      if (!std::get<2>(key)) continue;
      Key down = key;
      std::get<2>(down) = false;
      const auto it = cell_.find(down);
      if (it == cell_.end()) continue;
      sum += std::abs(Mean(it->second) - Mean(errors));
      ++pairs;
    }
    if (pairs == 0) return std::nullopt;
    return sum / pairs;
  }

  std::optional<double> OffCentre() const {
    if (place_.size() < 2) return std::nullopt;
    std::vector<double> means;
    for (const auto& [place, errors] : place_) means.push_back(Mean(errors));
    Pool pool;
    pool.Add(means);
    return pool.Sd();
  }

 private:
  static double Mean(const std::vector<double>& values) {
    double sum = 0.0;
    for (const double v : values) sum += v;
    return sum / static_cast<double>(values.size());
  }

  std::map<Key, std::vector<double>> cell_;
  std::map<int, std::vector<double>> level_;
  std::map<int, std::vector<double>> place_;
};

}  // namespace

RelativeTerms JudgeLoads(const PreparedBench& prepared,
                         const std::vector<double>& answer,
                         const Estimator& estimator, bool counts) {
  const Judge judge(prepared, answer);
  RelativeTerms out;
  out.repeatability = judge.Repeatability();
  out.reproducibility = judge.Reproducibility();
  out.interpolation = judge.Interpolation();
  out.reversibility = judge.Reversibility();
  out.off_centre = judge.OffCentre();
  double gain_square = 0.0;
  double zero = 0.0;
  for (std::size_t c = 0; c < estimator.gain.size(); ++c) {
    gain_square += estimator.gain[c] * estimator.gain[c];
    if (c < prepared.zero_change.size()) {
      zero += std::abs(estimator.gain[c]) * prepared.zero_change[c];
    }
  }
  if (!prepared.zero_change.empty()) {
    out.zero_return = zero / estimator.force_scale_n;
  }
  if (counts) {
    out.resolution =
        std::sqrt(gain_square / 12.0) / (0.5 * estimator.force_scale_n);
  }
  return out;
}

}  // namespace masseter
