// An invented calibration that fills the certificate's page as far as it goes:
// for the tests and for looking at the page.
#ifndef MASSETER_REPORT_EXAMPLE_CERTIFICATE_H_
#define MASSETER_REPORT_EXAMPLE_CERTIFICATE_H_

#include "report/certificate_model.h"

namespace masseter::report {

// Long names, more loads, places and warnings than the page shows.
CertificateModel FullCertificate();

}  // namespace masseter::report

#endif  // MASSETER_REPORT_EXAMPLE_CERTIFICATE_H_
