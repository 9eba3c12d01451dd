// `report`: a logbook as one page that needs nothing else.
#ifndef MASSETER_APP_REPORT_BOOK_H_
#define MASSETER_APP_REPORT_BOOK_H_

#include <cstddef>
#include <string>

#include "core/base/error.h"
#include "report/report_model.h"

namespace masseter {

// Reads the logbook and replays its captures, each with the calibration behind
// its stored bites, for the traces.
Expected<ReportModel> ReportModelOf(const std::string& book_path);

struct ReportAnswer {
  std::size_t bites = 0;
  std::size_t dogs = 0;
  std::string html;  // only when it was not written to a file
  std::size_t bytes = 0;
};

// Writes the page to `out_path`, whole or not at all; "-" hands it back.
// Refuses to write over the logbook itself.
Expected<ReportAnswer> ReportBook(const std::string& book_path,
                                  const std::string& out_path);

}  // namespace masseter

#endif  // MASSETER_APP_REPORT_BOOK_H_
