#include "core/metrology/channel_map.h"

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "core/metrology/estimator_fit.h"
#include "core/metrology/least_squares.h"

namespace masseter {
namespace {

constexpr std::size_t kFewestChannels = 4;
constexpr std::size_t kFewestPlaces = 5;
// Below this share of the largest load the zero decides, not the place.
constexpr double kSmallLoad = 0.05;
// Pairs are held towards zero, more or less as the left-out error likes it: at
// few places they are barely determined.
constexpr std::array<double, 3> kRidges = {1e-2, 1e-3, 1e-5};
constexpr double kWorthPairs = 0.9;

std::vector<double> Gained(const Estimator& e, const BenchLoad& load) {
  std::vector<double> p(e.channels());
  for (std::size_t c = 0; c < p.size(); ++c) p[c] = e.gain[c] * load.v[c];
  return p;
}

double SumOf(std::span<const double> p) {
  double sum = 0.0;
  for (const double x : p) sum += x;
  return sum;
}

// Terms of channel c's prediction.
std::vector<double> TermsOf(std::size_t c, std::span<const double> p,
                            bool pairs) {
  std::vector<double> others;
  for (std::size_t k = 0; k < p.size(); ++k) {
    if (k != c) others.push_back(p[k]);
  }
  std::vector<double> out = others;
  if (!pairs) return out;
  double size = 0.0;
  for (const double x : others) size += std::abs(x);
  const double total = std::max(SumOf(others), 0.25 * size);
  for (std::size_t i = 0; i < others.size(); ++i) {
    for (std::size_t j = i + 1; j < others.size(); ++j) {
      out.push_back(total > 0.0 ? others[i] * others[j] / total : 0.0);
    }
  }
  return out;
}

double Apply(const std::vector<double>& coeffs,
             const std::vector<double>& terms) {
  double sum = 0.0;
  for (std::size_t k = 0; k < coeffs.size(); ++k) sum += coeffs[k] * terms[k];
  return sum;
}

struct Row {
  std::vector<double> p;
  double total = 0.0;
  int place = 0;
};

// Relative loads, the rows of `left_out` aside (-1: none). Pairs are used with
// a ridge above zero.
std::vector<double> Fit(const std::vector<Row>& rows, std::size_t c,
                        double ridge, int left_out) {
  const bool pairs = ridge > 0.0;
  std::vector<const Row*> used;
  for (const Row& row : rows) {
    if (row.place != left_out) used.push_back(&row);
  }
  const std::size_t terms = TermsOf(c, rows.front().p, pairs).size();
  const std::size_t linear = rows.front().p.size() - 1;
  const std::size_t held = terms - linear;
  Eigen::MatrixXd x =
      Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(used.size() + held),
                            static_cast<Eigen::Index>(terms));
  Eigen::VectorXd y = Eigen::VectorXd::Zero(x.rows());
  for (std::size_t i = 0; i < used.size(); ++i) {
    const auto r = static_cast<Eigen::Index>(i);
    const std::vector<double> t = TermsOf(c, used[i]->p, pairs);
    for (std::size_t k = 0; k < terms; ++k) {
      x(r, static_cast<Eigen::Index>(k)) = t[k] / used[i]->total;
    }
    y(r) = used[i]->p[c] / used[i]->total;
  }
  const double held_by = std::sqrt(ridge * static_cast<double>(used.size()));
  for (std::size_t k = 0; k < held; ++k) {
    x(static_cast<Eigen::Index>(used.size() + k),
      static_cast<Eigen::Index>(linear + k)) = held_by;
  }
  const auto fit = SolveLeastSquares(x, y, nullptr, RankRule::kMinimumNorm);
  if (!fit) return {};
  return {fit->coeffs.data(), fit->coeffs.data() + fit->coeffs.size()};
}

std::optional<double> LeftOutRms(const std::vector<Row>& rows, std::size_t c,
                                 double ridge, int places) {
  const bool pairs = ridge > 0.0;
  double squares = 0.0;
  for (int place = 0; place < places; ++place) {
    const std::vector<double> coeffs = Fit(rows, c, ridge, place);
    if (coeffs.empty()) return std::nullopt;
    for (const Row& row : rows) {
      if (row.place != place) continue;
      const double e = Apply(coeffs, TermsOf(c, row.p, pairs)) - row.p[c];
      squares += e * e / (row.total * row.total);
    }
  }
  return std::sqrt(squares / static_cast<double>(rows.size()));
}

std::optional<ChannelPrediction> FitOne(const std::vector<Row>& rows,
                                        std::size_t c, int places) {
  const auto linear = LeftOutRms(rows, c, 0.0, places);
  if (!linear) return std::nullopt;
  double best = 0.0;
  ChannelPrediction out;
  out.relative_sd = *linear;
  for (const double ridge : kRidges) {
    const auto pairs = LeftOutRms(rows, c, ridge, places);
    if (!pairs) return std::nullopt;
    if (*pairs >= kWorthPairs * *linear || *pairs >= out.relative_sd) continue;
    best = ridge;
    out.relative_sd = *pairs;
  }
  out.coeffs = Fit(rows, c, best, -1);
  if (out.coeffs.empty()) return std::nullopt;
  return out;
}

}  // namespace

double ChannelMap::Predict(std::size_t c, std::span<const double> p) const {
  const std::vector<double>& coeffs = channel[c].coeffs;
  return Apply(coeffs, TermsOf(c, p, coeffs.size() > p.size() - 1));
}

ChannelMap FitChannelMap(const Estimator& estimator, const BenchSet& bench) {
  ChannelMap out;
  const std::size_t m = estimator.channels();
  if (m < 2 || estimator.form == EstimatorForm::kCurve) return out;
  double largest = 0.0;
  for (const BenchLoad& load : bench.loads) {
    largest = std::max(largest, load.force_n);
  }
  std::vector<Row> rows;
  out.lowest_ratio.assign(m, 1e300);
  out.lowest_force_ratio = 1e300;
  for (const BenchLoad& load : bench.loads) {
    Row row{Gained(estimator, load), 0.0, load.position};
    row.total = SumOf(row.p);
    if (load.force_n < kSmallLoad * largest || row.total <= 0.0) continue;
    for (std::size_t c = 0; c < m; ++c) {
      const double others = row.total - row.p[c];
      if (others <= 0.0) continue;
      out.lowest_ratio[c] = std::min(out.lowest_ratio[c], row.p[c] / others);
    }
    out.lowest_force_ratio =
        std::min(out.lowest_force_ratio, load.force_n / row.total);
    rows.push_back(std::move(row));
  }
  if (rows.empty()) return {};
  const auto places = bench.positions.size();
  if (m < kFewestChannels || places < kFewestPlaces) return out;
  for (std::size_t c = 0; c < m; ++c) {
    auto one = FitOne(rows, c, static_cast<int>(places));
    if (!one) {
      out.channel.clear();
      return out;
    }
    out.channel.push_back(std::move(*one));
  }
  return out;
}

}  // namespace masseter
