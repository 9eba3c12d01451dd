#include "app/recording.h"

#include <algorithm>

#include "app/bite_json.h"
#include "app/bite_list.h"
#include "app/bite_spark.h"
#include "app/capture_notes.h"
#include "app/dog_files.h"
#include "app/file_io.h"
#include "app/measure_capture.h"

namespace masseter {
namespace {

constexpr std::size_t kBlockRows = 4096;

// An intake knows the line and not where it comes from.
Expected<void> From(const std::string& source, Expected<void> done) {
  if (done || !done.error().where.starts_with(':')) return done;
  const std::string file = "file:";
  const std::string place = source == "-" ? "standard input"
                            : source.starts_with(file)
                                ? source.substr(file.size())
                                : source;
  done.error().where.insert(0, place);
  return done;
}

}  // namespace

Recording::Recording(Book& book, Sleeve sleeve, LivePublisher& publisher,
                     OnBite on_bite)
    : book_(book),
      of_(std::move(sleeve)),
      publisher_(publisher),
      on_bite_(std::move(on_bite)),
      marks_(of_.marks) {
  PipelineEvents events;
  events.on_bite = [this](MeasuredBite&& b) { StoreBite(std::move(b)); };
  events.on_frame = [this](const FrameView& f) {
    publisher_.TakeFrame(of_.number, f);
  };
  pipeline_ =
      std::make_unique<Pipeline>(book_.rig, book_.CalibrationOrNull(), events);
  intake_ = std::make_unique<DeviceIntake>(
      book_.rig, kBlockRows, [this](const RawBlock& block) -> Expected<void> {
        if (auto ok = Begin(); !ok) return ok;
        // Raw samples first: whatever happens later, they are there.
        auto stored = book_.logbook.Append(capture_, block);
        pipeline_->Push(block);
        if (tap_) tap_(block);
        JoinClocks(block.host_time_s);
        return stored ? Failed() : stored;
      });
}

Expected<void> Recording::Failed() const {
  if (failure_) return tl::unexpected(*failure_);
  return {};
}

Expected<void> Recording::Begin() {
  if (begun()) return {};
  CaptureInfo info;
  info.source = of_.source;
  info.created_unix_s = NowUnixS();
  const auto id = book_.logbook.BeginCapture(info);
  if (!id) return tl::unexpected(id.error());
  capture_ = *id;
  info_ = info;
  if (auto ok = Date(); !ok) return ok;
  for (const Mark& mark : marks_) {
    if (auto ok = book_.logbook.AddMark(capture_, mark); !ok) return ok;
    if (mark.dog == kZeroMark) pipeline_->SeekZeroAt(mark.t_s);
  }
  return {};
}

// Check loads and limits as they stand now; see End for later ones.
Expected<void> Recording::Date() {
  const auto in_force = CalibrationFor(book_.logbook, info_);
  if (!in_force) return tl::unexpected(in_force.error());
  auto validity = ValidityOf(book_.logbook, *in_force);
  if (!validity) return tl::unexpected(validity.error());
  validity_ = std::move(*validity);
  const auto entries = book_.logbook.BenchEntries("");
  if (!entries) return tl::unexpected(entries.error());
  bench_entries_ = entries->size();
  return {};
}

Expected<void> Recording::Take(std::span<const char> bytes,
                               double host_time_s) {
  last_host_s_ = host_time_s;
  return From(of_.source, intake_->Push(bytes, host_time_s));
}

void Recording::SetReply(DeviceIntake::Reply reply) {
  intake_->SetReply(std::move(reply));
}

Expected<void> Recording::LinkUp(bool anywhere) {
  return ended_ ? Expected<void>() : intake_->LinkUp(anywhere);
}

Expected<void> Recording::Tick(double now_s) {
  if (ended_) return {};
  if (auto ok = From(of_.source, intake_->Tick(now_s)); !ok) return ok;
  if (auto ok = From(of_.source, intake_->Flush()); !ok) return ok;
  return begun() ? book_.logbook.Commit() : Expected<void>();
}

Expected<void> Recording::End(bool whole) {
  if (ended_) return {};
  ended_ = true;
  auto finished =
      From(of_.source, intake_->Finish(whole ? DeviceIntake::LastLine::kCounts
                                             : DeviceIntake::LastLine::kTorn));
  if (!begun()) return finished;
  pipeline_->Finish();
  CaptureInfo info;
  info.source = of_.source;
  info.broken_lines = intake_->report().broken;
  CaptureNotes notes = NotesFrom(intake_->report(), pipeline_->timeline(),
                                 book_.rig.sample_rate_hz);
  notes.clocks = clocks_.Estimate();
  info.notes = NotesDocument(notes);
  auto closed = book_.logbook.Patiently([this, info] {
    return book_.logbook.Transact([&] { return Close(info); });
  });
  if (!closed) return closed;
  if (!finished) return finished;
  return Failed();
}

Expected<void> Recording::Close(const CaptureInfo& info) {
  if (auto ok = book_.logbook.FinishCapture(capture_, info); !ok) return ok;
  // The bites are those of the pipeline.
  if (auto ok = book_.logbook.NoteMeasured(capture_, kMethodVersion,
                                           book_.calibration_id);
      !ok) {
    return ok;
  }
  // Somebody checked the sleeve meanwhile: the bites are derived anew later.
  const auto entries = book_.logbook.BenchEntries("");
  if (!entries) return tl::unexpected(entries.error());
  if (entries->size() != bench_entries_) {
    if (auto ok = book_.logbook.MeasureAnewLater(); !ok) return ok;
  }
  return {};
}

Expected<std::optional<Mark>> Recording::MarkNow(const std::string& what) {
  if (ended_) return std::nullopt;
  const Mark mark{pipeline_->timeline().last_s, what};
  if (begun()) {
    if (auto ok = book_.logbook.AddMark(capture_, mark); !ok) {
      return tl::unexpected(ok.error());
    }
    if (what == kZeroMark) pipeline_->SeekZeroAt(mark.t_s);
  }
  marks_.push_back(mark);
  return mark;
}

Expected<std::vector<StoredBite>> Recording::Renamed(
    const std::vector<Mark>& marks, double from_s) const {
  std::vector<StoredBite> out;
  const auto read = VisitBites(book_.logbook, capture_, from_s,
                               [&](const StoredBite& stored) {
                                 StoredBite anew = stored;
                                 NameDog(marks, anew.bite);
                                 if (anew.bite.dog != stored.bite.dog ||
                                     anew.bite.out_s != stored.bite.out_s) {
                                   out.push_back(std::move(anew));
                                 }
                               });
  if (!read) return tl::unexpected(read.error());
  return out;
}

Expected<std::vector<std::int64_t>> Recording::TakeBack(const Mark& mark) {
  const auto newest = std::find(marks_.rbegin(), marks_.rend(), mark);
  if (newest == marks_.rend()) return BadInput("", "there is no such mark");
  std::vector<Mark> marks = marks_;
  marks.erase(marks.begin() + (marks_.rend() - newest - 1));
  BitesOfDogs bites_of;
  std::vector<std::int64_t> changed;
  const auto change = [&]() -> Expected<void> {
    if (auto ok = book_.logbook.RemoveMark(capture_, mark); !ok) return ok;
    const auto renamed = Renamed(marks, mark.t_s);
    if (!renamed) return tl::unexpected(renamed.error());
    for (const StoredBite& s : *renamed) {
      changed.push_back(s.bite.id);
      auto ok = book_.logbook.RedescribeBite(
          s.bite.id, BiteDocument(s.bite, s.provenance, s.spark));
      if (!ok) return ok;
    }
    return VisitBites(book_.logbook, capture_, 0.0, [&](const StoredBite& s) {
      CountBite(s.bite.dog, begin_unix_s() + s.bite.end_s, bites_of);
    });
  };
  if (begun()) {
    // What waits for the disk is not there to be taken back yet.
    if (auto ok = book_.logbook.Settle(); !ok)
      return tl::unexpected(ok.error());
    const auto done = book_.logbook.Transact(change);
    if (!done) return tl::unexpected(done.error());
    bites_of_ = std::move(bites_of);
  }
  marks_ = std::move(marks);
  return changed;
}

std::string Recording::up() const { return DogUp(marks_, last_s()); }

double Recording::begin_unix_s() const {
  return last_host_s_ > 0.0 ? last_host_s_ - last_s() : info_.created_unix_s;
}

Provenance Recording::Origin() const {
  return {capture_, book_.calibration_id, book_.rig_revision, kMethodVersion};
}

void Recording::JoinClocks(double host_time_s) {
  if (host_time_s <= 0.0) return;
  const TimelineReport& timeline = pipeline_->timeline();
  // Capture time follows the device's clock from break to break.
  if (timeline.gaps != breaks_ && !timeline.breaks.empty() &&
      timeline.breaks.back().kind == Break::kRestart) {
    clocks_.Restart();
  }
  breaks_ = timeline.gaps;
  clocks_.Add(timeline.last_s, host_time_s);
}

void Recording::StoreBite(MeasuredBite&& b) {
  NameDog(marks_, b.bite);
  DateBite(validity_, info_, b.bite);
  const std::vector<float> spark = SparkOf(b);
  const auto id =
      book_.logbook.AddBite({0, capture_, b.bite.start_s, b.bite.end_s,
                             BiteDocument(b.bite, Origin(), spark)});
  if (!id) {
    if (!failure_) failure_ = id.error();
    return;
  }
  b.bite.id = *id;
  ++bites_;
  CountBite(b.bite.dog, begin_unix_s() + b.bite.end_s, bites_of_);
  const double start_unix_s =
      last_host_s_ > 0.0 ? begin_unix_s() + b.bite.start_s : 0.0;
  publisher_.TakeBite(of_.number, b.bite, spark, start_unix_s);
  if (on_bite_) on_bite_(b.bite);
}

}  // namespace masseter
