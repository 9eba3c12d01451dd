#include "app/operator_action.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <set>
#include <string_view>

namespace masseter {
namespace {

using nlohmann::json;

constexpr int kMostBites = 1000;
constexpr double kMostMinutes = 1440.0;

constexpr std::array<std::string_view, 13> kTypes = {
    "up",   "out",  "zero",    "dog",  "order",  "limit", "note",
    "void", "undo", "restore", "load", "passed", "checks"};

std::string TextOf(const json& j, const char* key) {
  const auto it = j.find(key);
  return it == j.end() || it->is_null() ? "" : it->get<std::string>();
}

std::optional<double> NumberOf(const json& j, const char* key) {
  const auto it = j.find(key);
  if (it == j.end() || it->is_null()) return std::nullopt;
  return it->get<double>();
}

// A count that stands as a number without a fraction.
std::optional<std::int64_t> CountOf(const json& j, const char* key) {
  const auto value = NumberOf(j, key);
  if (!value) return std::nullopt;
  if (std::floor(*value) != *value || std::abs(*value) > 1e15) {
    throw json::other_error::create(500, "not a count", &j);
  }
  return static_cast<std::int64_t>(*value);
}

Expected<OperatorAction> Read(const std::string& text) {
  try {
    const auto j = json::parse(text);
    OperatorAction out;
    out.type = j.at("type").get<std::string>();
    if (const auto n = CountOf(j, "sleeve")) {
      out.sleeve = static_cast<int>(std::clamp<std::int64_t>(*n, -1, 1000000));
    }
    out.dog = TextOf(j, "dog");
    out.breed = TextOf(j, "breed");
    out.mass_kg = NumberOf(j, "mass_kg");
    if (j.contains("dogs")) {
      out.dogs = j.at("dogs").get<std::vector<std::string>>();
    }
    if (const auto n = CountOf(j, "bites")) {
      out.bites = static_cast<int>(std::clamp<std::int64_t>(*n, -1, 1000000));
    }
    out.minutes = NumberOf(j, "minutes");
    out.text = TextOf(j, "text");
    out.bite = CountOf(j, "bite");
    out.reason = TextOf(j, "reason");
    out.stage = TextOf(j, "stage");
    if (const std::string why = TextOf(j, "anyway"); !why.empty()) {
      out.anyway = why;
    }
    return out;
  } catch (const json::exception&) {
    return BadInput("", "the action is not understood");
  }
}

Expected<void> CheckDog(const OperatorAction& a) {
  if (a.dog.empty() || a.dog.front() == '!' || a.dog.size() > 60) {
    return BadInput("", "a dog needs a name of up to 60 letters");
  }
  if (a.type == "dog" && a.mass_kg &&
      !(*a.mass_kg > 0.0 && *a.mass_kg < 150.0)) {
    return BadInput("", "a dog's mass must lie between 0 and 150 kg");
  }
  if (a.type != "limit") return {};
  if (a.bites && (*a.bites < 1 || *a.bites > kMostBites)) {
    return BadInput("", "a limit of bites is a number from 1 to 1000");
  }
  if (a.minutes && !(*a.minutes > 0.0 && *a.minutes <= kMostMinutes)) {
    return BadInput("", "a limit of minutes lies between 0 and 1440");
  }
  return {};
}

Expected<void> CheckFields(const OperatorAction& a) {
  if (a.type == "up" || a.type == "dog" || a.type == "limit") {
    return CheckDog(a);
  }
  if (a.type == "order") {
    if (a.dogs.empty()) return BadInput("", "the running order names no dog");
    const std::set<std::string> once(a.dogs.begin(), a.dogs.end());
    if (once.size() != a.dogs.size()) {
      return BadInput("", "the running order names a dog twice");
    }
  }
  if ((a.type == "void" || a.type == "restore") && !a.bite) {
    return BadInput("", "say which bite");
  }
  if (a.type == "checks" && a.stage != "before" && a.stage != "after") {
    return BadInput("", "checks are before the first dog or after the last");
  }
  if (a.type == "load" &&
      !(a.mass_kg && *a.mass_kg > 0.0 && *a.mass_kg <= 2000.0)) {
    return BadInput("", "say the mass of the check load in kg");
  }
  return {};
}

}  // namespace

Expected<OperatorAction> ParseAction(const std::string& text,
                                     std::size_t sleeves) {
  auto action = Read(text);
  if (!action) return action;
  if (std::find(kTypes.begin(), kTypes.end(), action->type) == kTypes.end() ||
      action->type.empty()) {
    return BadInput("", "there is no action " + action->type);
  }
  if (action->sleeve &&
      (*action->sleeve < 0 ||
       static_cast<std::size_t>(*action->sleeve) >= sleeves)) {
    return BadInput("", "there is no sleeve " +
                            std::to_string(*action->sleeve + 1) + " of " +
                            std::to_string(sleeves));
  }
  if (auto ok = CheckFields(*action); !ok) return tl::unexpected(ok.error());
  return action;
}

}  // namespace masseter
