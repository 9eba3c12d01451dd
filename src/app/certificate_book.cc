#include "app/certificate_book.h"

#include <fmt/format.h>

#include <cmath>

#include "app/book.h"
#include "app/calibration_json.h"
#include "app/certificate_facts.h"
#include "app/file_io.h"
#include "app/json_values.h"
#include "app/unit_word.h"
#include "core/metrology/calibration_uncertainty.h"
#include "core/metrology/load_levels.h"
#include "report/certificate_html.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr int kCurvePoints = 60;

std::optional<double> Finite(double value) {
  if (!std::isfinite(value)) return std::nullopt;
  return value;
}

double OnCurve(const std::vector<double>& b, double force_n) {
  double v = 0.0;
  for (std::size_t k = b.size(); k-- > 0;) v = v * force_n + b[k];
  return v;
}

std::vector<CertificateLoad> LoadsOf(const Calibration& c) {
  std::vector<double> forces;
  for (const CalibrationResidual& r : c.residuals) forces.push_back(r.force_n);
  const LoadLevels levels = FindLoadLevels(forces);
  std::vector<CertificateLoad> out(levels.force_n.size());
  for (std::size_t k = 0; k < out.size(); ++k) {
    out[k].force_n = levels.force_n[k];
  }
  for (std::size_t i = 0; i < c.residuals.size(); ++i) {
    CertificateLoad& load = out[static_cast<std::size_t>(levels.level[i])];
    const double error = c.residuals[i].relative;
    ++load.readings;
    load.mean_error += error;
    if (std::abs(error) > std::abs(load.worst_error)) load.worst_error = error;
  }
  for (CertificateLoad& load : out) {
    load.mean_error /= std::max(1, load.readings);
    if (!c.iso376) continue;
    for (const IsoLevel& iso : c.iso376->levels) {
      if (std::abs(iso.force_n / load.force_n - 1.0) > 0.01) continue;
      load.b = iso.b;
      load.b_prime = iso.b_prime;
      load.fc = iso.fc;
      load.v = iso.v;
      load.class_word = iso.class_word;
    }
  }
  return out;
}

// Readings against the fitted curve where the rig has one channel, else the
// answer against the force.
void FillPictures(const Rig& rig, const Calibration& c,
                  CertificateModel& model) {
  model.shown_axis = "Sleeve (N)";
  if (c.curve) {
    model.shown_axis = fmt::format("{} ({})", rig.channels.front().name,
                                   UnitWord(rig.channels.front().unit));
    for (int i = 0; i <= kCurvePoints; ++i) {
      const double force = c.force_high_n * i / kCurvePoints;
      model.curve.push_back({force, OnCurve(c.curve->b, force)});
    }
  }
  for (const CalibrationResidual& r : c.residuals) {
    const double answer = r.force_n * (1.0 + r.relative);
    model.readings.push_back({r.force_n,
                              c.curve ? OnCurve(c.curve->b, answer) : answer,
                              r.relative, r.rising});
  }
}

void FillQuantities(const Calibration& c, CertificateModel& model) {
  const RelativeTerms& r = c.relative;
  model.terms = {{"Repeatability", r.repeatability},
                 {"Reproducibility", r.reproducibility},
                 {"Interpolation", r.interpolation},
                 {"Reversibility", r.reversibility},
                 {"Zero return", r.zero_return},
                 {"Creep", r.creep},
                 {"Between places", r.off_centre},
                 {"Left-out place", c.left_out_rms},
                 {"Resolution", r.resolution},
                 {"Temperature", r.temperature},
                 {"Reference", r.reference}};
  model.loads = LoadsOf(c);
  for (const PositionFacts& p : c.position_map) {
    model.places.push_back({p.place.x_mm, p.place.y_mm, p.rows,
                            p.left_out_error, p.left_out_rms,
                            p.single_factor_error});
  }
  model.class_words =
      !c.iso376 ? "no class: readings were fitted as given."
                : (c.iso376->class_word ? "class " + *c.iso376->class_word
                                        : std::string("no class")) +
                      ": " + c.iso376->class_reason + ".";
}

void FillUncertainty(const Calibration& c, CertificateModel& model) {
  const CalibrationUncertainty u = UncertaintyOf(c);
  for (const CalibrationPart& part : u.parts) {
    model.parts.push_back(
        {part.term, part.standard_u, Finite(part.dof), part.type_a});
  }
  model.standard_u = u.standard_u;
  model.dof = Finite(u.dof);
  model.k = u.k;
  model.expanded_u95 = u.expanded_u95;
  model.small_load_u_n = c.absolute_standard_u_n;
  model.force_low_n = c.force_low_n;
  model.force_high_n = c.force_high_n;
  model.place_seen = c.place_seen;
}

