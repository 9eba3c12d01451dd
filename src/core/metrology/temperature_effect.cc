#include "core/metrology/temperature_effect.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "core/metrology/least_squares.h"
#include "core/metrology/student_t.h"
#include "core/metrology/type_b.h"

namespace masseter {
namespace {

constexpr double kFewestKelvin = 3.0;
constexpr double kSignificance = 0.01;
constexpr double kSmallLoad = 0.2;
constexpr int kFewestDof = 3;

std::optional<PerKelvin> SlopeOf(const Eigen::MatrixXd& x,
                                 const Eigen::VectorXd& y) {
  if (x.rows() < x.cols() + kFewestDof) return std::nullopt;
  const auto fit = SolveLeastSquares(x, y);  // temperature is column 0
  if (!fit) return std::nullopt;
  PerKelvin out{fit->coeffs(0), std::sqrt(fit->covariance(0, 0)), false};
  if (!(out.se > 0.0) || !std::isfinite(out.se)) return std::nullopt;
  out.matters =
      2.0 * StudentTUpperTail(std::abs(out.value) / out.se, fit->dof) <
      kSignificance;
  return out;
}

class ZeroSlopes {
 public:
  explicit ZeroSlopes(const PreparedBench& prepared) {
    for (const Reading* row : prepared.zeros) {
      if (row->temp_c) rows_.push_back(row);
    }
    const auto n = static_cast<Eigen::Index>(rows_.size());
    x_.resize(n, 3);
    for (Eigen::Index r = 0; r < n; ++r) {
      const Reading& row = *rows_[static_cast<std::size_t>(r)];
      x_(r, 0) = *row.temp_c;
      x_(r, 1) = 1.0;
      x_(r, 2) = row.line;
    }
  }

  template <class Signal>
  std::optional<PerKelvin> Of(Signal signal) const {
    Eigen::VectorXd y(x_.rows());
    for (Eigen::Index r = 0; r < y.size(); ++r) {
      y(r) = signal(*rows_[static_cast<std::size_t>(r)]);
    }
    return SlopeOf(x_, y);
  }

 private:
  std::vector<const Reading*> rows_;
  Eigen::MatrixXd x_;
};

std::optional<PerKelvin> SpanSlope(const PreparedBench& prepared,
                                   const std::vector<double>& answer) {
  struct Run {
    double temp = 0.0, error = 0.0, n = 0.0;
  };
  std::map<std::pair<int, std::string>, Run> runs;
  const double largest = prepared.level_force_n.back();
  for (std::size_t i = 0; i < answer.size(); ++i) {
    const BenchLoad& load = prepared.bench.loads[i];
    if (!load.temp_c || load.force_n < kSmallLoad * largest) continue;
    Run& run = runs[{load.position, load.series}];
    run.temp += *load.temp_c;
    run.error += answer[i] / load.force_n - 1.0;
    run.n += 1.0;
  }
  const auto n = static_cast<Eigen::Index>(runs.size());
  const auto places =
      static_cast<Eigen::Index>(prepared.bench.positions.size());
  Eigen::MatrixXd x = Eigen::MatrixXd::Zero(n, 1 + places);
  Eigen::VectorXd y(n);
  Eigen::Index r = 0;
  for (const auto& [key, run] : runs) {
    x(r, 0) = run.temp / run.n;
    x(r, 1 + key.first) = 1.0;
    y(r) = run.error / run.n;
    ++r;
  }
  return SlopeOf(x, y);
}

}  // namespace

std::optional<TemperatureEffect> JudgeTemperature(
    const ReadingsTable& readings, const PreparedBench& prepared,
    const std::vector<double>& answer, const std::vector<double>& gain,
    std::vector<ChannelFacts>& channels) {
  std::vector<double> temps;
  for (const Reading& row : readings.rows) {
    if (row.temp_c) temps.push_back(*row.temp_c);
  }
  if (temps.empty()) return std::nullopt;
  const auto [low, high] = std::minmax_element(temps.begin(), temps.end());
  if (*high - *low < kFewestKelvin) return std::nullopt;
  TemperatureEffect out;
  out.low_c = *low;
  out.high_c = *high;
  const ZeroSlopes zeros(prepared);
  for (std::size_t c = 0; c < channels.size(); ++c) {
    const auto slope =
        zeros.Of([c](const Reading& row) { return row.signal[c]; });
    if (!slope) continue;
    channels[c].zero_per_k = slope->value;
    channels[c].zero_per_k_se = slope->se;
  }
  out.zero_n = zeros.Of([&](const Reading& row) {
    double sum = 0.0;
    for (std::size_t c = 0; c < gain.size(); ++c)
      sum += gain[c] * row.signal[c];
    return sum;
  });
  out.span = SpanSlope(prepared, answer);
  return out;
}

std::optional<double> TemperatureU(const TemperatureEffect& effect) {
  if (!effect.span || !effect.span->matters) return std::nullopt;
  return RectangularSd(std::abs(effect.span->value) * kFieldSwingK);
}

}  // namespace masseter
