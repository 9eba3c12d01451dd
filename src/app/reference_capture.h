// Reference transducer mode: the sleeve and a calibrated transducer in series,
// recorded together while the load is moved by hand.
#ifndef MASSETER_APP_REFERENCE_CAPTURE_H_
#define MASSETER_APP_REFERENCE_CAPTURE_H_

#include <atomic>
#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/bench/reference_pair.h"
#include "core/metrology/estimator.h"

namespace masseter {

struct ReferenceRequest {
  std::string book_path;
  std::string source;     // of the sleeve
  std::string reference;  // a source, or "column:NAME" of the sleeve's text
  double factor = 1.0;    // newtons per unit of the reference's figure
  // How the reference prints a line; a header in its text wins.
  std::string columns = "force";
  double rate_hz = 50.0;  // of the reference; used where its text has no clock
  std::optional<Place> place;
  PairOptions pair;
  std::function<void(const std::string&)> say;
  // Asked 20 times a second; false ends the recording.
  std::function<bool()> go_on;
};

struct ReferenceAnswer {
  std::int64_t session = 0;
  PairedReadings paired;
  std::string csv;  // docs/formats/readings.md, loads in force_n
  double seconds = 0.0;
};

// Records until told to end or both files end, pairs, stores rows and lag in
// the logbook (entry "reference").
Expected<ReferenceAnswer> CaptureReference(const ReferenceRequest& request);

// All stored reference recordings as one readings file, series numbered on.
Expected<std::string> ReferenceCsv(const std::string& book_path);

}  // namespace masseter

#endif  // MASSETER_APP_REFERENCE_CAPTURE_H_
