// From samples to min/max columns, so that a picture of any width shows every
// peak and every gap.
#ifndef MASSETER_REPORT_TRACE_COLUMNS_H_
#define MASSETER_REPORT_TRACE_COLUMNS_H_

#include <span>

#include "report/report_model.h"

namespace masseter {

// A stretch without samples: from the last sample before it to the first after
// it, seconds.
struct TraceGap {
  double start_s = 0.0;
  double end_s = 0.0;
};

// Columns over [from_s, to_s], at most `columns` of them, none narrower than
// a sample period would need (the caller's choice). `time_s` ascends and is as
// long as `force_n`. A column
//   with samples        is their lowest and highest value;
//   without, no gap     (slow sampling) is the straight line between the
//                       samples around it;
//   without, in a gap,  before the first or after the last sample: NaN.
// A gap narrower than a column still takes one: the samples of that column move
// to its neighbour, so neither the gap nor a peak beside it is lost. Force
// values that are not finite count as missing. Empty when columns < 1 or
// to_s <= from_s.
TraceColumns MakeTraceColumns(std::span<const double> time_s,
                              std::span<const double> force_n,
                              std::span<const TraceGap> gaps, double from_s,
                              double to_s, int columns);

}  // namespace masseter

#endif  // MASSETER_REPORT_TRACE_COLUMNS_H_
