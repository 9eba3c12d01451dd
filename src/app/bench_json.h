// Bench sessions as the logbook keeps them: entries "plan", "reading",
// "strike" and "skip", each a JSON document that names its session.
#ifndef MASSETER_APP_BENCH_JSON_H_
#define MASSETER_APP_BENCH_JSON_H_

#include <nlohmann/json.hpp>
#include <optional>

#include "core/bench/bench_session.h"

namespace masseter {

nlohmann::ordered_json PlanDocument(const LoadPlan& plan);
std::optional<LoadPlan> ParsePlan(const nlohmann::json& document);

nlohmann::ordered_json ReadingDocument(const BenchReading& reading);
std::optional<BenchReading> ParseBenchReading(const nlohmann::json& document,
                                              std::size_t channels);

}  // namespace masseter

#endif  // MASSETER_APP_BENCH_JSON_H_
