// What the page of a capture's health needs beside the report's style sheet.
#ifndef MASSETER_REPORT_HEALTH_STYLE_H_
#define MASSETER_REPORT_HEALTH_STYLE_H_

#include <string_view>

namespace masseter::report {

// CSS that comes after StyleSheet().
std::string_view HealthStyle();

}  // namespace masseter::report

#endif  // MASSETER_REPORT_HEALTH_STYLE_H_
