// Tap tests as JSON: the answer of `taps` and the logbook's entry.
#ifndef MASSETER_APP_TAP_JSON_H_
#define MASSETER_APP_TAP_JSON_H_

#include <nlohmann/json.hpp>
#include <optional>

#include "core/bench/ring_down.h"
#include "logbook/logbook.h"

namespace masseter {

nlohmann::ordered_json TapDocument(const TapTest& test);

// How the sleeve rings by the newest tap test; nullopt for none.
Expected<std::optional<SecondOrder>> RingingOf(const Logbook& logbook);

}  // namespace masseter

#endif  // MASSETER_APP_TAP_JSON_H_
