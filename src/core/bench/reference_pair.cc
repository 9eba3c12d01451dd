#include "core/bench/reference_pair.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "core/signal/robust.h"

namespace masseter {
namespace {

constexpr double kGridHz = 200.0;
constexpr double kPieceS = 12.0;
constexpr double kLeastOverlapS = 5.0;
constexpr double kLeastAgreement = 0.5;
constexpr double kZeroShare = 0.02;
constexpr double kLowestBin = 0.05;
constexpr double kTurn = 0.2;
constexpr double kFastest = 2.0;  // largest forces a second
constexpr std::size_t kLeastInBin = 10;

// Slopes over three samples, mean taken off: what moves, not where it stands.
std::vector<double> Slopes(std::span<const double> x) {
  std::vector<double> out(x.size(), 0.0);
  double mean = 0.0;
  for (std::size_t i = 1; i + 1 < x.size(); ++i) {
    out[i] = x[i + 1] - x[i - 1];
    mean += out[i];
  }
  mean /= static_cast<double>(std::max<std::size_t>(x.size(), 1));
  for (double& v : out) v -= mean;
  return out;
}

// Normalised cross-correlation of a(i) with b(i + lag).
double Agreement(const std::vector<double>& a, const std::vector<double>& b,
                 std::ptrdiff_t lag) {
  double ab = 0.0;
  double aa = 0.0;
  double bb = 0.0;
  const auto n = static_cast<std::ptrdiff_t>(std::min(a.size(), b.size()));
  for (std::ptrdiff_t i = std::max<std::ptrdiff_t>(0, -lag);
       i < n - std::max<std::ptrdiff_t>(0, lag); ++i) {
    const double x = a[static_cast<std::size_t>(i)];
    const double y = b[static_cast<std::size_t>(i + lag)];
    ab += x * y;
    aa += x * x;
    bb += y * y;
  }
  return aa > 0.0 && bb > 0.0 ? ab / std::sqrt(aa * bb) : 0.0;
}

// The lag in samples that makes early(i) = g late(i + lag) + c best in the
// sense of least squares: Gauss-Newton from a lag of whole samples, with
// late' by central differences. The correlation's own crest is so flat for a
// slow hand that what stands at the record's ends would decide.
double Refine(std::span<const double> early, std::span<const double> late,
              double lag) {
  const auto n =
      static_cast<std::ptrdiff_t>(std::min(early.size(), late.size()));
  for (int round = 0; round < 8; ++round) {
    const double whole = std::floor(lag);
    const double part = lag - whole;
    const auto shift = static_cast<std::ptrdiff_t>(whole);
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    for (std::ptrdiff_t i = std::max<std::ptrdiff_t>(0, 1 - shift);
         i < std::min(n, n - 2 - shift); ++i) {
      const auto k = static_cast<std::size_t>(i + shift);
      const double value = late[k] + part * (late[k + 1] - late[k]);
      const double here = 0.5 * (late[k + 1] - late[k - 1]);
      const double next = 0.5 * (late[k + 2] - late[k]);
      const Eigen::Vector3d row(value, here + part * (next - here), 1.0);
      normal += row * row.transpose();
      right += row * early[static_cast<std::size_t>(i)];
    }
    const Eigen::Vector3d fit = normal.ldlt().solve(right);
    const double step = fit(0) != 0.0 ? fit(1) / fit(0) : 0.0;
    if (!(std::abs(step) < 5.0)) break;
    lag += step;
    if (std::abs(step) < 1e-6) break;
  }
  return lag;
}

}  // namespace

std::optional<double> LagOf(std::span<const double> early,
                            std::span<const double> late, double rate_hz,
                            double most_s) {
  const auto a = Slopes(early);
  const auto b = Slopes(late);
  const auto most = std::min<std::ptrdiff_t>(
      static_cast<std::ptrdiff_t>(std::lround(most_s * rate_hz)),
      static_cast<std::ptrdiff_t>(a.size()) / 2);
  if (most < 2) return std::nullopt;
  std::ptrdiff_t best = -most;
  double highest = -2.0;
  for (std::ptrdiff_t lag = -most; lag <= most; ++lag) {
    const double r = Agreement(a, b, lag);
    if (r > highest) {
      highest = r;
      best = lag;
    }
  }
  if (highest < kLeastAgreement || best == -most || best == most) {
    return std::nullopt;
  }
  return Refine(early, late, static_cast<double>(best)) / rate_hz;
}

std::vector<double> Resample(const std::vector<double>& t_s,
                             const std::vector<double>& value, double first_s,
                             double rate_hz, std::size_t count) {
  std::vector<double> out(count, 0.0);
  if (t_s.empty()) return out;
  std::size_t k = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const double t = first_s + static_cast<double>(i) / rate_hz;
    while (k + 1 < t_s.size() && t_s[k + 1] < t) ++k;
    if (k + 1 >= t_s.size() || t <= t_s[k]) {
      out[i] = t <= t_s[k] ? value[k] : value.back();
      continue;
    }
    const double step = t_s[k + 1] - t_s[k];
    const double part = step > 0.0 ? (t - t_s[k]) / step : 0.0;
    out[i] = value[k] + part * (value[k + 1] - value[k]);
  }
  return out;
}

