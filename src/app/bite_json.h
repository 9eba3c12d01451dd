// Bites as JSON: the answer of `bites`, and the document in the logbook.
#ifndef MASSETER_APP_BITE_JSON_H_
#define MASSETER_APP_BITE_JSON_H_

#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/bite/bite.h"

namespace masseter {

// One bite as docs/commands.md lists it.
nlohmann::ordered_json BiteAnswer(const Bite& bite);

// What a bite's figures rest on; every stored bite names it.
struct Provenance {
  std::int64_t capture = 0;
  std::int64_t calibration = 0;  // 0: none
  int rig_revision = 1;
  std::string method;
};

// `spark`: the bite's small picture (bite_spark.h).
std::string BiteDocument(const Bite& bite, const Provenance& provenance,
                         const std::vector<float>& spark);

struct StoredBite {
  Bite bite;
  Provenance provenance;
  std::vector<float> spark;  // empty in documents that have none
  // Host clock of its start, by the capture's joined clocks; nullopt without.
  std::optional<double> start_unix_s;
};
Expected<StoredBite> ParseBiteDocument(const std::string& text,
                                       std::int64_t id);

}  // namespace masseter

#endif  // MASSETER_APP_BITE_JSON_H_
