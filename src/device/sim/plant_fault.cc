#include "device/sim/plant_fault.h"

#include <algorithm>

#include "device/sim/bite_shape.h"

namespace masseter::sim {
namespace {

// Start and length of the fault within the bite.
void PlaceIn(const SimBite& bite, Fault& f) {
  const double start = bite.start_s;
  const double length = bite.shape.length_s;
  const ShapeFigures figures = FiguresOf(bite.shape);
  const double peak = start + figures.peak_at_s;
  switch (f.kind) {
    case FaultKind::kGap:
      f.start_s = peak - 0.04;
      f.length_s = 0.081;
      return;
    case FaultKind::kRestart:
      f.start_s = std::max(peak - 0.1, start + 0.02);
      f.length_s = start + length - f.start_s + 0.4;
      return;
    case FaultKind::kRail:
      f.start_s = peak - 0.03;
      f.length_s = 0.06;
      return;
    case FaultKind::kStuck:
      f.start_s = start - 0.1;
      f.length_s = length + 0.4;
      return;
    case FaultKind::kSag:
    case FaultKind::kGlitch:
    case FaultKind::kLoose:
    case FaultKind::kBrokenLine:
      f.start_s = start + 0.1 * length;
      f.length_s = 0.8 * length;
      return;
    case FaultKind::kZero:
      f.start_s = start + std::min(0.5, 0.5 * length);
      f.amount = 0.125 * figures.peak_n;
      return;
  }
}

}  // namespace

std::optional<FaultKind> FaultOf(std::string_view word) {
  for (int k = 0; k <= static_cast<int>(FaultKind::kBrokenLine); ++k) {
    const auto kind = static_cast<FaultKind>(k);
    if (FaultWord(kind) == word) return kind;
  }
  return std::nullopt;
}

void PlantFault(FaultKind kind, std::size_t bite, int channel, int channels,
                SimDay& day) {
  Fault fault;
  fault.kind = kind;
  fault.channel = std::clamp(channel, 0, channels - 1);
  PlaceIn(day.bites[bite], fault);
  day.faults.push_back(fault);
}

}  // namespace masseter::sim
