#include "app/bite_json.h"

#include <cmath>

#include "app/bite_spark.h"
#include "app/json_values.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

ordered_json ReasonsJson(const std::vector<Reason>& reasons) {
  ordered_json out = ordered_json::array();
  for (const Reason& r : reasons) {
    out.push_back({{"code", ReasonWord(r.code)},
                   {"text", r.text},
                   {"effect_n", OrNull(r.effect_n)},
                   {"start_s", r.start_s},
                   {"end_s", r.end_s},
                   {"from_s", r.start_s},
                   {"to_s", r.end_s},
                   {"advice", r.advice}});
  }
  return out;
}

std::vector<Reason> ReadReasons(const ordered_json& j) {
  std::vector<Reason> out;
  for (const auto& entry : j) {
    Reason r;
    const std::string word = entry.at("code").get<std::string>();
    for (int k = 0; k <= static_cast<int>(ReasonCode::kWithdrawn); ++k) {
      if (ReasonWord(static_cast<ReasonCode>(k)) == word) {
        r.code = static_cast<ReasonCode>(k);
      }
    }
    r.text = entry.at("text").get<std::string>();
    r.effect_n = Optional(entry, "effect_n");
    r.start_s = entry.at("start_s").get<double>();
    r.end_s = entry.at("end_s").get<double>();
    if (entry.contains("advice")) {
      r.advice = entry.at("advice").get<std::string>();
    }
    out.push_back(std::move(r));
  }
  return out;
}

ordered_json BudgetJson(const std::vector<BudgetLine>& budget) {
  ordered_json out = ordered_json::array();
  for (const BudgetLine& line : budget) {
    out.push_back({{"term", line.term},
                   {"standard_uncertainty_n", line.standard_uncertainty_n},
                   {"degrees_of_freedom", OrNull(line.degrees_of_freedom)},
                   {"distribution", line.distribution},
                   {"sensitivity", line.sensitivity}});
  }
  return out;
}

std::vector<BudgetLine> ReadBudget(const ordered_json& j) {
  std::vector<BudgetLine> out;
  for (const auto& entry : j) {
    out.push_back({entry.at("term").get<std::string>(),
                   entry.at("standard_uncertainty_n").get<double>(),
                   Optional(entry, "degrees_of_freedom")
                       .value_or(std::numeric_limits<double>::infinity()),
                   entry.at("distribution").get<std::string>(),
                   entry.value("sensitivity", 1.0)});
  }
  return out;
}

Verdict VerdictOf(const std::string& word) {
  if (word == VerdictWord(Verdict::kSound)) return Verdict::kSound;
  if (word == VerdictWord(Verdict::kDoubtful)) return Verdict::kDoubtful;
  return Verdict::kVoid;
}

void FillFrom(const ordered_json& j, Bite& b) {
  b.dog = j.at("dog").get<std::string>();
  b.start_s = j.at("start_s").get<double>();
  b.end_s = j.at("end_s").get<double>();
  b.duration_s = j.at("duration_s").get<double>();
  b.peak_n = Optional(j, "peak_n");
  b.peak_u95_n = Optional(j, "peak_u95_n");
  b.peak_lo_n = Optional(j, "peak_lo_n");
  b.peak_hi_n = Optional(j, "peak_hi_n");
  b.peak_at_s = j.at("peak_at_s").get<double>();
  b.strike_n = Optional(j, "strike_n");
  b.squeeze_n = Optional(j, "squeeze_n");
  b.squeeze_u95_n = Optional(j, "squeeze_u95_n");
  b.held_n = Optional(j, "held_n");
  b.impulse_ns = Optional(j, "impulse_ns");
  b.rise_s = Optional(j, "rise_s");
  b.loading_rate_n_s = Optional(j, "loading_rate_n_s");
  b.regrips = j.at("regrips").get<int>();
  b.shake_hz = Optional(j, "shake_hz");
  b.held_cv = Optional(j, "held_cv");
  b.out_s = Optional(j, "out_s");
  b.x_mm = Optional(j, "x_mm");
  b.y_mm = Optional(j, "y_mm");
  b.verdict = VerdictOf(j.at("verdict").get<std::string>());
  b.at_least = j.at("at_least").get<bool>();
  b.reasons = ReadReasons(j.at("reasons"));
  b.budget = ReadBudget(j.at("budget"));
  b.first_row = j.at("rows").at(0).get<std::uint64_t>();
  b.last_row = j.at("rows").at(1).get<std::uint64_t>();
}

}  // namespace

ordered_json BiteAnswer(const Bite& b) {
  ordered_json j = {{"id", b.id},
                    {"dog", b.dog},
                    {"start_s", b.start_s},
                    {"end_s", b.end_s},
                    {"duration_s", b.duration_s},
                    {"peak_n", OrNull(b.peak_n)},
                    {"peak_u95_n", OrNull(b.peak_u95_n)}};
  if (b.peak_lo_n && b.peak_hi_n) {
    j["peak_lo_n"] = *b.peak_lo_n;
    j["peak_hi_n"] = *b.peak_hi_n;
  }
  j["peak_at_s"] = b.peak_at_s;
  j["strike_n"] = OrNull(b.strike_n);
  j["squeeze_n"] = OrNull(b.squeeze_n);
  j["squeeze_u95_n"] = OrNull(b.squeeze_u95_n);
  j["held_n"] = OrNull(b.held_n);
  j["impulse_ns"] = OrNull(b.impulse_ns);
  j["rise_s"] = OrNull(b.rise_s);
  j["loading_rate_n_s"] = OrNull(b.loading_rate_n_s);
  j["regrips"] = b.regrips;
  j["shake_hz"] = OrNull(b.shake_hz);
  j["held_cv"] = OrNull(b.held_cv);
  j["out_s"] = OrNull(b.out_s);
  j["x_mm"] = OrNull(b.x_mm);
  j["y_mm"] = OrNull(b.y_mm);
  j["verdict"] = VerdictWord(b.verdict);
  j["at_least"] = b.at_least;
  j["reasons"] = ReasonsJson(b.reasons);
  return j;
}

std::string BiteDocument(const Bite& bite, const Provenance& p,
                         const std::vector<float>& spark) {
  ordered_json j = BiteAnswer(bite);
  j.erase("id");
  j["budget"] = BudgetJson(bite.budget);
  j["rows"] = {bite.first_row, bite.last_row};
  j["capture"] = p.capture;
  j["calibration"] = p.calibration;
  j["rig_revision"] = p.rig_revision;
  j["method"] = p.method;
  j["spark"] = SparkJson(spark);
  return j.dump();
}

Expected<StoredBite> ParseBiteDocument(const std::string& text,
                                       std::int64_t id) {
  try {
    const ordered_json j = ordered_json::parse(text);
    StoredBite out;
    FillFrom(j, out.bite);
    out.bite.id = id;
    out.provenance.capture = j.at("capture").get<std::int64_t>();
    out.provenance.calibration = j.at("calibration").get<std::int64_t>();
    out.provenance.rig_revision = j.at("rig_revision").get<int>();
    out.provenance.method = j.at("method").get<std::string>();
    if (j.contains("spark")) out.spark = ReadSpark(j.at("spark"));
    return out;
  } catch (const nlohmann::json::exception& error) {
    return BadInput(
        "", "bite " + std::to_string(id) + " cannot be read: " + error.what());
  }
}

}  // namespace masseter
