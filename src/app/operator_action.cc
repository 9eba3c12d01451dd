#include "app/operator_action.h"

#include <nlohmann/json.hpp>

namespace masseter {
namespace {

Expected<OperatorAction> Read(const std::string& json) {
  try {
    const auto j = nlohmann::json::parse(json);
    OperatorAction out;
    out.type = j.at("type").get<std::string>();
    if (j.contains("dog")) out.dog = j.at("dog").get<std::string>();
    if (j.contains("breed") && j.at("breed").is_string()) {
      out.breed = j.at("breed").get<std::string>();
    }
    if (j.contains("mass_kg") && j.at("mass_kg").is_number()) {
      out.mass_kg = j.at("mass_kg").get<double>();
    }
    return out;
  } catch (const nlohmann::json::exception&) {
    return BadInput("", "the action is not understood");
  }
}

}  // namespace

Expected<OperatorAction> ParseAction(const std::string& json) {
  auto action = Read(json);
  if (!action) return action;
  const bool known = action->type == "up" || action->type == "out" ||
                     action->type == "zero" || action->type == "dog";
  if (!known) return BadInput("", "there is no action " + action->type);
  const bool names_dog = action->type == "up" || action->type == "dog";
  if (names_dog && (action->dog.empty() || action->dog.front() == '!' ||
                    action->dog.size() > 60)) {
    return BadInput("", "a dog needs a name of up to 60 letters");
  }
  if (action->mass_kg &&
      !(*action->mass_kg > 0.0 && *action->mass_kg < 150.0)) {
    return BadInput("", "a dog's mass must lie between 0 and 150 kg");
  }
  return action;
}

}  // namespace masseter
