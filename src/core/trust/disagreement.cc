#include "core/trust/disagreement.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/trust/propagate.h"

namespace masseter {
namespace {

constexpr double kCoverage95 = 1.959964;
constexpr double kLeastFault = 0.01;  // of the peak: verdict.h

// What is known of one cause in both bites together.
struct Cause {
  std::string word;
  Side side = Side::kBoth;
  double corrected_n = 0.0;
  std::vector<DrawnTerm> terms;  // of d_A - d_B
  bool lost_first = false;       // a force of unknown size is missing
  bool lost_second = false;
  bool unsized = false;  // evidence without newtons
};

DrawnTerm Normal95(double half_width) {
  return {TermShape::kNormal, half_width / kCoverage95, 0.0};
}

// Even on [0, most], upwards for the first bite, downwards for the second.
DrawnTerm Upwards(double most, double sign) {
  return {TermShape::kOneSided, sign * most / std::sqrt(3.0), 0.0};
}

bool LosesForce(const Reason& r) {
  return r.lower_bound || r.code == ReasonCode::kRestart ||
         ((r.code == ReasonCode::kRail || r.code == ReasonCode::kGap) &&
          !r.effect_n);
}

std::string LineCause(const std::string& term) {
  if (term == "zero") return "zero";
  for (const char* word :
       {"noise", "crest", "sampling", "bandwidth", "dynamics"}) {
    if (term == word) return "sampling";
  }
  return "calibration";
}

// The place's part of the calibration's relative standard uncertainty.
double PlacePart(const Calibration& c) {
  const double known = c.left_out_rms.value_or(c.relative.off_centre.value_or(
      c.place_seen ? 0.0 : c.relative_standard_u));
  return std::min(known, c.relative_standard_u);
}

class Splitter {
 public:
  Splitter(const MeasuredBite& first, const Calibration& first_calibration,
           const MeasuredBite& second, const Calibration& second_calibration,
           bool same)
      : first_(first), second_(second) {
    for (const char* word : {"place", "zero", "sampling", "calibration"}) {
      Of(word, Side::kBoth);
    }
    Take(first, first_calibration, Side::kFirst, 1.0, same);
    Take(second, second_calibration, Side::kSecond, -1.0, same);
    const double rest_u = std::sqrt(
        std::max(0.0, std::pow(first_calibration.relative_standard_u, 2) -
                          std::pow(PlacePart(first_calibration), 2)));
    if (same) {
      Of("calibration", Side::kBoth)
          .terms.push_back({TermShape::kNormal,
                            rest_u * (Peak(first_) - Peak(second_)), 0.0});
    }
  }

  Disagreement Split() {
    Disagreement out;
    out.as_read_n = first_.steps->as_read_n - second_.steps->as_read_n;
    out.difference_n = Peak(first_) - Peak(second_);
    for (const Cause& cause : causes_) out.shares.push_back(ShareOf(cause));
    Remains(out);
    Lead(out);
    std::stable_sort(out.shares.begin(), out.shares.end(),
                     [](const CauseShare& a, const CauseShare& b) {
                       return Weight(a) > Weight(b);
                     });
    return out;
  }

 private:
  static double Peak(const MeasuredBite& b) {
    return b.bite.peak_n.value_or(0.0);
  }
  static double Weight(const CauseShare& s) {
    return s.share_n ? std::abs(*s.share_n)
                     : std::numeric_limits<double>::infinity();
  }

  Cause& Of(const std::string& word, Side side) {
    for (Cause& c : causes_) {
      if (c.word == word && c.side == side) return c;
    }
    causes_.push_back({word, side, 0.0, {}, false, false, false});
    return causes_.back();
  }

  void Take(const MeasuredBite& b, const Calibration& calibration, Side side,
            double sign, bool same) {
    TakeLines(b, calibration, sign, same);
    const FigureSteps& steps = *b.steps;
    Of("place", Side::kBoth).corrected_n -= sign * steps.place_n;
    Of("zero", Side::kBoth).corrected_n -= sign * steps.zero_n;
    Of("sampling", Side::kBoth).corrected_n -= sign * steps.crest_n;
    for (const FaultStep& f : steps.faults) {
      Of(std::string(ReasonWord(f.code)), side).corrected_n -=
          sign * f.change_n;
    }
    for (const Reason& reason : b.bite.reasons) {
      TakeReason(reason, Peak(b), side, sign);
    }
  }

  void TakeLines(const MeasuredBite& b, const Calibration& calibration,
                 double sign, bool same) {
    const double place = PlacePart(calibration);
    for (const BudgetLine& line : b.bite.budget) {
      DrawnTerm term = TermsOf({&line, 1}).front();
      if (line.term == "calibration") {
        Of("place", Side::kBoth)
            .terms.push_back({TermShape::kNormal, place * Peak(b), 0.0});
        if (same) continue;  // the rest is common to both
        term.u = std::sqrt(
            std::max(0.0, term.u * term.u - std::pow(place * Peak(b), 2)));
      }
      if (term.shape == TermShape::kOneSided) term.u *= sign;
      Of(LineCause(line.term), Side::kBoth).terms.push_back(term);
    }
  }

