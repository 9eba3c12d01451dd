#include "report/report_summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace masseter::report {
namespace {

bool HasFigure(const Bite& bite) {
  return bite.verdict != Verdict::kVoid && bite.peak_n.has_value();
}

double Peak(const PickedBite& pick) { return *pick.bite->bite.peak_n; }

void TakeHigher(PickedBite& best, const PickedBite& pick) {
  if (best.bite == nullptr || Peak(pick) > Peak(best)) best = pick;
}

// Adds what one bite with a two-sided interval says.
void AddPeak(ReportSummary& summary, const Bite& bite) {
  const double peak = *bite.peak_n;
  summary.lowest_peak_n = std::min(summary.lowest_peak_n.value_or(peak), peak);
  summary.highest_peak_n =
      std::max(summary.highest_peak_n.value_or(peak), peak);
  if (bite.peak_u95_n && peak > 0.0 && std::isfinite(*bite.peak_u95_n)) {
    summary.relative_u.push_back(*bite.peak_u95_n / peak);
  }
}

bool Outside(const ReportCalibration& calibration, double peak_n) {
  return peak_n < calibration.force_low_n || peak_n > calibration.force_high_n;
}

}  // namespace

VerdictCounts CountVerdicts(std::span<const ReportBite> bites) {
  VerdictCounts counts;
  for (const ReportBite& entry : bites) {
    const Bite& bite = entry.bite;
    if (!HasFigure(bite)) {
      ++counts.no_figure;
    } else if (bite.at_least) {
      ++counts.at_least;
    } else if (bite.verdict == Verdict::kSound) {
      ++counts.sound;
    } else {
      ++counts.doubtful;
    }
  }
  return counts;
}

ReportSummary Summarize(const ReportModel& model) {
  ReportSummary summary;
  PickedBite sound;
  PickedBite doubtful;
  for (const ReportDog& dog : model.dogs) {
    if (!dog.name.empty()) ++summary.named_dogs;
    const VerdictCounts counts = CountVerdicts(dog.bites);
    summary.counts.sound += counts.sound;
    summary.counts.doubtful += counts.doubtful;
    summary.counts.at_least += counts.at_least;
    summary.counts.no_figure += counts.no_figure;
    for (const ReportBite& entry : dog.bites) {
      const Bite& bite = entry.bite;
      if (!HasFigure(bite)) continue;
      const PickedBite pick = {&dog, &entry};
      if (model.calibration && Outside(*model.calibration, *bite.peak_n)) {
        ++summary.beyond_calibration;
      }
      if (bite.at_least) {
        TakeHigher(summary.strongest_bound, pick);
        continue;
      }
      TakeHigher(bite.verdict == Verdict::kSound ? sound : doubtful, pick);
      AddPeak(summary, bite);
    }
  }
  summary.strongest = sound.bite != nullptr ? sound : doubtful;
  std::ranges::sort(summary.relative_u);
  for (const ReportCapture& capture : model.captures) {
    summary.recorded_s += capture.length_s;
    summary.gaps += capture.gaps;
    summary.broken_lines += capture.broken_lines;
  }
  return summary;
}

const ReportBite* StrongestOf(const ReportDog& dog) {
  const ReportBite* best = nullptr;
  for (const ReportBite& entry : dog.bites) {
    if (!HasFigure(entry.bite)) continue;
    if (best == nullptr || *entry.bite.peak_n > *best->bite.peak_n) {
      best = &entry;
    }
  }
  return best;
}

const ReportBite* StrongestSqueezeOf(const ReportDog& dog) {
  const ReportBite* best = nullptr;
  for (const ReportBite& entry : dog.bites) {
    if (!HasFigure(entry.bite) || !entry.bite.squeeze_n) continue;
    if (best == nullptr || *entry.bite.squeeze_n > *best->bite.squeeze_n) {
      best = &entry;
    }
  }
  return best;
}

std::string DogTitle(const ReportDog& dog) {
  return dog.name.empty() ? "Nobody was marked as up" : dog.name;
}

std::string DogAnchor(const ReportModel& model, const ReportDog& dog) {
  return fmt::format("dog-{}", &dog - model.dogs.data() + 1);
}

}  // namespace masseter::report
