// The operator's actions as the page sends them (api/README.md): read and
// checked for form. What they do is record_actions.cc's.
#ifndef MASSETER_APP_OPERATOR_ACTION_H_
#define MASSETER_APP_OPERATOR_ACTION_H_

#include <optional>
#include <string>

#include "core/base/error.h"

namespace masseter {

struct OperatorAction {
  std::string type;
  std::string dog;
  std::string breed;
  std::optional<double> mass_kg;
};

// Errors are sentences for the page: no action of that type, a dog without a
// name, a mass that no dog has. Pure; safe from several threads.
Expected<OperatorAction> ParseAction(const std::string& json);

}  // namespace masseter

#endif  // MASSETER_APP_OPERATOR_ACTION_H_
