// `inspect`: the health of a stored capture or of a capture file.
#ifndef MASSETER_APP_INSPECT_CAPTURE_H_
#define MASSETER_APP_INSPECT_CAPTURE_H_

#include <string>

#include "core/base/error.h"
#include "report/health_html.h"

namespace masseter {

// `capture` is a recording's number in the logbook, or the path of a capture
// file, which is read with the logbook's rig and calibration and not stored.
Expected<HealthModel> InspectCapture(const std::string& book_path,
                                     const std::string& capture);

// Writes the page to `out_path`, whole or not at all. Refuses to write over
// the logbook or the capture file itself.
Expected<void> WriteHealth(const HealthModel& model,
                           const std::string& book_path,
                           const std::string& capture,
                           const std::string& out_path);

}  // namespace masseter

#endif  // MASSETER_APP_INSPECT_CAPTURE_H_
