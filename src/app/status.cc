#include "app/status.h"

#include "app/book.h"
#include "app/capture_notes.h"
#include "app/day_words.h"
#include "app/file_io.h"

namespace masseter {
namespace {

// Where a capture's notes are not written yet, the samples tell.
Expected<void> FromSamples(const Book& book, CaptureStatus& status) {
  Timeline timeline(book.rig);
  auto read = book.logbook.ReadRaw(status.id, [&](const RawBlock& block) {
    SampleBlock out;
    timeline.Push(block, out);
    return true;
  });
  if (!read) return read;
  status.samples = timeline.report().samples;
  status.last_s = timeline.report().last_s;
  status.gaps = timeline.report().gaps;
  status.rate_hz = 1.0 / timeline.report().period_s;
  return {};
}

}  // namespace

Expected<BookStatus> StatusOf(const std::string& book_path) {
  const auto book = OpenBook(book_path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  BookStatus out;
  out.rig = book->rig.name;
  out.rig_revision = book->rig_revision;
  const auto calibrations = book->logbook.Calibrations();
  if (!calibrations) return tl::unexpected(calibrations.error());
  out.calibrations = calibrations->size();
  if (!calibrations->empty()) {
    out.calibrated_unix_s = calibrations->back().created_unix_s;
  }
  const auto roster = book->logbook.Roster();
  if (!roster) return tl::unexpected(roster.error());
  out.dogs = roster->size();
  const auto bites = book->logbook.Bites();
  if (!bites) return tl::unexpected(bites.error());
  const auto words = ReadDayWords(book->logbook, NowUnixS());
  if (!words) return tl::unexpected(words.error());
  out.stages = words->stages;
  const auto captures = book->logbook.Captures();
  if (!captures) return tl::unexpected(captures.error());
  for (const CaptureInfo& info : *captures) {
    const CaptureNotes notes = ParseNotes(info.notes);
    CaptureStatus s;
    s.id = info.id;
    s.source = info.source;
    s.created_unix_s = info.created_unix_s;
    s.samples = info.rows - notes.late;
    s.last_s = notes.last_s;
    s.gaps = notes.gaps;
    s.rate_hz = notes.rate_hz;
    s.broken_lines = info.broken_lines;
    s.open = info.open;
    s.clocks = notes.clocks;
    s.warnings = notes.warnings;
    for (const BiteRecord& bite : *bites) {
      if (bite.capture != info.id) continue;
      ++s.bites;
      s.struck_out += words->withdrawn.contains(bite.id) ? 1U : 0U;
    }
    if (info.open) {
      if (auto ok = FromSamples(*book, s); !ok)
        return tl::unexpected(ok.error());
    }
    out.captures.push_back(std::move(s));
  }
  return out;
}

}  // namespace masseter
