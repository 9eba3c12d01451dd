// What goes with a capture: who the dogs are and who is up when.
#ifndef MASSETER_APP_COMPANIONS_H_
#define MASSETER_APP_COMPANIONS_H_

#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "logbook/logbook.h"

namespace masseter {

struct Companions {
  std::vector<RosterEntry> roster;
  std::vector<Mark> marks;
};

// Reads the roster and the marks where they are given; `dog` is up from the
// start. Errors name file and line.
Expected<Companions> ReadCompanions(
    const std::optional<std::string>& roster_path,
    const std::optional<std::string>& marks_path,
    const std::optional<std::string>& dog);

}  // namespace masseter

#endif  // MASSETER_APP_COMPANIONS_H_
