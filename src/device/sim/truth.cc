#include "device/sim/truth.h"

#include <algorithm>
#include <cstddef>

namespace masseter::sim {
namespace {

TrueFault InCaptureTime(const SimSleeve& sleeve, const Fault& fault,
                        double day_length_s, const TimeMap& map) {
  TrueFault f;
  f.kind = fault.kind;
  f.start_s = map.ToCapture(fault.start_s);
  f.end_s = map.ToCapture(fault.kind == FaultKind::kZero
                              ? day_length_s
                              : fault.start_s + fault.length_s);
  f.amount = fault.amount;
  if (fault.kind == FaultKind::kRestart) f.pause_s = fault.length_s;
  switch (fault.kind) {
    case FaultKind::kGap:
    case FaultKind::kRestart:
    case FaultKind::kSag:
    case FaultKind::kBrokenLine:
      break;
    default:
      f.channel = sleeve.cells[static_cast<std::size_t>(fault.channel)].name;
  }
  return f;
}

// A moved zero touches only the bite it happens in; the next ones find the
// new zero in the quiet before them.
bool Touches(const Fault& fault, const SimBite& bite) {
  const double end = bite.start_s + bite.shape.length_s;
  return fault.start_s < end && fault.start_s + fault.length_s >= bite.start_s;
}

}  // namespace

double TimeMap::ToCapture(double day_s) const {
  if (pieces_.empty()) return day_s;
  std::size_t i = 0;
  while (i + 1 < pieces_.size() && day_s >= pieces_[i + 1].day_first_s) ++i;
  const TimePiece& p = pieces_[i];
  // Past the last sample of a piece that another one follows: no power.
  const double at =
      i + 1 < pieces_.size() ? std::min(day_s, p.day_last_s) : day_s;
  return p.capture_first_s + (at - p.day_first_s) * p.rate;
}

bool TimeMap::Dark(double day_s) const {
  for (std::size_t i = 0; i + 1 < pieces_.size(); ++i) {
    if (day_s > pieces_[i].day_last_s && day_s < pieces_[i + 1].day_first_s) {
      return true;
    }
  }
  return false;
}

double TimeMap::ToDay(double capture_s) const {
  if (pieces_.empty()) return capture_s;
  std::size_t i = 0;
  while (i + 1 < pieces_.size() &&
         capture_s >= pieces_[i + 1].capture_first_s) {
    ++i;
  }
  const TimePiece& p = pieces_[i];
  return p.day_first_s + (capture_s - p.capture_first_s) / p.rate;
}

Truth MakeTruth(const SimSleeve& sleeve, const SimDay& day,
                const TimeMap& map) {
  Truth truth;
  truth.club = day.club;
  truth.town = day.town;
  truth.sample_rate_hz = sleeve.RateHz();
  for (const Fault& fault : day.faults) {
    truth.faults.push_back(InCaptureTime(sleeve, fault, day.length_s, map));
  }
  for (const SimBite& bite : day.bites) {
    TrueBite b;
    b.dog = day.dogs[static_cast<std::size_t>(bite.dog)].name;
    b.start_s = map.ToCapture(bite.start_s);
    b.end_s = map.ToCapture(bite.start_s + bite.shape.length_s);
    b.figures = FiguresOf(bite.shape);
    b.peak_at_s = map.ToCapture(bite.start_s + b.figures.peak_at_s);
    b.regrips = static_cast<int>(bite.shape.regrips.size());
    if (!bite.shape.shakes.empty()) b.shake_hz = bite.shape.shakes.front().hz;
    if (bite.out_s && !map.Dark(*bite.out_s))
      b.out_at_s = map.ToCapture(*bite.out_s);
    for (std::size_t i = 0; i < day.faults.size(); ++i) {
      if (Touches(day.faults[i], bite)) b.faults.push_back(truth.faults[i]);
    }
    truth.bites.push_back(b);
  }
  for (Handling h : day.handling) {
    h.start_s = map.ToCapture(h.start_s);
    truth.handling.push_back(h);
  }
  for (const Mark& mark : day.marks) {
    // A dog stays up through a loss of power; a command in it is lost.
    if (mark.dog == "!out" && map.Dark(mark.at_s)) continue;
    truth.marks.push_back({map.ToCapture(mark.at_s), mark.dog});
  }
  return truth;
}

}  // namespace masseter::sim
