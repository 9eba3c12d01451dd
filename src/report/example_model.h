// An invented field day for tests and for looking at the report: four dogs, a
// bite for every verdict and reason, a calibration with its readings. All of it
// is computed from fixed numbers, so the same model comes out each time.
#ifndef MASSETER_REPORT_EXAMPLE_MODEL_H_
#define MASSETER_REPORT_EXAMPLE_MODEL_H_

#include "report/report_model.h"

namespace masseter::report {

ReportModel ExampleModel();

// One dog with one sound bite and a short trace: small enough to read in full.
ReportModel SmallModel();

}  // namespace masseter::report

#endif  // MASSETER_REPORT_EXAMPLE_MODEL_H_
