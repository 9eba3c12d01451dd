#include "app/explain_bite.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "app/bite_list.h"
#include "app/day_words.h"
#include "app/file_io.h"
#include "app/measure_capture.h"
#include "app/validity.h"
#include "report/trace_columns.h"

namespace masseter {
namespace {

constexpr double kAroundS = 0.3;
// A replay of the same samples finds a bite within one frame of before.
constexpr double kSameBiteS = 0.05;

Expected<std::vector<StoredBite>> Wanted(const std::string& book_path,
                                         const std::vector<std::int64_t>& ids) {
  const auto all = ListBites(book_path);
  if (!all) return tl::unexpected(all.error());
  std::vector<StoredBite> out;
  for (const std::int64_t id : ids) {
    const auto it =
        std::find_if(all->begin(), all->end(),
                     [id](const StoredBite& s) { return s.bite.id == id; });
    if (it == all->end()) {
      return BadInput(std::to_string(id),
                      "no bite has this number; masseter bites " + book_path +
                          " lists them");
    }
    out.push_back(*it);
  }
  return out;
}

Expected<CaptureInfo> CaptureOf(const Book& book, std::int64_t id) {
  const auto captures = book.logbook.Captures();
  if (!captures) return tl::unexpected(captures.error());
  for (const CaptureInfo& info : *captures) {
    if (info.id == id) return info;
  }
  return MachineFailure(std::to_string(id), "the recording is gone");
}

// What the bites of one recording share.
struct Recording {
  ReplayedBite common;
  std::vector<MeasuredBite> bites;
};

Expected<Recording> ReplayRecording(const Book& book, std::int64_t capture) {
  Recording out;
  const auto info = CaptureOf(book, capture);
  if (!info) return tl::unexpected(info.error());
  out.common.capture = *info;
  auto in_force = CalibrationFor(book.logbook, *info);
  if (!in_force) return tl::unexpected(in_force.error());
  out.common.calibration_id = in_force->id;
  out.common.calibrated_unix_s = in_force->created_unix_s;
  out.common.calibration = in_force->calibration;
  out.common.rig = book.rig.name;
  double sharpest = 0.0;
  const auto replayed = ReplayCapture(
      book, capture, in_force->OrNull(),
      [&](MeasuredBite&& b) {
        const auto width = SharpestCrest(b);
        if (b.bite.verdict != Verdict::kVoid && width) {
          sharpest = sharpest > 0.0 ? std::min(sharpest, *width) : *width;
        }
        out.bites.push_back(std::move(b));
      },
      ReplaySteps::kKeep);
  if (!replayed) return tl::unexpected(replayed.error());
  out.common.sharpest_crest_s = sharpest;
  return out;
}

const MeasuredBite* Same(const Recording& recording, const Bite& stored) {
  const MeasuredBite* best = nullptr;
  double nearest = kSameBiteS;
  for (const MeasuredBite& b : recording.bites) {
    const double off = std::abs(b.bite.start_s - stored.start_s);
    if (off > nearest) continue;
    nearest = off;
    best = &b;
  }
  return best;
}

BudgetAnswer BudgetOf(const Bite& bite) {
  BudgetAnswer out;
  out.combined = CombineLines(bite.budget);
  out.coverage_factor = CoverageFactor(0.95, out.combined.dof);
  out.expanded_n = out.coverage_factor * out.combined.standard_uncertainty;
  out.drawn = PropagateBudget(bite);
  out.by_monte_carlo = Lopsided(bite.budget);
  const double tolerance =
      NumericalTolerance(out.combined.standard_uncertainty, 2);
  out.ways_agree = std::abs(out.drawn.high - out.expanded_n) <= tolerance &&
                   std::abs(out.drawn.low + out.expanded_n) <= tolerance;
  return out;
}

std::string VerdictSentence(const Bite& b) {
  if (!b.reasons.empty() && b.reasons[0].code == ReasonCode::kWithdrawn) {
    return "Struck out by the operator: it counts for nothing. The figures are "
           "those that it would have.";
  }
  if (b.verdict == Verdict::kVoid) {
    return b.peak_n ? "No honest figure: what speaks against it could be worth "
                      "more than half of it."
                    : "No honest figure: there is no force in newtons.";
  }
  if (b.at_least) {
    return "Only a lower bound is known: the force was at least this, and what "
           "is missing is not in the data.";
  }
  if (b.verdict == Verdict::kDoubtful) {
    return "A figure with a widened interval: the evidence below counts "
           "against it.";
  }
  return b.reasons.empty()
             ? "To be believed: nothing in the samples speaks against it."
             : "To be believed: the evidence below is told, and too small to "
               "count.";
}

}  // namespace

Expected<std::vector<ReplayedBite>> ReplayBites(
    const std::string& book_path, const std::vector<std::int64_t>& ids) {
  const auto wanted = Wanted(book_path, ids);
  if (!wanted) return tl::unexpected(wanted.error());
  const auto book = OpenBook(book_path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const auto words = ReadDayWords(book->logbook, NowUnixS());
  if (!words) return tl::unexpected(words.error());
  std::map<std::int64_t, Recording> recordings;
  std::vector<ReplayedBite> out;
  for (const StoredBite& stored : *wanted) {
    const std::int64_t capture = stored.provenance.capture;
    if (!recordings.contains(capture)) {
      auto recording = ReplayRecording(*book, capture);
      if (!recording) return tl::unexpected(recording.error());
      recordings.emplace(capture, std::move(*recording));
    }
    const Recording& recording = recordings.at(capture);
    const MeasuredBite* same = Same(recording, stored.bite);
    if (same == nullptr) {
      return MachineFailure(std::to_string(stored.bite.id),
                            "the samples no longer give this bite");
    }
    ReplayedBite bite = recording.common;
    bite.measured = *same;
    bite.measured.bite.id = stored.bite.id;
    LayOver(*words, bite.measured.bite);
    bite.rig_revision = stored.provenance.rig_revision;
    bite.method = stored.provenance.method;
    out.push_back(std::move(bite));
  }
  return out;
}

Expected<BiteExplanation> ExplainBite(const std::string& book_path,
                                      std::int64_t id) {
  auto replayed = ReplayBites(book_path, {id});
  if (!replayed) return tl::unexpected(replayed.error());
  BiteExplanation out;
  out.bite = std::move(replayed->front());
  const MeasuredBite& m = out.bite.measured;
  for (std::size_t i = 0; i < m.bite.reasons.size(); ++i) {
    out.without.push_back(WithoutReason(m, i));
  }
  if (!m.bite.budget.empty() && m.bite.peak_n) out.budget = BudgetOf(m.bite);
  if (m.bite.peak_n) out.frequencies = FrequencyContentOf(m);
  out.sampling = SamplingNeedOf(m);
  out.verdict = VerdictSentence(m.bite);
  return out;
}

ReportBite PictureOf(const MeasuredBite& m, std::size_t columns) {
  ReportBite out;
  out.bite = m.bite;
  out.squeeze_at_s = m.squeeze_at_s;
  out.regrip_at_s = m.regrips_s;
  const ForceSeries& s = m.series;
  std::vector<TraceGap> gaps;
  for (std::size_t i = 1; i < s.size(); ++i) {
    if (s.before[i] != Break::kNone) gaps.push_back({s.t_s[i - 1], s.t_s[i]});
  }
  out.trace =
      MakeTraceColumns(s.t_s, s.raw_n, gaps, m.bite.start_s - kAroundS,
                       m.bite.end_s + kAroundS, static_cast<int>(columns));
  return out;
}

std::string BudgetInputWords(const std::string& term) {
  static const std::map<std::string, std::string> kWords = {
      {"calibration", "calibration factor"},
      {"range", "beyond the calibrated forces"},
      {"friction", "friction at small loads"},
      {"creep", "creep the weights had and a bite has not"},
      {"zero", "change of zero"},
      {"noise", "noise at the crest"},
      {"crest", "shape of the crest"},
      {"sampling", "lost between samples"},
      {"bandwidth", "lost to the bandwidth"},
      {"dynamics", "ringing of the sleeve"}};
  const auto it = kWords.find(term);
  return it == kWords.end() ? term : it->second;
}

}  // namespace masseter