  // As Judge weighs it.
  void TakeReason(const Reason& r, double peak, Side side, double sign) {
    const double effect = r.effect_n.value_or(0.0);
    switch (r.code) {
      case ReasonCode::kEdge:
      case ReasonCode::kOdd:
        Of("place", Side::kBoth).terms.push_back(Normal95(effect));
        return;
      case ReasonCode::kStale:
        Of("calibration", Side::kBoth).terms.push_back(Normal95(effect));
        return;
      case ReasonCode::kZero:
        Of("zero", Side::kBoth).terms.push_back(Normal95(0.5 * effect));
        return;
      case ReasonCode::kSlow:
        Of("sampling", Side::kBoth).terms.push_back(Upwards(effect, sign));
        return;
      case ReasonCode::kClock:
      case ReasonCode::kMotion:
        Of("sampling", Side::kBoth).terms.push_back(Normal95(effect));
        return;
      case ReasonCode::kPlace:
      case ReasonCode::kUncalibrated:
      case ReasonCode::kWithdrawn:
        return;
      default:
        break;
    }
    Cause& cause = Of(std::string(ReasonWord(r.code)), side);
    cause.unsized = cause.unsized || !r.effect_n;
    if (LosesForce(r)) {
      (side == Side::kFirst ? cause.lost_first : cause.lost_second) = true;
    } else if (r.code == ReasonCode::kGap) {
      cause.terms.push_back(Upwards(effect, sign));
    } else if (r.code == ReasonCode::kStuck || r.code == ReasonCode::kLoose ||
               r.code == ReasonCode::kRail) {
      cause.terms.push_back(Normal95(std::max(effect, kLeastFault * peak)));
    } else {
      cause.terms.push_back(Normal95(effect));
    }
  }

  // The interval also holds that nothing was lost, as a bite's own does.
  static Propagation Draw(const std::vector<DrawnTerm>& terms) {
    PropagationOptions options;
    options.most_draws = 200000;
    Propagation out = Propagate(terms, options);
    std::vector<DrawnTerm> both_ways = terms;
    std::erase_if(both_ways, [](const DrawnTerm& t) {
      return t.shape == TermShape::kOneSided;
    });
    if (both_ways.size() == terms.size()) return out;
    const Propagation nothing_lost = Propagate(both_ways, options);
    out.low = std::min(out.low, nothing_lost.low);
    out.high = std::max(out.high, nothing_lost.high);
    return out;
  }

  static CauseShare ShareOf(const Cause& cause) {
    CauseShare out;
    out.cause = cause.word;
    out.side = cause.side;
    out.corrected_n = cause.corrected_n;
    const Propagation open = Draw(cause.terms);
    const bool lost = cause.lost_first || cause.lost_second;
    if (!lost) out.share_n = cause.corrected_n - open.mean;
    // A force lost in the first bite makes R_A - R_B too low by any amount.
    if (!cause.lost_first) out.low_n = cause.corrected_n - open.high;
    if (!cause.lost_second) out.high_n = cause.corrected_n - open.low;
    return out;
  }

  void Remains(Disagreement& out) const {
    std::vector<DrawnTerm> all;
    bool lost_first = false;
    bool lost_second = false;
    for (const Cause& cause : causes_) {
      all.insert(all.end(), cause.terms.begin(), cause.terms.end());
      lost_first |= cause.lost_first;
      lost_second |= cause.lost_second;
    }
    const Propagation open = Draw(all);
    if (!lost_first && !lost_second) out.dog_n = out.difference_n + open.mean;
    if (!lost_second) out.dog_low_n = out.difference_n + open.low;
    if (!lost_first) out.dog_high_n = out.difference_n + open.high;
    leeway_ = 0.5 * (open.high - open.low);
  }

  // A force was lost and can make up the difference.
  bool LossLeads(const CauseShare& s, const Disagreement& d) const {
    if (s.share_n) return false;
    return s.side == Side::kFirst ? d.difference_n <= leeway_
                                  : d.difference_n >= -leeway_;
  }

  // Nothing stands out: evidence that nobody can put a size on, else what
  // leaves most open.
  void LeadAgreed(Disagreement& out) const {
    double widest = -1.0;
    for (const CauseShare& s : out.shares) {
      if (!s.low_n || !s.high_n) continue;
      double most = std::max(std::abs(*s.low_n), std::abs(*s.high_n));
      for (const Cause& c : causes_) {
        if (c.word == s.cause && c.side == s.side && c.unsized) {
          most = std::numeric_limits<double>::infinity();
        }
      }
      if (most <= widest) continue;
      widest = most;
      out.cause = s.cause;
      out.side = s.side;
    }
  }

  void Lead(Disagreement& out) const {
    const double dog = std::abs(out.dog_n.value_or(out.difference_n));
    double most = dog;
    out.cause = "dog";
    for (const CauseShare& s : out.shares) {
      if (!s.share_n || std::abs(*s.share_n) <= most) continue;
      most = std::abs(*s.share_n);
      out.cause = s.cause;
      out.side = s.side;
    }
    out.agree = most <= leeway_;
    if (out.agree) LeadAgreed(out);
    for (const CauseShare& s : out.shares) {
      if (!LossLeads(s, out)) continue;
      out.cause = s.cause;
      out.side = s.side;
      out.agree = false;
      return;
    }
  }

  const MeasuredBite& first_;
  const MeasuredBite& second_;
  std::vector<Cause> causes_;
  mutable double leeway_ = 0.0;  // half-width of all that is left open
};

}  // namespace

Disagreement SplitDifference(const MeasuredBite& first,
                             const Calibration& first_calibration,
                             const MeasuredBite& second,
                             const Calibration& second_calibration,
                             bool same_calibration) {
  return Splitter(first, first_calibration, second, second_calibration,
                  same_calibration)
      .Split();
}

}  // namespace masseter
