// Where the live page is served: what --listen says, or what is free.
#ifndef MASSETER_CLI_PAGE_ADDRESS_H_
#define MASSETER_CLI_PAGE_ADDRESS_H_

#include <memory>
#include <optional>
#include <string>

#include "app/live_hub.h"
#include "core/base/error.h"
#include "pages/server.h"

namespace masseter::cli {

inline constexpr const char* kDefaultListen = "127.0.0.1:8600";

struct ServedPage {
  std::unique_ptr<PageServer> server;
  std::string words;  // "Live page: http://127.0.0.1:8600/"
};

// Serves on `listen`; without one on the default address, or on any free port
// of this machine when that one is taken.
Expected<ServedPage> ServePage(const std::optional<std::string>& listen,
                               LiveHub& hub, bool anyone_operates = false);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_PAGE_ADDRESS_H_
