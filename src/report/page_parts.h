// Parts that several files of the report's kind begin with or draw with.
#ifndef MASSETER_REPORT_PAGE_PARTS_H_
#define MASSETER_REPORT_PAGE_PARTS_H_

#include <string_view>

#include "report/html_writer.h"

namespace masseter::report {

// The <head> of a self-contained page: character set, width, a policy that
// keeps the file what it is wherever it is opened, title, and the report's
// style sheet with `style` (trusted CSS, may be empty) after it.
void PageHead(HtmlWriter& w, std::string_view title, std::string_view style);

// One line, or one text anchored at its start, middle or end, in SVG units.
void SvgLine(HtmlWriter& w, std::string_view cls, double x1, double y1,
             double x2, double y2);
void SvgText(HtmlWriter& w, double x, double y, std::string_view text,
             std::string_view cls, std::string_view anchor);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_PAGE_PARTS_H_
