// Numbers that may be missing, in JSON.
#ifndef MASSETER_APP_JSON_VALUES_H_
#define MASSETER_APP_JSON_VALUES_H_

#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

namespace masseter {

// null for a value that is missing or not finite: JSON has no word for either.
inline nlohmann::ordered_json OrNull(const std::optional<double>& value) {
  return value && std::isfinite(*value) ? nlohmann::ordered_json(*value)
                                        : nlohmann::ordered_json(nullptr);
}

// The way back.
inline std::optional<double> Optional(const nlohmann::ordered_json& value) {
  if (value.is_null()) return std::nullopt;
  return value.get<double>();
}
// Of an object's member; nullopt too where there is none of this name.
inline std::optional<double> Optional(const nlohmann::ordered_json& object,
                                      const char* key) {
  const auto it = object.find(key);
  return it == object.end() ? std::nullopt : Optional(*it);
}

}  // namespace masseter

#endif  // MASSETER_APP_JSON_VALUES_H_
