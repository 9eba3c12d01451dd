// The operator's actions as the page sends them (api/README.md): read and
// checked for form. What they do is record_actions.cc's.
#ifndef MASSETER_APP_OPERATOR_ACTION_H_
#define MASSETER_APP_OPERATOR_ACTION_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"

namespace masseter {

// The fields that the action's type has; the others as they stand here.
struct OperatorAction {
  std::string type;
  std::optional<int> sleeve;  // nullopt: all of them
  std::string dog;
  std::string breed;
  std::optional<double> mass_kg;
  std::vector<std::string> dogs;  // `order`
  std::optional<int> bites;       // `limit`
  std::optional<double> minutes;
  std::string text;                   // `note`
  std::optional<std::int64_t> bite;   // `note`, `void`, `restore`
  std::string reason;                 // `void`
  std::string stage;                  // `checks`: "before", "after"
  std::optional<std::string> anyway;  // `passed`: why, though an item is bad
};

// Errors are sentences for the page: no action of that type, a field that is
// missing or out of range, a sleeve that is not there. Pure; safe from several
// threads.
Expected<OperatorAction> ParseAction(const std::string& json,
                                     std::size_t sleeves);

}  // namespace masseter

#endif  // MASSETER_APP_OPERATOR_ACTION_H_
