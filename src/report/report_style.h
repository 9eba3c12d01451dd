// The style sheet of the report: A4 on paper first, screen second.
#ifndef MASSETER_REPORT_REPORT_STYLE_H_
#define MASSETER_REPORT_REPORT_STYLE_H_

#include <string_view>

namespace masseter::report {

// CSS without any external resource: the reader's own fonts, one accent
// colour, colours of verdicts that only repeat their shapes.
std::string_view StyleSheet();

}  // namespace masseter::report

#endif  // MASSETER_REPORT_REPORT_STYLE_H_
