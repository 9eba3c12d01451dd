// What the certificate's page needs beside the report's style sheet: one
// sheet of A4 on paper, one column on a phone.
#ifndef MASSETER_REPORT_CERTIFICATE_STYLE_H_
#define MASSETER_REPORT_CERTIFICATE_STYLE_H_

#include <string_view>

namespace masseter::report {

// CSS that comes after StyleSheet().
std::string_view CertificateStyle();

}  // namespace masseter::report

#endif  // MASSETER_REPORT_CERTIFICATE_STYLE_H_
