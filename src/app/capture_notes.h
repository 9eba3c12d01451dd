// What is remembered of a capture beside its samples: how the text read and
// how the clock ran. Stored as JSON in CaptureInfo::notes.
#ifndef MASSETER_APP_CAPTURE_NOTES_H_
#define MASSETER_APP_CAPTURE_NOTES_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/signal/clock_join.h"
#include "core/signal/timeline.h"
#include "device/text_intake.h"

namespace masseter {

struct CaptureNotes {
  double last_s = 0.0;
  double rate_hz = 0.0;    // as the clock shows it
  std::uint64_t gaps = 0;  // gaps and restarts
  std::uint64_t late = 0;  // rows that came late or twice
  std::vector<std::string> warnings;
  std::vector<BrokenLine> broken;  // the first of them
  // Capture time against the host's clock, of a live capture of 10 s or more;
  // joins the captures of several sleeves.
  std::optional<JoinedClocks> clocks;
};

// Joins what intake and timeline saw into notes; adds the warnings that they
// imply (no clock: the nominal rate is used).
CaptureNotes NotesFrom(const IntakeReport& intake,
                       const TimelineReport& timeline, double nominal_rate_hz);

std::string NotesDocument(const CaptureNotes& notes);
// Notes that cannot be read are empty: they are only remarks.
CaptureNotes ParseNotes(const std::string& text);

}  // namespace masseter

#endif  // MASSETER_APP_CAPTURE_NOTES_H_
