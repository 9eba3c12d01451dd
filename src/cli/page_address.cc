#include "cli/page_address.h"

#include <unistd.h>

#include <cstdlib>
#include <utility>

#include "cli/command.h"
#include "cli/qr_terminal.h"
#include "pages/gate.h"
#include "pages/qr_code.h"

namespace masseter::cli {
namespace {

// With --share a loopback address says only which port.
Expected<ListenAddress> AddressFor(const PageOptions& options) {
  auto listen = ParseListen(options.listen.value_or(kDefaultListen));
  if (listen && options.share && listen->loopback()) {
    listen->host =
        listen->host.find(':') == std::string::npos ? "0.0.0.0" : "::";
  }
  return listen;
}

// The QR codes of the first address, side by side or, on a narrow terminal, one
// under the other.
std::string Pictures(const std::vector<ShareLink>& links) {
  constexpr std::size_t kBetween = 3;
  const char* no_colour = std::getenv("NO_COLOR");
  const bool coloured = no_colour == nullptr || *no_colour == '\0';
  std::string out;
  std::vector<std::string> beside;
  std::size_t used = 0;
  for (std::size_t i = 0; i < 2; ++i) {
    const auto rows = QrModules(links[i].url);
    const std::size_t columns = QrColumns(rows);
    if (columns > TerminalColumns()) return "";
    std::vector<std::string> lines = QrLines(rows, coloured);
    std::string name(RoleName(links[i].role));
    name.resize(columns, ' ');
    lines.insert(lines.begin(), name);
    if (i == 0) {
      beside = lines;
      used = columns;
    } else if (used + kBetween + columns <= TerminalColumns() &&
               lines.size() == beside.size()) {
      for (std::size_t y = 0; y < lines.size(); ++y) {
        beside[y] += std::string(kBetween, ' ') + lines[y];
      }
    } else {
      beside.insert(beside.end(), lines.begin(), lines.end());
    }
  }
  for (const std::string& line : beside) out += line + "\n";
  return out;
}

}  // namespace

void AddPageOptions(Command& command, PageOptions& options,
                    const std::string& listen_help) {
  command.Add("--listen", options.listen, listen_help);
  command.AddFlag("--share", options.share,
                  "Open the page to the local network: an operator's and an "
                  "onlooker's code, new each time, as links and QR codes");
}

Expected<void> NoSleeve(const PageOptions& options) {
  return BadInput(options.share ? "--share" : "--listen",
                  "shows a sleeve that is read; name it with --from");
}

Expected<ServedPage> ServePage(const PageOptions& options, LiveHub& hub) {
  auto listen = AddressFor(options);
  if (!listen) return tl::unexpected(listen.error());
  PageServerOptions serve;
  if (options.share) {
    auto codes = NewAccessCodes();
    if (!codes) return tl::unexpected(codes.error());
    serve.codes = std::move(*codes);
  }
  auto server = PageServer::Start(listen->Text(), hub, serve);
  std::string note;
  if (!server && server.error().kind == ErrorKind::kMachine &&
      !options.listen) {
    note = " (port " + std::to_string(listen->port) + " is taken)";
    listen->port = 0;
    server = PageServer::Start(listen->Text(), hub, serve);
  }
  if (!server) return tl::unexpected(server.error());
  return ServedPage{std::move(*server), std::move(note)};
}

std::string ShareWords(const ServedPage& page, std::FILE* to) {
  const std::optional<AccessCodes>& codes = page.server->codes();
  if (!codes) return "";
  std::string out =
      "Shared: every visitor needs a code, this machine too; both are new each "
      "time.\n";
  const std::vector<ShareLink> links = page.server->links();
  const std::string here = page.server->url() + "#" + codes->operate;
  if (links.empty() || links.front().url != here) {
    out += "  operator  " + here + " (on this machine)\n";
  }
  for (const ShareLink& link : links) {
    out += "  " + std::string(RoleName(link.role)) + "  " + link.url + "\n";
  }
  if (links.empty()) {
    out += "  This machine is in no network yet; start again once it is.\n";
  }
  out += "  To type: operator " + CodeToType(codes->operate) + ", onlooker " +
         CodeToType(codes->look_on) + "\n";
  if (links.size() >= 2 && isatty(fileno(to)) != 0 && TerminalIsUtf8()) {
    out += Pictures(links);
  }
  return out;
}

}  // namespace masseter::cli
