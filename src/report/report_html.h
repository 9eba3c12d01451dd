// The report as one HTML file that needs nothing else: no script, no network,
// no font, no picture beside it. Printed on A4 it is the record of the day.
#ifndef MASSETER_REPORT_REPORT_HTML_H_
#define MASSETER_REPORT_REPORT_HTML_H_

#include <string>

#include "report/report_model.h"

namespace masseter {

// The whole document, UTF-8. A pure function of the model: the same model
// gives the same bytes. Everything in the model is escaped. Thread-safe.
std::string ReportHtml(const ReportModel& model);

}  // namespace masseter

#endif  // MASSETER_REPORT_REPORT_HTML_H_
