#include "core/study/reliability.h"

#include <cmath>
#include <limits>

#include "core/metrology/student_t.h"

namespace masseter {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

// Quantities of the Shrout-Fleiss table that every form uses.
struct MeanSquares {
  double n;  // dogs
  double k;  // raters
  double bms;
  double wms;
  double jms;
  double ems;
};

Icc FromF(std::string_view form, std::string_view means, double f, double dof1,
          double dof2) {
  Icc out;
  out.form = form;
  out.means = means;
  out.f = f;
  out.dof1 = dof1;
  out.dof2 = dof2;
  out.p = std::isinf(f) ? 0.0 : FUpperTail(f, dof1, dof2);
  return out;
}

// ICC of one value from an F ratio: (F - 1) / (F + k - 1).
double Single(double f, double k) {
  return std::isinf(f) ? 1.0 : (f - 1.0) / (f + k - 1.0);
}
// Of the mean of k values: 1 - 1 / F.
double Mean(double f) { return 1.0 - 1.0 / f; }

struct Bounds {
  double lo;
  double hi;
};
Bounds FBounds(double f, double dof1, double dof2, double level) {
  const double p = 0.5 + level / 2.0;
  return {f / FQuantile(p, dof1, dof2), f * FQuantile(p, dof2, dof1)};
}

struct Pair {
  Icc one;
  Icc mean;
};

Pair FormsOfF(std::array<std::string_view, 4> words, double f, double dof1,
              double dof2, double k, double level) {
  Pair out{FromF(words[0], words[1], f, dof1, dof2),
           FromF(words[2], words[3], f, dof1, dof2)};
  const Bounds b = FBounds(f, dof1, dof2, level);
  out.one.value = Single(f, k);
  out.one.lo = Single(b.lo, k);
  out.one.hi = Single(b.hi, k);
  out.mean.value = Mean(f);
  out.mean.lo = Mean(b.lo);
  out.mean.hi = Mean(b.hi);
  return out;
}

// Form 2: Shrout and Fleiss 1979, p. 424, with Satterthwaite's degrees of
// freedom for the raters' and the error's mean squares together.
Pair FormTwo(const MeanSquares& m, double level) {
  const double f = m.ems > 0.0 ? m.bms / m.ems : INFINITY;
  const double dof1 = m.n - 1.0;
  const double dof2 = (m.n - 1.0) * (m.k - 1.0);
  Pair out{
      FromF("ICC2", "one value; raters are a sample, agreement", f, dof1, dof2),
      FromF("ICC2k", "mean of k; raters are a sample, agreement", f, dof1,
            dof2)};
  const double spread = m.k * (m.jms - m.ems) / m.n;
  const double icc = (m.bms - m.ems) / (m.bms + (m.k - 1.0) * m.ems + spread);
  out.one.value = icc;
  out.mean.value = (m.bms - m.ems) / (m.bms + (m.jms - m.ems) / m.n);
  const double fj = m.ems > 0.0 ? m.jms / m.ems : INFINITY;
  const double a = m.k * icc * fj + m.n * (1.0 + (m.k - 1.0) * icc) - m.k * icc;
  const double below =
      (m.n - 1.0) * m.k * m.k * icc * icc * fj * fj +
      std::pow(m.n * (1.0 + (m.k - 1.0) * icc) - m.k * icc, 2.0);
  const double v = (m.k - 1.0) * (m.n - 1.0) * a * a / below;
  if (!std::isfinite(v) || v <= 0.0) {
    out.one.lo = out.one.hi = out.mean.lo = out.mean.hi = kNan;
    return out;
  }
  const double p = 0.5 + level / 2.0;
  const double up = FQuantile(p, dof1, v);
  const double down = FQuantile(p, v, dof1);
  const double c = m.k * m.jms + (m.k * m.n - m.k - m.n) * m.ems;
  out.one.lo = m.n * (m.bms - up * m.ems) / (up * c + m.n * m.bms);
  out.one.hi = m.n * (down * m.bms - m.ems) / (c + m.n * down * m.bms);
  out.mean.lo = SpearmanBrown(out.one.lo, m.k);
  out.mean.hi = SpearmanBrown(out.one.hi, m.k);
  return out;
}

double Covariance(const RaterTable& t, std::size_t a, std::size_t b) {
  double mean_a = 0.0;
  double mean_b = 0.0;
  const double n = static_cast<double>(t.dogs);
  for (std::size_t i = 0; i < t.dogs; ++i) {
    mean_a += t.value[i * t.raters + a] / n;
    mean_b += t.value[i * t.raters + b] / n;
  }
  double sum = 0.0;
  for (std::size_t i = 0; i < t.dogs; ++i) {
    sum += (t.value[i * t.raters + a] - mean_a) *
           (t.value[i * t.raters + b] - mean_b);
  }
  return sum / (n - 1.0);
}

// k/(k-1) (1 - sum of variances / variance of the sum), over the columns but
// `left_out`.
double RawAlpha(const std::vector<double>& cov, std::size_t raters,
                std::size_t left_out) {
  double diagonal = 0.0;
  double all = 0.0;
  double k = 0.0;
  for (std::size_t a = 0; a < raters; ++a) {
    if (a == left_out) continue;
    k += 1.0;
    diagonal += cov[a * raters + a];
    for (std::size_t b = 0; b < raters; ++b) {
      if (b != left_out) all += cov[a * raters + b];
    }
  }
  if (k < 2.0 || all <= 0.0) return kNan;
  return k / (k - 1.0) * (1.0 - diagonal / all);
}

Alpha AlphaOf(const RaterTable& t, double level) {
  const std::size_t k = t.raters;
  std::vector<double> cov(k * k);
  for (std::size_t a = 0; a < k; ++a) {
    for (std::size_t b = 0; b < k; ++b) cov[a * k + b] = Covariance(t, a, b);
  }
  Alpha out;
  out.value = RawAlpha(cov, k, k);
  const double dof1 = static_cast<double>(t.dogs) - 1.0;
  const double dof2 = dof1 * (static_cast<double>(k) - 1.0);
  const double p = 0.5 + level / 2.0;
  out.lo = 1.0 - (1.0 - out.value) * FQuantile(p, dof1, dof2);
  out.hi = 1.0 - (1.0 - out.value) * FQuantile(1.0 - p, dof1, dof2);
  double r = 0.0;
  for (std::size_t a = 0; a < k; ++a) {
    for (std::size_t b = 0; b < a; ++b) {
      r += cov[a * k + b] / std::sqrt(cov[a * k + a] * cov[b * k + b]);
    }
  }
  r /= 0.5 * static_cast<double>(k * (k - 1));
  out.standardised = SpearmanBrown(r, static_cast<double>(k));
  for (std::size_t a = 0; a < k; ++a) {
    out.without_rater.push_back(RawAlpha(cov, k, a));
  }
  return out;
}

Expected<MeanSquares> MeanSquaresOf(const RaterTable& t) {
  if (t.dogs < 2 || t.raters < 2) {
    return BadInput("", "needs at least two dogs and two values of each");
  }
  const auto crossed =
      AnalyseCrossed(CrossedTable{{t.dogs, t.raters}, 1, t.value}, 1.0);
  if (!crossed) return tl::unexpected(crossed.error());
  MeanSquares m{};
  m.n = static_cast<double>(t.dogs);
  m.k = static_cast<double>(t.raters);
  const CrossedEffect& dogs = *crossed->Find(1U);
  const CrossedEffect& raters = *crossed->Find(2U);
  m.bms = dogs.ms;
  m.jms = raters.ms;
  m.ems = crossed->error_ms;
  m.wms = (raters.ss + crossed->error_ss) / (m.n * (m.k - 1.0));
  if (m.bms <= 0.0 && m.wms <= 0.0) {
    return BadInput("", "all values are equal; nothing can be told apart");
  }
  return m;
}

}  // namespace

