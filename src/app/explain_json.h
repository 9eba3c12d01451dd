// The answers of `explain` as JSON documents (docs/explain.md).
#ifndef MASSETER_APP_EXPLAIN_JSON_H_
#define MASSETER_APP_EXPLAIN_JSON_H_

#include <nlohmann/json.hpp>

#include "app/explain_bite.h"
#include "app/explain_pair.h"

namespace masseter {

nlohmann::ordered_json ExplanationJson(const BiteExplanation& explanation);
nlohmann::ordered_json PairJson(const PairExplanation& explanation);

}  // namespace masseter

#endif  // MASSETER_APP_EXPLAIN_JSON_H_
