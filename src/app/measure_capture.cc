#include "app/measure_capture.h"

#include <algorithm>

#include "app/bite_json.h"
#include "app/bite_spark.h"
#include "app/capture_notes.h"
#include "app/dog_files.h"
#include "app/pipeline_worker.h"
#include "app/validity.h"

namespace masseter {

void NameDog(const std::vector<Mark>& marks, Bite& bite) {
  bite.dog = DogUp(marks, bite.start_s);
  bite.out_s.reset();
  for (const Mark& mark : marks) {
    if (mark.dog != kOutMark) continue;
    if (mark.t_s < bite.start_s || mark.t_s > bite.end_s) continue;
    bite.out_s = bite.end_s - mark.t_s;
    return;
  }
}

namespace {

struct Dating {
  CaptureInfo capture;
  std::optional<Validity> validity;
};

Expected<Dating> DatingOf(const Book& book, std::int64_t capture) {
  Dating out;
  const auto captures = book.logbook.Captures();
  if (!captures) return tl::unexpected(captures.error());
  for (const CaptureInfo& info : *captures) {
    if (info.id == capture) out.capture = info;
  }
  const auto in_force = CalibrationFor(book.logbook, out.capture);
  if (!in_force) return tl::unexpected(in_force.error());
  auto validity = ValidityOf(book.logbook, *in_force);
  if (!validity) return tl::unexpected(validity.error());
  out.validity = std::move(*validity);
  return out;
}

}  // namespace

Expected<TimelineReport> ReplayCapture(
    const Book& book, std::int64_t capture, const Calibration* calibration,
    const std::function<void(MeasuredBite&&)>& on_bite, ReplaySteps steps) {
  const auto marks = book.logbook.Marks(capture);
  if (!marks) return tl::unexpected(marks.error());
  const auto dating = DatingOf(book, capture);
  if (!dating) return tl::unexpected(dating.error());
  PipelineEvents events;
  events.on_bite = [&](MeasuredBite&& bite) {
    NameDog(*marks, bite.bite);
    DateBite(dating->validity, dating->capture, bite.bite);
    on_bite(std::move(bite));
  };
  Pipeline pipeline(book.rig, calibration, events);
  if (steps == ReplaySteps::kKeep) pipeline.KeepSteps();
  for (const Mark& mark : *marks) {
    if (mark.dog == kZeroMark) pipeline.SeekZeroAt(mark.t_s);
  }
  PipelineWorker worker(pipeline);
  const auto read = book.logbook.ReadRaw(capture, [&](const RawBlock& block) {
    worker.Push(block);
    return true;
  });
  if (!read) return tl::unexpected(read.error());
  worker.Finish();
  return pipeline.timeline();
}

Expected<std::size_t> MeasureCapture(Book& book, const CaptureInfo& capture) {
  const auto in_force = CalibrationFor(book.logbook, capture);
  if (!in_force) return tl::unexpected(in_force.error());
  std::vector<BiteRecord> records;
  const Provenance provenance{capture.id, in_force->id, book.rig_revision,
                              kMethodVersion};
  const auto timeline = ReplayCapture(
      book, capture.id, in_force->OrNull(), [&](MeasuredBite&& b) {
        records.push_back({0, capture.id, b.bite.start_s, b.bite.end_s,
                           BiteDocument(b.bite, provenance, SparkOf(b))});
      });
  if (!timeline) return tl::unexpected(timeline.error());
  const auto done = book.logbook.Transact([&]() -> Expected<void> {
    if (capture.open) {
      CaptureInfo info = capture;
      CaptureNotes notes =
          NotesFrom(IntakeReport{}, *timeline, book.rig.sample_rate_hz);
      notes.warnings.push_back(
          "the recorder stopped without closing this recording; it is kept as "
          "far as it came");
      info.notes = NotesDocument(notes);
      if (auto ok = book.logbook.FinishCapture(capture.id, info); !ok) {
        return ok;
      }
    }
    const auto ids = book.logbook.ReplaceBites(capture.id, records,
                                               kMethodVersion, in_force->id);
    if (!ids) return tl::unexpected(ids.error());
    return {};
  });
  if (!done) return tl::unexpected(done.error());
  return records.size();
}

namespace {

bool IsLeft(const CaptureInfo& capture, std::int64_t calibration) {
  return capture.open || !capture.measured ||
         capture.method != kMethodVersion ||
         (capture.calibration == 0 && calibration != 0);
}

}  // namespace

Expected<void> MeasureWhatIsLeft(const std::string& book_path) {
  {
    const auto book = OpenBook(book_path, Access::kRead);
    if (!book) return tl::unexpected(book.error());
    const auto captures = book->logbook.Captures();
    if (!captures) return tl::unexpected(captures.error());
    const bool any = std::any_of(
        captures->begin(), captures->end(),
        [&](const CaptureInfo& c) { return IsLeft(c, book->calibration_id); });
    if (!any) return {};
  }
  // The recorder's lock tells a capture that is being recorded from one whose
  // recorder died.
  auto book = OpenBook(book_path, Access::kRecord);
  if (!book) return {};
  const auto captures = book->logbook.Captures();
  if (!captures) return tl::unexpected(captures.error());
  for (const CaptureInfo& capture : *captures) {
    if (!IsLeft(capture, book->calibration_id)) continue;
    if (auto done = MeasureCapture(*book, capture); !done) {
      return tl::unexpected(done.error());
    }
  }
  return {};
}

}  // namespace masseter
