// Where the live page is served and what the terminal says of it: --listen and
// --share.
#ifndef MASSETER_CLI_PAGE_ADDRESS_H_
#define MASSETER_CLI_PAGE_ADDRESS_H_

#include <cstdio>
#include <memory>
#include <optional>
#include <string>

#include "app/live_hub.h"
#include "cli/command_line.h"
#include "core/base/error.h"
#include "pages/server.h"

namespace masseter::cli {

inline constexpr const char* kDefaultListen = "127.0.0.1:8600";

struct PageOptions {
  std::optional<std::string> listen;
  bool share = false;

  bool given() const { return listen || share; }
};

// Adds --listen (with its own help) and --share to a command.
void AddPageOptions(Command& command, PageOptions& options,
                    const std::string& listen_help);

// Bad input: a page was asked for where no sleeve is read.
Expected<void> NoSleeve(const PageOptions& options);

struct ServedPage {
  std::unique_ptr<PageServer> server;
  std::string note;  // " (port 8600 is taken)", or ""

  // "http://127.0.0.1:8600/ (port 8600 is taken)"
  std::string Address() const { return server->url() + note; }
};

// Serves on `listen`; without one on the default address, or on any free port
// when that one is taken. With `share` on every network this machine is in, or
// on the address of `listen` when it is one of this machine in a network; new
// codes each time.
Expected<ServedPage> ServePage(const PageOptions& options, LiveHub& hub);

// What a shared page is opened with: links, codes to type and, where `to` is a
// terminal that can show them, QR codes. "" when it is not shared. The one
// place that prints codes.
std::string ShareWords(const ServedPage& page, std::FILE* to);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_PAGE_ADDRESS_H_
