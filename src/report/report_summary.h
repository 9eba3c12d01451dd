// What page one says in numbers: counting and picking, no new figures.
#ifndef MASSETER_REPORT_REPORT_SUMMARY_H_
#define MASSETER_REPORT_REPORT_SUMMARY_H_

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "report/report_model.h"

namespace masseter::report {

// Bites by verdict. A lower bound counts as `at_least` and nowhere else.
struct VerdictCounts {
  std::size_t sound = 0;
  std::size_t doubtful = 0;
  std::size_t at_least = 0;
  std::size_t no_figure = 0;  // void

  std::size_t all() const { return sound + doubtful + at_least + no_figure; }
  std::size_t with_figure() const { return all() - no_figure; }
};
VerdictCounts CountVerdicts(std::span<const ReportBite> bites);

// A bite together with the dog that it belongs to; both point into the model.
struct PickedBite {
  const ReportDog* dog = nullptr;
  const ReportBite* bite = nullptr;
};

struct ReportSummary {
  std::size_t named_dogs = 0;  // dogs with a name, with or without bites
  VerdictCounts counts;
  PickedBite strongest;                 // sound if there is one, else doubtful
  PickedBite strongest_bound;           // the highest lower bound
  std::optional<double> lowest_peak_n;  // of sound and doubtful bites
  std::optional<double> highest_peak_n;
  // Half-width over peak of sound and doubtful bites: least, middle, most.
  std::vector<double> relative_u;      // ascending
  std::size_t beyond_calibration = 0;  // peaks outside the calibrated range
  double recorded_s = 0.0;
  int gaps = 0;
  std::uint64_t broken_lines = 0;
};

ReportSummary Summarize(const ReportModel& model);

// The dog's strongest bite that has a figure, by peak or lower bound; nullptr
// when there is none.
const ReportBite* StrongestOf(const ReportDog& dog);
// The bite with the highest squeeze among those with a figure.
const ReportBite* StrongestSqueezeOf(const ReportDog& dog);

// The dog's name for a heading; "Nobody was marked as up" when it has none.
std::string DogTitle(const ReportDog& dog);

// The anchor of the dog's page, "dog-3", by its place in the model.
std::string DogAnchor(const ReportModel& model, const ReportDog& dog);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_REPORT_SUMMARY_H_
