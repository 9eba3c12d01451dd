#include "cli/page_address.h"

#include <utility>

namespace masseter::cli {

Expected<ServedPage> ServePage(const std::optional<std::string>& listen,
                               LiveHub& hub, bool anyone_operates) {
  PageServerOptions options;
  options.anyone_operates = anyone_operates;
  auto server =
      PageServer::Start(listen.value_or(kDefaultListen), hub, options);
  std::string note;
  if (!server && !listen) {
    server = PageServer::Start("127.0.0.1:0", hub, options);
    note = " (port 8600 is taken)";
  }
  if (!server) return tl::unexpected(server.error());
  std::string words = "Live page: " + (*server)->url() + note;
  return ServedPage{std::move(*server), std::move(words)};
}

}  // namespace masseter::cli
