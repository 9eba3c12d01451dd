// An <svg> element of the report as a file of its own: name space, size,
// background and the colours of the report's style sheet, written out so that
// programs without CSS variables draw it too. Small on a phone, the text grows.
#ifndef MASSETER_REPORT_SVG_FILE_H_
#define MASSETER_REPORT_SVG_FILE_H_

#include <string>
#include <string_view>

namespace masseter::report {

// `svg` is one element as SvgPlot or HtmlWriter wrote it, with a viewBox.
std::string SvgFile(std::string_view svg);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_SVG_FILE_H_
