// The report's dogs beside each other: `compare` and `bodymass` of the logbook
// with their usual questions, as the report's plain model.
#ifndef MASSETER_APP_REPORT_COMPARISON_H_
#define MASSETER_APP_REPORT_COMPARISON_H_

#include <optional>
#include <string>
#include <vector>

#include "report/report_model.h"

namespace masseter {

struct CompareAnswer;

// A finished answer as the report shows it; `mass` stays empty.
ReportComparison ReportComparisonOf(const CompareAnswer& answer);

// Nothing when fewer than two dogs have a bite with a figure. What the model
// refuses stands as a sentence in `notes`, without a picture. Force against
// body mass is there when three dogs with figures have a mass.
std::optional<ReportComparison> ComparisonOf(
    const std::string& book_path, const std::vector<ReportDog>& dogs);

}  // namespace masseter

#endif  // MASSETER_APP_REPORT_COMPARISON_H_
