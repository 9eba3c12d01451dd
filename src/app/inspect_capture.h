// `inspect`: the health of a stored capture or of a capture file.
#ifndef MASSETER_APP_INSPECT_CAPTURE_H_
#define MASSETER_APP_INSPECT_CAPTURE_H_

#include <string>

#include "core/base/error.h"
#include "core/trust/capture_health.h"

namespace masseter {

// `capture` is a recording's number in the logbook, or the path of a capture
// file, which is read with the logbook's rig and calibration and not stored.
Expected<CaptureHealth> InspectCapture(const std::string& book_path,
                                       const std::string& capture);

}  // namespace masseter

#endif  // MASSETER_APP_INSPECT_CAPTURE_H_
