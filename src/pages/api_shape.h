// Compares a message with its golden example in api/. For tests of whoever
// makes messages (the recorder, the replayed day).
#ifndef MASSETER_PAGES_API_SHAPE_H_
#define MASSETER_PAGES_API_SHAPE_H_

#include <nlohmann/json.hpp>
#include <string>

namespace masseter {

// The example `name`.json of the folder `api`; null when it cannot be read.
nlohmann::json GoldenMessage(const std::string& api, const std::string& name);

// "" when `message` has every field of `golden`, no other, and values of the
// same kind (null fits any kind, in either), else where they part. A bite may
// have peak_lo_n and peak_hi_n besides.
std::string ShapeProblem(const nlohmann::json& message,
                         const nlohmann::json& golden,
                         const std::string& where = "message");

}  // namespace masseter

#endif  // MASSETER_PAGES_API_SHAPE_H_
