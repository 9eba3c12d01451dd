#include "app/explain_json.h"

#include <cmath>
#include <limits>

#include "app/bite_json.h"
#include "app/json_values.h"
#include "core/signal/half_sine.h"
#include "report/figure_text.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr std::size_t kTraceColumns = 160;
constexpr double kInfinity = std::numeric_limits<double>::infinity();

ordered_json RestsOn(const ReplayedBite& b) {
  return {{"capture", b.capture.id},
          {"calibration", b.calibration_id},
          {"rig", b.rig},
          {"rig_revision", b.rig_revision},
          {"method", b.method}};
}

ordered_json FigureOf(const Bite& b) {
  return {{"text", PeakText(b)},
          {"verdict", VerdictWord(b.verdict)},
          {"at_least", b.at_least},
          {"peak_n", OrNull(b.peak_n)},
          {"peak_lo_n", OrNull(PeakLow(b))},
          {"peak_hi_n", OrNull(PeakHigh(b))}};
}

ordered_json EvidenceOf(const BiteExplanation& e) {
  ordered_json out = ordered_json::array();
  const auto& reasons = e.bite.measured.bite.reasons;
  for (std::size_t i = 0; i < reasons.size(); ++i) {
    const Reason& r = reasons[i];
    ordered_json without = nullptr;
    if (e.without[i].known) without = FigureOf(e.without[i].bite);
    out.push_back({{"code", ReasonWord(r.code)},
                   {"text", r.text},
                   {"effect_n", OrNull(r.effect_n)},
                   {"from_s", r.start_s},
                   {"to_s", r.end_s},
                   {"advice", r.advice},
                   {"without", without}});
  }
  return out;
}

ordered_json DrawnOf(const Propagation& p) {
  ordered_json steps = ordered_json::array();
  for (const PropagationStep& s : p.steps) {
    steps.push_back({{"draws", s.draws},
                     {"lo_n", s.low},
                     {"hi_n", s.high},
                     {"scatter_n", s.scatter}});
  }
  return {{"draws", p.draws},
          {"mean_n", p.mean},
          {"standard_uncertainty_n", p.u},
          {"lo_n", p.low},
          {"hi_n", p.high},
          {"interval", "probabilistically symmetric"},
          {"tolerance_n", p.tolerance},
          {"settled", p.settled},
          {"convergence", steps}};
}

ordered_json BudgetOf(const BiteExplanation& e) {
  if (!e.budget) return nullptr;
  const BudgetAnswer& b = *e.budget;
  const double variance = std::pow(b.combined.standard_uncertainty, 2);
  ordered_json lines = ordered_json::array();
  for (const BudgetLine& l : e.bite.measured.bite.budget) {
    lines.push_back(
        {{"term", l.term},
         {"input", BudgetInputWords(l.term)},
         {"value", l.term == "calibration" ? 1.0 : 0.0},
         {"unit", l.sensitivity == 1.0 ? "N" : ""},
         {"distribution", l.distribution},
         {"degrees_of_freedom", OrNull(l.degrees_of_freedom)},
         {"standard_uncertainty", l.standard_uncertainty_n / l.sensitivity},
         {"sensitivity_n", l.sensitivity},
         {"contribution_n", l.standard_uncertainty_n},
         {"share", variance > 0.0
                       ? std::pow(l.standard_uncertainty_n, 2) / variance
                       : 0.0}});
  }
  return {{"lines", lines},
          {"standard_uncertainty_n", b.combined.standard_uncertainty},
          {"effective_degrees_of_freedom", OrNull(b.combined.dof)},
          {"coverage_factor", b.coverage_factor},
          {"expanded_n", b.expanded_n},
          {"monte_carlo", DrawnOf(b.drawn)},
          {"interval_from", b.by_monte_carlo ? "monte_carlo" : "gum"},
          {"ways_agree", b.ways_agree}};
}

ordered_json FrequenciesOf(const BiteExplanation& e) {
  if (!e.frequencies) return nullptr;
  const FrequencyContent& f = *e.frequencies;
  ordered_json bands = ordered_json::array();
  for (const Band& b : f.bands) {
    bands.push_back(
        {{"from_hz", b.from_hz}, {"to_hz", b.to_hz}, {"rms_n", b.rms_n}});
  }
  return {{"rate_hz", f.rate_hz},
          {"seconds", f.seconds},
          {"segments", f.spectrum.segments},
          {"step_hz", f.spectrum.step_hz},
          {"density_n2_per_hz", f.spectrum.density},
          {"bands", bands},
          {"most_below_hz", f.most_below_hz},
          {"shake_hz", OrNull(e.bite.measured.bite.shake_hz)}};
}

