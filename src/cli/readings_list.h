// Bench sessions as a table.
#ifndef MASSETER_CLI_READINGS_LIST_H_
#define MASSETER_CLI_READINGS_LIST_H_

#include <optional>
#include <string>

#include "core/base/error.h"

namespace masseter::cli {

struct ListOptions {
  std::string book;
  std::optional<std::string> csv;
  std::optional<std::int64_t> session;  // else the newest
  bool reference = false;               // recordings with a reference instead
};

// Without --from: what the bench has, and the readings file if asked for.
Expected<void> ListReadings(const ListOptions& options, bool json);

// Writes the readings file and says what to do with it.
Expected<void> WriteReadings(const std::string& path, const std::string& csv);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_READINGS_LIST_H_
