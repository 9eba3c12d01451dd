#include "app/report_book.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "app/bite_list.h"
#include "app/calibration_json.h"
#include "app/capture_notes.h"
#include "app/file_io.h"
#include "app/measure_capture.h"
#include "app/report_comparison.h"
#include "app/status.h"
#include "app/version.h"
#include "report/report_html.h"
#include "report/trace_columns.h"

namespace masseter {
namespace {

constexpr double kAroundS = 0.3;
constexpr int kTraceColumns = 400;
// A replay of the same samples finds a bite within one frame of before.
constexpr double kSameBiteS = 0.05;

struct Calibrations {
  std::map<std::int64_t, Calibration> by_id;
  std::map<std::int64_t, double> created_unix_s;
};

Expected<Calibrations> ReadCalibrations(const Logbook& logbook) {
  const auto records = logbook.Calibrations();
  if (!records) return tl::unexpected(records.error());
  Calibrations out;
  for (const CalibrationRecord& record : *records) {
    auto calibration = ParseCalibrationDocument(record.document);
    if (!calibration) return tl::unexpected(calibration.error());
    out.by_id.emplace(record.id, std::move(*calibration));
    out.created_unix_s[record.id] = record.created_unix_s;
  }
  return out;
}

TraceColumns TraceOf(const MeasuredBite& b) {
  const ForceSeries& s = b.series;
  std::vector<TraceGap> gaps;
  for (std::size_t i = 1; i < s.size(); ++i) {
    if (s.before[i] != Break::kNone) gaps.push_back({s.t_s[i - 1], s.t_s[i]});
  }
  const double from = b.bite.start_s - kAroundS;
  const double to = b.bite.end_s + kAroundS;
  // No column narrower than two samples.
  const double most = s.period_s > 0.0 ? (to - from) / (2.0 * s.period_s) : 1.0;
  const int columns = static_cast<int>(
      std::clamp(most, 1.0, static_cast<double>(kTraceColumns)));
  return MakeTraceColumns(s.t_s, s.raw_n, gaps, from, to, columns);
}

// Gives the stored bites of one capture the pictures of its replay.
Expected<void> AddTraces(const Book& book, const CaptureInfo& capture,
                         const Calibrations& calibrations,
                         std::vector<ReportBite>& bites) {
  const auto used = calibrations.by_id.find(capture.calibration);
  const Calibration* calibration =
      used == calibrations.by_id.end() ? nullptr : &used->second;
  const auto replayed = ReplayCapture(
      book, capture.id, calibration, [&](MeasuredBite&& measured) {
        for (ReportBite& entry : bites) {
          const bool same =
              entry.capture == capture.id && entry.trace.low_n.empty() &&
              std::abs(entry.bite.start_s - measured.bite.start_s) < kSameBiteS;
          if (!same) continue;
          entry.trace = TraceOf(measured);
          entry.squeeze_at_s = measured.squeeze_at_s;
          entry.regrip_at_s = measured.regrips_s;
          return;
        }
      });
  if (!replayed) return tl::unexpected(replayed.error());
  return {};
}

// The roster's dogs first, then those only marked, nobody's bites last.
std::vector<ReportDog> DogsOf(const std::vector<RosterEntry>& roster,
                              std::vector<ReportBite> bites) {
  std::vector<ReportDog> dogs;
  for (const RosterEntry& e : roster) {
    dogs.push_back({e.dog, e.breed, e.mass_kg, {}});
  }
  ReportDog nobody;
  for (ReportBite& entry : bites) {
    if (entry.bite.dog.empty()) {
      nobody.bites.push_back(std::move(entry));
      continue;
    }
    auto dog = std::find_if(dogs.begin(), dogs.end(), [&](const ReportDog& d) {
      return d.name == entry.bite.dog;
    });
    if (dog == dogs.end()) {
      dogs.push_back({entry.bite.dog, "", std::nullopt, {}});
      dog = std::prev(dogs.end());
    }
    dog->bites.push_back(std::move(entry));
  }
  if (!nobody.bites.empty()) dogs.push_back(std::move(nobody));
  return dogs;
}

ReportCalibration CalibrationOf(std::int64_t id, const Calibration& c,
                                double created_unix_s) {
  ReportCalibration out;
  out.id = id;
  out.estimator = EstimatorWords(c.estimator);
  out.created = LocalTime(created_unix_s);
  out.rows = c.rows;
  out.force_low_n = c.force_low_n;
  out.force_high_n = c.force_high_n;
  out.gravity_m_s2 = c.gravity_m_s2;
  out.expanded_relative_u95 = c.expanded_relative_u95;
  out.left_out_rms = c.left_out_rms;
  out.left_out_max = c.left_out_max;
  const RelativeTerms& r = c.relative;
  out.relative = {{"repeatability", r.repeatability},
                  {"reproducibility", r.reproducibility},
                  {"interpolation", r.interpolation},
                  {"reversibility", r.reversibility},
                  {"zero_return", r.zero_return},
                  {"off_centre", r.off_centre},
                  {"resolution", r.resolution},
                  {"reference", r.reference},
                  {"creep", r.creep}};
  for (const CalibrationWarning& w : c.warnings) out.warnings.push_back(w.text);
  for (const CalibrationResidual& x : c.residuals) {
    out.residuals.push_back({x.force_n, x.relative, x.x_mm, x.y_mm, x.rising});
  }
  return out;
}

// The calibration behind the figures; where captures rest on several, the
// newest of them, and the newest of all where nothing was recorded.
std::int64_t CalibrationShown(const std::vector<CaptureInfo>& captures,
                              const Book& book) {
  std::int64_t id = 0;
  for (const CaptureInfo& c : captures) id = std::max(id, c.calibration);
  return captures.empty() ? book.calibration_id : id;
}

void AddRig(const Book& book, ReportModel& model) {
  const Rig& rig = book.rig;
  model.rig_name = rig.name;
  model.rig_revision = book.rig_revision;
  model.cover = rig.cover;
  if (rig.safe_load) model.safe_load_n = rig.safe_load->si();
  if (rig.grip_thickness) {
    model.grip_thickness_mm = 1000.0 * rig.grip_thickness->si();
  }
  model.nominal_rate_hz = rig.sample_rate_hz;
  model.channels = static_cast<int>(rig.channels.size());
}

void AddCaptures(const BookStatus& status, ReportModel& model) {
  for (const CaptureStatus& c : status.captures) {
    std::vector<std::string> warnings = c.warnings;
    if (c.open) warnings.push_back("it was still being recorded");
    model.captures.push_back({c.id, c.source, LocalTime(c.created_unix_s),
                              c.samples, c.last_s, c.rate_hz,
                              static_cast<int>(c.gaps), c.broken_lines,
                              std::move(warnings)});
  }
}

std::string TitleOf(const Book& book,
                    const std::vector<CaptureInfo>& captures) {
  if (captures.empty()) return book.rig.name;
  const std::string when = LocalTime(captures.front().created_unix_s);
  return "Field day " + when.substr(0, when.find(' '));
}

}  // namespace

Expected<ReportModel> ReportModelOf(const std::string& book_path) {
  const auto stored = ListBites(book_path);
  if (!stored) return tl::unexpected(stored.error());
  const auto status = StatusOf(book_path);
  if (!status) return tl::unexpected(status.error());
  const auto book = OpenBook(book_path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const auto captures = book->logbook.Captures();
  if (!captures) return tl::unexpected(captures.error());
  const auto roster = book->logbook.Roster();
  if (!roster) return tl::unexpected(roster.error());
  const auto calibrations = ReadCalibrations(book->logbook);
  if (!calibrations) return tl::unexpected(calibrations.error());

  std::vector<ReportBite> bites;
  for (const StoredBite& s : *stored) {
    ReportBite entry;
    entry.bite = s.bite;
    entry.capture = s.provenance.capture;
    bites.push_back(std::move(entry));
  }
  for (const CaptureInfo& capture : *captures) {
    const auto ok = AddTraces(*book, capture, *calibrations, bites);
    if (!ok) return tl::unexpected(ok.error());
  }
  ReportModel model;
  model.title = TitleOf(*book, *captures);
  model.made = LocalTime(NowUnixS());
  model.program_version = kProgramVersion;
  model.method_version = kMethodVersion;
  model.logbook = FileName(book_path);
  AddRig(*book, model);
  AddCaptures(*status, model);
  for (const StageRecord& stage : status->stages) {
    model.checks.push_back(StageSentence(stage));
  }
  model.dogs = DogsOf(*roster, std::move(bites));
  const std::int64_t shown = CalibrationShown(*captures, *book);
  const auto calibration = calibrations->by_id.find(shown);
  if (calibration != calibrations->by_id.end()) {
    model.calibration = CalibrationOf(shown, calibration->second,
                                      calibrations->created_unix_s.at(shown));
  }
  model.comparison = ComparisonOf(book_path, model.dogs);
  return model;
}

Expected<ReportAnswer> ReportBook(const std::string& book_path,
                                  const std::string& out_path) {
  if (out_path.empty()) return BadInput("-o", "names no file");
  if (SameFile(book_path, out_path)) {
    return BadInput(out_path, "is the logbook; name another file with -o");
  }
  const auto model = ReportModelOf(book_path);
  if (!model) return tl::unexpected(model.error());
  ReportAnswer answer;
  for (const ReportDog& dog : model->dogs) {
    answer.bites += dog.bites.size();
    if (!dog.name.empty()) ++answer.dogs;
  }
  answer.html = ReportHtml(*model);
  answer.bytes = answer.html.size();
  if (out_path == "-") return answer;
  if (auto ok = WriteText(out_path, answer.html); !ok) {
    return tl::unexpected(ok.error());
  }
  answer.html.clear();
  return answer;
}

}  // namespace masseter
