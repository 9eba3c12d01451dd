// `certificate`: a stored calibration as one page to print and sign.
#ifndef MASSETER_APP_CERTIFICATE_BOOK_H_
#define MASSETER_APP_CERTIFICATE_BOOK_H_

#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "core/base/error.h"
#include "report/certificate_model.h"

namespace masseter {

struct CertificateRequest {
  std::string book_path;
  std::optional<std::int64_t> calibration;  // the one in force
  std::string reference_certificate;        // as the maker names it
  std::string calibrated_by;
};

struct CertificateAnswer {
  CertificateModel model;
  nlohmann::ordered_json json;  // docs/commands.md
};

// Reads the logbook only. Errors: no calibration, none of that number.
Expected<CertificateAnswer> CertificateOf(const CertificateRequest& request);

// Writes the page to `out_path`, whole or not at all, and gives its size.
// Refuses to write over the logbook itself.
Expected<std::size_t> WriteCertificate(const CertificateModel& model,
                                       const std::string& book_path,
                                       const std::string& out_path);

}  // namespace masseter

#endif  // MASSETER_APP_CERTIFICATE_BOOK_H_
