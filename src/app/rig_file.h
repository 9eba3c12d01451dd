// The rig file: TOML text to a validated Rig. Format: docs/commands.md.
#ifndef MASSETER_APP_RIG_FILE_H_
#define MASSETER_APP_RIG_FILE_H_

#include <string>
#include <string_view>

#include "core/base/error.h"
#include "core/rig/rig.h"

namespace masseter {

// Errors name the line of the mistake (`file`:7) and say what is allowed
// there. Unknown keys are mistakes: a misspelt key must not pass silently.
Expected<Rig> ParseRig(std::string_view toml_text, const std::string& file);

}  // namespace masseter

#endif  // MASSETER_APP_RIG_FILE_H_
