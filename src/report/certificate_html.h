// A calibration's certificate as one self-contained HTML page that prints on
// one sheet of A4, in the report's visual language.
#ifndef MASSETER_REPORT_CERTIFICATE_HTML_H_
#define MASSETER_REPORT_CERTIFICATE_HTML_H_

#include <string>

#include "report/certificate_model.h"
#include "report/html_writer.h"

namespace masseter {

// Pure: the same model gives the same bytes. To stay on one sheet, tables show
// eight loads and eleven places at most (spread over all; the worst places),
// long facts are cut, warnings end after 560 letters; what is left out is
// counted.
std::string CertificateHtml(const CertificateModel& model);

namespace report {

// certificate_pictures.cc
void WriteCertificateCurve(HtmlWriter& writer, const CertificateModel& model);
void WriteCertificateErrors(HtmlWriter& writer, const CertificateModel& model);
// Nothing with fewer than two places.
void WriteCertificateMap(HtmlWriter& writer, const CertificateModel& model);

}  // namespace report

}  // namespace masseter

#endif  // MASSETER_REPORT_CERTIFICATE_HTML_H_