double SpearmanBrown(double reliability, double times) {
  return times * reliability / (1.0 + (times - 1.0) * reliability);
}

std::optional<std::size_t> BitesForReliability(double reliability,
                                               double wanted) {
  if (!(reliability > 0.0) || !(reliability < 1.0) || !(wanted > 0.0) ||
      !(wanted < 1.0)) {
    return std::nullopt;
  }
  const double m =
      wanted * (1.0 - reliability) / (reliability * (1.0 - wanted));
  if (m > 1e6) return std::nullopt;
  // A count that is whole but for rounding is that count.
  return static_cast<std::size_t>(std::fmax(1.0, std::ceil(m - 1e-9)));
}

Icc OneWayIcc(const OneWayAnova& a, double level) {
  return FormsOfF({"ICC1", "one value; every dog had its own raters", "", ""},
                  a.f, a.between_dof, a.within_dof, a.n0, level)
      .one;
}

Expected<Reliability> AnalyseReliability(const RaterTable& table,
                                         double level) {
  const auto squares = MeanSquaresOf(table);
  if (!squares) return tl::unexpected(squares.error());
  const MeanSquares& m = *squares;
  Reliability out;
  out.dogs_ms = m.bms;
  out.within_ms = m.wms;
  out.raters_ms = m.jms;
  out.error_ms = m.ems;
  const Pair one =
      FormsOfF({"ICC1", "one value; every dog had its own raters", "ICC1k",
                "mean of k; every dog had its own raters"},
               m.wms > 0.0 ? m.bms / m.wms : INFINITY, m.n - 1.0,
               m.n * (m.k - 1.0), m.k, level);
  const Pair two = FormTwo(m, level);
  const Pair three =
      FormsOfF({"ICC3", "one value; these raters only, consistency", "ICC3k",
                "mean of k; these raters only, consistency"},
               m.ems > 0.0 ? m.bms / m.ems : INFINITY, m.n - 1.0,
               (m.n - 1.0) * (m.k - 1.0), m.k, level);
  out.icc = {one.one, two.one, three.one, one.mean, two.mean, three.mean};
  out.alpha = AlphaOf(table, level);
  const double rater_var = std::fmax(0.0, (m.jms - m.ems) / m.n);
  out.sem_consistency = std::sqrt(m.ems);
  out.sem_agreement = std::sqrt(rater_var + m.ems);
  const double two_sided = NormalQuantile(0.5 + level / 2.0);
  out.srd_consistency = two_sided * std::sqrt(2.0) * out.sem_consistency;
  out.srd_agreement = two_sided * std::sqrt(2.0) * out.sem_agreement;
  return out;
}

}  // namespace masseter
