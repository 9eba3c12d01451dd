// A bite's trace as lines of text: force up, time right, zero in view, missing
// samples hatched. Dots of braille where the terminal has UTF-8, else ".:'|".
#ifndef MASSETER_REPORT_TRACE_SKETCH_H_
#define MASSETER_REPORT_TRACE_SKETCH_H_

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "report/report_model.h"

namespace masseter {

struct SketchOptions {
  std::size_t columns = 80;  // of the terminal, 40 at least
  std::size_t rows = 11;     // of the force, 4 at least
  bool utf8 = true;
  // Beside the force's axis; empty for counts. From 100 000 on the axis stands
  // in thousands, "kN" or "k".
  std::string unit = "N";
  // A level drawn as a dashed line where it lies within the picture, as the
  // largest calibrated force does, with its word where the trace leaves room.
  std::optional<double> level_n;
  std::string level_word;
};

// Columns of trace that a sketch of that width can show: what `trace` should
// be made with.
std::size_t SketchColumns(const SketchOptions& options);

// The picture of bite.trace with the peak as a disc and, where it is wider than
// a row, its interval as a whisker; below the time axis the strike's fifth of
// a second, the squeeze and the re-grips at their places. Lines end with a
// newline.
std::string TraceSketch(const ReportBite& bite, const SketchOptions& options);

}  // namespace masseter

#endif  // MASSETER_REPORT_TRACE_SKETCH_H_