namespace {

class Pairing {
 public:
  Pairing(const TimedSignals& sleeve, const TimedSignals& reference,
          const PairOptions& options)
      : sleeve_(sleeve), reference_(reference), options_(options) {}

  Expected<PairedReadings> Run() {
    if (auto ok = Overlay(); !ok) return tl::unexpected(ok.error());
    if (auto ok = FindLag(); !ok) return tl::unexpected(ok.error());
    ShiftReference();
    if (auto ok = FindZero(); !ok) return tl::unexpected(ok.error());
    Walk();
    if (out_.passes < 4) {
      out_.warnings.push_back(
          "fewer than two rises and two falls; load and unload three times or "
          "more, so that repeatability can be told");
    }
    return std::move(out_);
  }

 private:
  Expected<void> Overlay() {
    if (sleeve_.t_s.size() < 2 || reference_.t_s.size() < 2) {
      return BadInput("", "the sleeve or the reference gave no samples");
    }
    const double first = std::max(sleeve_.t_s.front(), reference_.t_s.front());
    const double last = std::min(sleeve_.t_s.back(), reference_.t_s.back());
    if (!(last - first >= kLeastOverlapS)) {
      return BadInput("",
                      "both signals must run together for five seconds or "
                      "more");
    }
    const auto rate_of = [](const TimedSignals& s) {
      return static_cast<double>(s.t_s.size() - 1) /
             (s.t_s.back() - s.t_s.front());
    };
    rate_ = std::min({kGridHz, rate_of(sleeve_), rate_of(reference_)});
    first_ = first;
    count_ = static_cast<std::size_t>((last - first) * rate_) + 1;
    for (const auto& channel : sleeve_.value) {
      grid_.push_back(Resample(sleeve_.t_s, channel, first_, rate_, count_));
    }
    force_ = Resample(reference_.t_s, reference_.value.front(), first_, rate_,
                      count_);
    return {};
  }

  // The sum of channels, turned so that it rises with the reference.
  std::vector<double> Sum() const {
    std::vector<double> sum(count_, 0.0);
    for (const auto& channel : grid_) {
      for (std::size_t i = 0; i < count_; ++i) sum[i] += channel[i];
    }
    const double middle_sum = Median(sum);
    const double middle_force = Median(force_);
    double product = 0.0;
    for (std::size_t i = 0; i < count_; ++i) {
      product += (sum[i] - middle_sum) * (force_[i] - middle_force);
    }
    if (product < 0.0) {
      for (double& v : sum) v = -v;
    }
    return sum;
  }