ordered_json SamplingOf(const BiteExplanation& e) {
  if (!e.sampling) return nullptr;
  const SamplingNeed& s = *e.sampling;
  return {{"rate_hz", s.rate_hz},
          {"crest_s", s.crest_s},
          {"worst_loss", s.worst_loss},
          {"allowed_loss", kAllowedLoss},
          {"needed_rate_hz", s.needed_rate_hz},
          {"sharpest_crest_s", e.bite.sharpest_crest_s > 0.0
                                   ? ordered_json(e.bite.sharpest_crest_s)
                                   : ordered_json(nullptr)},
          {"sleeve_needs_hz",
           OrNull(e.bite.sharpest_crest_s > 0.0
                      ? RateForWorstLoss(e.bite.sharpest_crest_s, kAllowedLoss)
                      : kInfinity)}};
}

ordered_json TraceOf(const MeasuredBite& m) {
  const ReportBite picture = PictureOf(m, kTraceColumns);
  const auto values = [](const std::vector<float>& v) {
    ordered_json out = ordered_json::array();
    for (const float f : v) out.push_back(OrNull(static_cast<double>(f)));
    return out;
  };
  return {{"start_s", picture.trace.start_s},
          {"column_s", picture.trace.column_s},
          {"low_n", values(picture.trace.low_n)},
          {"high_n", values(picture.trace.high_n)},
          {"squeeze_at_s", OrNull(picture.squeeze_at_s)},
          {"regrips_at_s", picture.regrip_at_s}};
}

ordered_json StepsJson(const MeasuredBite& m) {
  const FigureSteps& s = *m.steps;
  ordered_json faults = ordered_json::array();
  for (const FaultStep& f : s.faults) {
    faults.push_back({{"code", ReasonWord(f.code)},
                      {"channel", f.channel},
                      {"change_n", f.change_n}});
  }
  return {{"as_read_n", s.as_read_n},
          {"faults", faults},
          {"zero_n", s.zero_n},
          {"place_n", s.place_n},
          {"crest_n", s.crest_n}};
}

ordered_json OneOf(const ReplayedBite& b) {
  ordered_json out = BiteAnswer(b.measured.bite);
  out["steps"] = StepsJson(b.measured);
  out.update(RestsOn(b));
  return out;
}

ordered_json SideJson(Side side, const PairExplanation& p) {
  if (side == Side::kBoth) return nullptr;
  return (side == Side::kFirst ? p.first : p.second).measured.bite.id;
}

ordered_json GroupJson(const ConsistencyGroup& g) {
  ordered_json out = {
      {"of", g.of}, {"kind", g.dog ? "dog" : "day"}, {"left_out", g.left_out}};
  if (!g.test) {
    out["bites"] = nullptr;
    return out;
  }
  const Consistency& t = *g.test;
  out["bites"] = t.values;
  out["mean_n"] = t.mean;
  out["chi_squared"] = t.chi_squared;
  out["degrees_of_freedom"] = t.values - 1;
  out["p"] = t.p;
  out["birge_ratio"] = t.birge_ratio;
  out["instrument_explains_it"] = t.Explained();
  out["beyond_sd_n"] = t.beyond;
  return out;
}

}  // namespace

ordered_json ExplanationJson(const BiteExplanation& e) {
  ordered_json out;
  out["bite"] = BiteAnswer(e.bite.measured.bite);
  out["verdict"] = e.verdict;
  out["evidence"] = EvidenceOf(e);
  out["budget"] = BudgetOf(e);
  out["frequencies"] = FrequenciesOf(e);
  out["sampling"] = SamplingOf(e);
  out["steps"] = e.bite.measured.steps && e.bite.measured.bite.peak_n
                     ? StepsJson(e.bite.measured)
                     : ordered_json(nullptr);
  out["trace"] = TraceOf(e.bite.measured);
  out["rests_on"] = RestsOn(e.bite);
  return out;
}

ordered_json PairJson(const PairExplanation& p) {
  const Disagreement& d = p.split;
  ordered_json shares = ordered_json::array();
  for (const CauseShare& s : d.shares) {
    shares.push_back({{"cause", s.cause},
                      {"bite", SideJson(s.side, p)},
                      {"corrected_n", s.corrected_n},
                      {"share_n", OrNull(s.share_n)},
                      {"lo_n", OrNull(s.low_n)},
                      {"hi_n", OrNull(s.high_n)}});
  }
  ordered_json groups = ordered_json::array();
  for (const ConsistencyGroup& g : p.groups) groups.push_back(GroupJson(g));
  return {{"bites", {OneOf(p.first), OneOf(p.second)}},
          {"as_read_difference_n", d.as_read_n},
          {"difference_n", d.difference_n},
          {"shares", shares},
          {"dog",
           {{"share_n", OrNull(d.dog_n)},
            {"lo_n", OrNull(d.dog_low_n)},
            {"hi_n", OrNull(d.dog_high_n)}}},
          {"cause", d.cause},
          {"cause_bite", SideJson(d.side, p)},
          {"agree", d.agree},
          {"sentence", p.sentence},
          {"consistency", groups}};
}

}  // namespace masseter
