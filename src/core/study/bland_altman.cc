#include "core/study/bland_altman.h"

#include <cmath>

#include "core/metrology/student_t.h"
#include "core/study/anova.h"

namespace masseter {
namespace {

double MeanOf(const std::vector<double>& v) {
  double sum = 0.0;
  for (const double x : v) sum += x;
  return sum / static_cast<double>(v.size());
}

double SquaresAbout(const std::vector<double>& v, double mean) {
  double sum = 0.0;
  for (const double x : v) sum += (x - mean) * (x - mean);
  return sum;
}

// Pooled within-subject variance of one method, and what its repeats leave of
// it in the mean.
struct Within {
  double variance = 0.0;
  double dof = 0.0;
  double mean_inverse = 0.0;  // mean over subjects of 1 / repeats
};

Within WithinOf(const std::vector<MethodPair>& subjects,
                std::vector<double> MethodPair::*method) {
  Within out;
  double squares = 0.0;
  for (const MethodPair& s : subjects) {
    const std::vector<double>& v = s.*method;
    squares += SquaresAbout(v, MeanOf(v));
    out.dof += static_cast<double>(v.size()) - 1.0;
    out.mean_inverse += 1.0 / static_cast<double>(v.size());
  }
  out.mean_inverse /= static_cast<double>(subjects.size());
  if (out.dof > 0.0) out.variance = squares / out.dof;
  return out;
}

void FillSlope(BlandAltman& out) {
  const double n = static_cast<double>(out.points.size());
  double x = 0.0;
  for (const DifferencePoint& p : out.points) x += p.mean / n;
  double sxx = 0.0;
  double sxy = 0.0;
  double syy = 0.0;
  for (const DifferencePoint& p : out.points) {
    sxx += (p.mean - x) * (p.mean - x);
    sxy += (p.mean - x) * (p.difference - out.mean);
    syy += (p.difference - out.mean) * (p.difference - out.mean);
  }
  if (sxx <= 0.0 || n < 3.0) return;
  out.slope = sxy / sxx;
  const double rest = std::fmax(0.0, syy - out.slope * sxy) / (n - 2.0);
  if (rest <= 0.0) {
    out.slope_p = out.slope == 0.0 ? 1.0 : 0.0;
    return;
  }
  const double t = out.slope / std::sqrt(rest / sxx);
  out.slope_p = 2.0 * StudentTUpperTail(std::abs(t), n - 2.0);
}

// mean +- z sd and the intervals. Variance of the limit by Bland and Altman
// 1999: var(mean) + z^2 var(sd), with var(sd) = var(sd^2) / (4 sd^2) and each
// part of sd^2 a scaled chi-squared.
void FillLimits(BlandAltman& out, double means_variance, const Within& a,
                const Within& b, double level) {
  const double n = static_cast<double>(out.subjects);
  const double part_a = (1.0 - a.mean_inverse) * a.variance;
  const double part_b = (1.0 - b.mean_inverse) * b.variance;
  const double variance = means_variance + part_a + part_b;
  out.sd = std::sqrt(variance);
  out.se_mean = std::sqrt(means_variance / n);
  const double z = NormalQuantile(0.5 + level / 2.0);
  const double t = CoverageFactor(level, n - 1.0);
  out.mean_lo = out.mean - t * out.se_mean;
  out.mean_hi = out.mean + t * out.se_mean;
  out.limit_lo = out.mean - z * out.sd;
  out.limit_hi = out.mean + z * out.sd;
  double of_square = 2.0 * means_variance * means_variance / (n - 1.0);
  if (a.dof > 0.0) of_square += 2.0 * part_a * part_a / a.dof;
  if (b.dof > 0.0) of_square += 2.0 * part_b * part_b / b.dof;
  const double of_sd = variance > 0.0 ? of_square / (4.0 * variance) : 0.0;
  out.se_limit = std::sqrt(means_variance / n + z * z * of_sd);
  out.limit_lo_from = out.limit_lo - t * out.se_limit;
  out.limit_lo_to = out.limit_lo + t * out.se_limit;
  out.limit_hi_from = out.limit_hi - t * out.se_limit;
  out.limit_hi_to = out.limit_hi + t * out.se_limit;
}

}  // namespace

Expected<BlandAltman> CompareMethods(const std::vector<MethodPair>& subjects,
                                     double level) {
  if (subjects.size() < 3) {
    return BadInput("", "needs three dogs that both have measured");
  }
  BlandAltman out;
  out.subjects = subjects.size();
  std::vector<double> differences;
  for (const MethodPair& s : subjects) {
    if (s.a.empty() || s.b.empty()) {
      return BadInput("", "a dog lacks one of the two");
    }
    out.values_a += s.a.size();
    out.values_b += s.b.size();
    const double a = MeanOf(s.a);
    const double b = MeanOf(s.b);
    out.points.push_back({(a + b) / 2.0, a - b});
    differences.push_back(a - b);
  }
  out.repeated = out.values_a > out.subjects || out.values_b > out.subjects;
  out.mean = MeanOf(differences);
  const double variance = SquaresAbout(differences, out.mean) /
                          (static_cast<double>(out.subjects) - 1.0);
  const Within a = WithinOf(subjects, &MethodPair::a);
  const Within b = WithinOf(subjects, &MethodPair::b);
  out.within_a_sd = std::sqrt(a.variance);
  out.within_b_sd = std::sqrt(b.variance);
  FillLimits(out, variance, a, b, level);
  FillSlope(out);
  return out;
}

Expected<VaryingTruth> ComparePairsOfVaryingTruth(
    const std::vector<std::vector<double>>& differences, double level) {
  std::vector<double> value;
  std::vector<std::size_t> group;
  for (std::size_t i = 0; i < differences.size(); ++i) {
    for (const double d : differences[i]) {
      value.push_back(d);
      group.push_back(i);
    }
  }
  const auto a = AnalyseOneWay(value, group, differences.size());
  if (!a) return tl::unexpected(a.error());
  VaryingTruth out;
  out.mean = a->mean;
  out.between_ms = a->between_ms;
  out.within_ms = a->within_ms;
  out.n0 = a->n0;
  out.between_variance = std::fmax(0.0, (a->between_ms - a->within_ms) / a->n0);
  out.sd = std::sqrt(out.between_variance + a->within_ms);
  const double z = NormalQuantile(0.5 + level / 2.0);
  out.limit_lo = out.mean - z * out.sd;
  out.limit_hi = out.mean + z * out.sd;
  return out;
}

}  // namespace masseter