  Expected<void> FindLag() {
    const std::vector<double> sum = Sum();
    const auto whole = LagOf(sum, force_, rate_, options_.most_lag_s);
    if (!whole) {
      return BadInput("",
                      "the sleeve and the reference do not move together; "
                      "are they in series, and is it the right column");
    }
    out_.lag_s = *whole;
    const auto piece = static_cast<std::size_t>(kPieceS * rate_);
    if (count_ < 2 * piece) return {};
    std::vector<double> at;
    std::vector<double> lag;
    for (std::size_t i = 0; i + piece <= count_; i += piece) {
      const auto l = LagOf(std::span(sum).subspan(i, piece),
                           std::span(force_).subspan(i, piece), rate_,
                           options_.most_lag_s);
      // A piece in which little happens can agree anywhere.
      if (!l || std::abs(*l - *whole) > 0.1) continue;
      const std::size_t middle = i + piece / 2;
      at.push_back(static_cast<double>(middle) / rate_);
      lag.push_back(*l);
    }
    if (at.size() >= 3) FollowDrift(at, lag);
    return {};
  }

  void FollowDrift(const std::vector<double>& at,
                   const std::vector<double>& lag) {
    const auto n = static_cast<double>(at.size());
    double t_mean = 0.0;
    double l_mean = 0.0;
    for (std::size_t i = 0; i < at.size(); ++i) {
      t_mean += at[i] / n;
      l_mean += lag[i] / n;
    }
    double tt = 0.0;
    double tl = 0.0;
    for (std::size_t i = 0; i < at.size(); ++i) {
      tt += (at[i] - t_mean) * (at[i] - t_mean);
      tl += (at[i] - t_mean) * (lag[i] - l_mean);
    }
    out_.lag_drift = tl / tt;
    const double middle = 0.5 * static_cast<double>(count_) / rate_;
    out_.lag_s = l_mean + out_.lag_drift * (middle - t_mean);
  }

  void ShiftReference() {
    const double middle = 0.5 * static_cast<double>(count_) / rate_;
    std::vector<double> shifted(count_);
    for (std::size_t i = 0; i < count_; ++i) {
      const double t = static_cast<double>(i) / rate_;
      const double lag = out_.lag_s + out_.lag_drift * (t - middle);
      const double x =
          std::clamp((t + lag) * rate_, 0.0, static_cast<double>(count_ - 1));
      const auto k = std::min(static_cast<std::size_t>(x), count_ - 2);
      const double part = x - static_cast<double>(k);
      shifted[i] = force_[k] + part * (force_[k + 1] - force_[k]);
    }
    force_ = std::move(shifted);
  }

  Expected<void> FindZero() {
    const auto [low, high] = std::minmax_element(force_.begin(), force_.end());
    const double span = *high - *low;
    if (!(span > 0.0)) return BadInput("", "the reference never moves");
    std::vector<double> quiet;
    for (const double f : force_) {
      if (f < *low + 0.05 * span) quiet.push_back(f);
    }
    out_.reference_zero_n = Median(quiet);
    for (double& f : force_) f -= out_.reference_zero_n;
    out_.largest_n = *std::max_element(force_.begin(), force_.end());
    if (force_.front() > kZeroShare * out_.largest_n) {
      return BadInput("",
                      "begins under load; begin with nothing on the sleeve");
    }
    return {};
  }

  bool AtZero(std::size_t i) const {
    return force_[i] < kZeroShare * out_.largest_n;
  }

  // From zero to zero: one series.
  void Walk() {
    std::size_t i = 0;
    int series = 0;
    while (i < count_) {
      std::size_t zero_end = i;
      while (zero_end < count_ && AtZero(zero_end)) ++zero_end;
      const auto zero = Mean(i, zero_end);
      // A zero between two loads closes one series and opens the next.
      if (series > 0 && zero) AddZero(series, false, *zero);
      if (zero_end >= count_) break;
      std::size_t load_end = zero_end;
      double highest = 0.0;
      while (load_end < count_ && !AtZero(load_end)) {
        highest = std::max(highest, force_[load_end]);
        ++load_end;
      }
      // A touch is no load; one that is still on at the end is no series.
      if (highest >= kTurn * out_.largest_n && zero && load_end < count_) {
        AddZero(++series, true, *zero);
        AddPasses(series, zero_end, load_end);
      }
      i = load_end;
    }
  }

