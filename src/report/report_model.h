// What the report shows, as plain data: no file, no database, no computation
// of figures. src/app fills it, src/report turns it into one HTML page.
// Forces are newtons, times seconds on the clock of the bite's own capture
// unless the name says otherwise; texts are UTF-8 and need no escaping.
#ifndef MASSETER_REPORT_REPORT_MODEL_H_
#define MASSETER_REPORT_REPORT_MODEL_H_

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/bite/bite.h"
#include "report/compare_pictures.h"
#include "report/study_pictures.h"

namespace masseter {

// A trace as min/max columns: a peak is never lost, a gap is shown as a gap.
struct TraceColumns {
  double start_s = 0.0;       // time of the first column's left edge
  double column_s = 0.0;      // width of a column
  std::vector<float> low_n;   // NaN where samples are missing
  std::vector<float> high_n;  // NaN where samples are missing
};

struct ReportBite {
  Bite bite;
  std::int64_t capture = 0;  // id of the recording that its times belong to
  TraceColumns trace;        // from a little before to a little after
  std::optional<double> squeeze_at_s;  // start of the 0.25 s window
  std::vector<double> regrip_at_s;
};

struct ReportDog {
  std::string name;
  std::string breed;
  std::optional<double> mass_kg;
  std::vector<ReportBite> bites;  // in order of time
};

// One reading's place on the calibration's residual picture.
struct ReportResidual {
  double force_n = 0.0;
  double relative_error = 0.0;  // (estimate - reference) / reference
  double x_mm = 0.0;
  double y_mm = 0.0;
  bool rising = true;
};

struct ReportCalibration {
  std::int64_t id = 0;
  std::string estimator;  // in words
  std::string created;    // local date and time, ready to print
  int rows = 0;
  double force_low_n = 0.0;  // calibrated range
  double force_high_n = 0.0;
  double gravity_m_s2 = 0.0;
  std::optional<double> expanded_relative_u95;
  std::optional<double> left_out_rms;  // relative
  std::optional<double> left_out_max;
  // Relative standard terms by name: "repeatability", "reproducibility",
  // "interpolation", "reversibility", "zero_return", "off_centre",
  // "resolution", "reference"; others are shown with their name alone.
  std::vector<std::pair<std::string, std::optional<double>>> relative;
  std::vector<std::string> warnings;
  std::vector<ReportResidual> residuals;
};

struct ReportCapture {
  std::int64_t id = 0;
  std::string source;
  std::string created;
  std::uint64_t samples = 0;
  double length_s = 0.0;
  double rate_hz = 0.0;
  int gaps = 0;
  std::uint64_t broken_lines = 0;
  std::vector<std::string> warnings;
};

// Two dogs that can be told apart. Ratios: 1.2 is a fifth more.
struct ReportPair {
  std::string stronger;
  std::string than;
  double ratio = 1.0;
  double lo = 1.0;  // interval that holds for all pairs together, 95 %
  double hi = 1.0;
};

// The dogs beside each other, as `compare` answers (docs/comparing.md).
struct ReportComparison {
  report::ComparePicture picture;
  bool means = false;     // there are means; else single bites or lower bounds
  std::size_t pairs = 0;  // that were looked at
  std::vector<ReportPair> told_apart;
  std::optional<double> icc;  // reliability of one bite
  std::optional<double> icc_lo;
  std::optional<double> icc_hi;
  std::optional<std::size_t> bites_for_0_9;  // whose mean reaches 0.9
  std::optional<double> one_bite_ratio;  // two bites nearer: maybe one dog's
  std::vector<std::string> notes;        // sentences
  std::optional<report::MassForcePicture> mass;
};

struct ReportModel {
  std::string title;  // "Field day, Forearm sleeve, four cells"
  std::string made;   // when the report was made
  std::string program_version;
  std::string method_version;
  std::string logbook;  // file name, not its path
  std::string rig_name;
  int rig_revision = 1;
  std::string cover;
  std::optional<double> safe_load_n;
  std::optional<double> grip_thickness_mm;
  double nominal_rate_hz = 0.0;
  int channels = 0;
  std::vector<ReportCapture> captures;
  std::vector<ReportDog> dogs;  // last: bites with nobody up (name "")
  std::vector<std::string> checks;  // before the day and after it; a sentence
                                    // each, without a full stop
  std::optional<ReportCalibration> calibration;
  std::optional<ReportComparison> comparison;  // two dogs with figures or more
};

}  // namespace masseter

#endif  // MASSETER_REPORT_REPORT_MODEL_H_
