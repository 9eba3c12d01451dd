#include "pages/api_shape.h"

#include <fstream>

namespace masseter {
namespace {

using Json = nlohmann::json;

bool MayJoin(const std::string& key, const Json& golden) {
  return golden.contains("peak_n") &&
         (key == "peak_lo_n" || key == "peak_hi_n");
}

std::string ObjectProblem(const Json& message, const Json& golden,
                          const std::string& where) {
  for (const auto& [key, value] : golden.items()) {
    if (!message.contains(key)) return where + " lacks " + key;
    std::string problem = ShapeProblem(message[key], value, where + "." + key);
    if (!problem.empty()) return problem;
  }
  for (const auto& [key, value] : message.items()) {
    if (!golden.contains(key) && !MayJoin(key, golden)) {
      return where + " has " + key + ", which api/ does not know";
    }
  }
  return "";
}

// Every element against the first that is not null in the example.
std::string ListProblem(const Json& message, const Json& golden,
                        const std::string& where) {
  Json example;
  for (const Json& element : golden) {
    if (example.is_null()) example = element;
  }
  for (std::size_t i = 0; i < message.size(); ++i) {
    std::string problem = ShapeProblem(message[i], example,
                                       where + "[" + std::to_string(i) + "]");
    if (!problem.empty()) return problem;
  }
  return "";
}

}  // namespace

Json GoldenMessage(const std::string& api, const std::string& name) {
  std::ifstream file(api + "/" + name + ".json");
  const Json golden = Json::parse(file, nullptr, false);
  return golden.is_discarded() ? Json() : golden;
}

std::string ShapeProblem(const Json& message, const Json& golden,
                         const std::string& where) {
  if (message.is_null() || golden.is_null()) return "";
  if (message.is_object() && golden.is_object()) {
    return ObjectProblem(message, golden, where);
  }
  if (message.is_array() && golden.is_array()) {
    return ListProblem(message, golden, where);
  }
  const bool same = message.is_number() ? golden.is_number()
                                        : message.type() == golden.type();
  return same ? ""
              : where + " is " + message.dump() + ", not of the kind of " +
                    golden.dump();
}

}  // namespace masseter