ordered_json FactsJson(
    const std::vector<std::pair<std::string, std::string>>& facts) {
  ordered_json out = ordered_json::object();
  for (const auto& [name, value] : facts) out[name] = value;
  return out;
}

ordered_json LoadsJson(const CertificateModel& model) {
  ordered_json out = ordered_json::array();
  for (const CertificateLoad& load : model.loads) {
    out.push_back({{"force_n", load.force_n},
                   {"readings", load.readings},
                   {"mean_error", load.mean_error},
                   {"worst_error", load.worst_error}});
  }
  return out;
}

ordered_json AnswerJson(const CertificateRequest& request,
                        const CertificateModel& model, const Calibration& c,
                        const CalibrationRecord& record) {
  ordered_json parts = ordered_json::array();
  for (const CertificatePart& part : model.parts) {
    parts.push_back({{"term", part.term},
                     {"standard_u", part.standard_u},
                     {"dof", OrNull(part.dof)},
                     {"type", part.type_a ? "A" : "B"}});
  }
  ordered_json reference = nullptr;
  if (!request.reference_certificate.empty()) {
    reference = request.reference_certificate;
  }
  return {{"title", model.title},
          {"performed_on", CalibrationDay(c, record)},
          {"accredited", false},
          {"reference_certificate", reference},
          {"calibrated_by", request.calibrated_by},
          {"instrument", FactsJson(model.identification)},
          {"conditions", FactsJson(model.conditions)},
          {"validity", FactsJson(model.validity)},
          {"uncertainty",
           {{"standard_u", model.standard_u},
            {"dof", OrNull(model.dof)},
            {"k", model.k},
            {"expanded_u95", model.expanded_u95},
            {"small_load_u_n", model.small_load_u_n},
            {"parts", parts}}},
          {"loads", LoadsJson(model)},
          {"calibration", CalibrationAnswer(c, record.id)}};
}

Expected<CalibrationRecord> RecordOf(const Book& book,
                                     const CertificateRequest& request) {
  const auto records = book.logbook.Calibrations();
  if (!records) return tl::unexpected(records.error());
  if (records->empty()) {
    return BadInput(request.book_path,
                    "holds no calibration yet; masseter calibrate makes one");
  }
  const std::int64_t wanted = request.calibration.value_or(book.calibration_id);
  for (const CalibrationRecord& record : *records) {
    if (record.id == wanted) return record;
  }
  return BadInput("--calibration",
                  fmt::format("there is no calibration {}; masseter "
                              "calibrations {} lists them",
                              wanted, request.book_path));
}

}  // namespace

Expected<CertificateAnswer> CertificateOf(const CertificateRequest& request) {
  const auto book = OpenBook(request.book_path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const auto record = RecordOf(*book, request);
  if (!record) return tl::unexpected(record.error());
  const auto calibration = ParseCalibrationDocument(record->document);
  if (!calibration) return tl::unexpected(calibration.error());
  auto validity = ValidityFacts(*book, *record, *calibration);
  if (!validity) return tl::unexpected(validity.error());
  CertificateAnswer answer;
  CertificateModel& model = answer.model;
  model.title = book->rig.name;
  model.number = fmt::format("Calibration {}", record->id);
  model.created = LocalTime(NowUnixS());
  model.identification = IdentificationFacts(*book, *record, *calibration);
  model.conditions = ConditionFacts(book->rig, *record, *calibration);
  model.validity = std::move(*validity);
  model.reference_certificate = request.reference_certificate;
  model.calibrated_by = request.calibrated_by;
  model.estimator = EstimatorWords(calibration->estimator);
  FillPictures(book->rig, *calibration, model);
  FillQuantities(*calibration, model);
  FillUncertainty(*calibration, model);
  for (const CalibrationWarning& w : calibration->warnings) {
    model.warnings.push_back(w.text);
  }
  answer.json = AnswerJson(request, model, *calibration, *record);
  return answer;
}

Expected<std::size_t> WriteCertificate(const CertificateModel& model,
                                       const std::string& book_path,
                                       const std::string& out_path) {
  if (SameFile(book_path, out_path)) {
    return BadInput(out_path, "is the logbook; name another file with -o");
  }
  const std::string html = CertificateHtml(model);
  if (auto ok = WriteText(out_path, html); !ok) {
    return tl::unexpected(ok.error());
  }
  return html.size();
}

}  // namespace masseter