  std::optional<PairRow> Mean(std::size_t first, std::size_t last) const {
    if (last - first < kLeastInBin) return std::nullopt;
    std::vector<std::size_t> rows;
    for (std::size_t i = first; i < last; ++i) rows.push_back(i);
    return MeanOf(rows);
  }

  PairRow MeanOf(const std::vector<std::size_t>& rows) const {
    PairRow out;
    out.signal.assign(grid_.size(), 0.0);
    out.samples = rows.size();
    const auto n = static_cast<double>(rows.size());
    for (const std::size_t i : rows) {
      out.force_n += force_[i] / n;
      out.t_s += (first_ + static_cast<double>(i) / rate_) / n;
      for (std::size_t c = 0; c < grid_.size(); ++c) {
        out.signal[c] += grid_[c][i] / n;
      }
    }
    return out;
  }

  void AddZero(int series, bool rising, PairRow row) {
    row.series = series;
    row.rising = rising;
    row.force_n = 0.0;
    out_.rows.push_back(std::move(row));
  }

  // Cuts a load at its turning points and bins each pass.
  void AddPasses(int series, std::size_t first, std::size_t last) {
    const double turn = kTurn * out_.largest_n;
    bool rising = true;
    std::size_t from = first;
    std::size_t extreme = first;
    for (std::size_t i = first; i < last; ++i) {
      const bool further =
          rising ? force_[i] >= force_[extreme] : force_[i] <= force_[extreme];
      if (further) {
        extreme = i;
      } else if (std::abs(force_[i] - force_[extreme]) > turn) {
        AddPass(series, rising, from, extreme + 1);
        from = extreme;
        rising = !rising;
        extreme = i;
      }
    }
    AddPass(series, rising, from, last);
  }

  void AddPass(int series, bool rising, std::size_t first, std::size_t last) {
    ++out_.passes;
    const double low = kLowestBin * out_.largest_n;
    const double width = (out_.largest_n - low) / options_.bins;
    std::vector<std::vector<std::size_t>> bins(
        static_cast<std::size_t>(options_.bins));
    for (std::size_t i = std::max<std::size_t>(first, 1);
         i < last && i + 1 < count_; ++i) {
      const double slope = 0.5 * rate_ * (force_[i + 1] - force_[i - 1]);
      if (std::abs(slope) > kFastest * out_.largest_n) continue;
      const double x = (force_[i] - low) / width;
      if (x < 0.0) continue;
      bins[std::min(static_cast<std::size_t>(x), bins.size() - 1)].push_back(i);
    }
    if (!rising) std::reverse(bins.begin(), bins.end());
    for (const auto& rows : bins) {
      if (rows.size() < kLeastInBin) continue;
      PairRow row = MeanOf(rows);
      row.series = series;
      row.rising = rising;
      out_.rows.push_back(std::move(row));
    }
  }

  const TimedSignals& sleeve_;
  const TimedSignals& reference_;
  const PairOptions& options_;
  double rate_ = kGridHz;
  double first_ = 0.0;
  std::size_t count_ = 0;
  std::vector<std::vector<double>> grid_;
  std::vector<double> force_;
  PairedReadings out_;
};

}  // namespace

Expected<PairedReadings> PairReadings(const TimedSignals& sleeve,
                                      const TimedSignals& reference,
                                      const PairOptions& options) {
  if (options.bins < 2 || options.bins > 100) {
    return BadInput("--bins", "must lie between 2 and 100");
  }
  return Pairing(sleeve, reference, options).Run();
}

}  // namespace masseter
