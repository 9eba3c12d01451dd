#include <fmt/format.h>

#include "app/book_copier.h"
#include "cli/command.h"
#include "cli/stop_signal.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string to;
};

Expected<void> Run(const Options& o, bool json) {
  const auto done = CopyOnce(o.book, o.to, WatchStopSignals());
  if (!done) return tl::unexpected(done.error());
  if (json) {
    return PrintJson({{"path", done->path},
                      {"bytes", done->bytes},
                      {"samples", done->samples}});
  }
  return Print(fmt::format("Copied {} samples to {} ({:.1f} MB).\n",
                           done->samples, done->path,
                           static_cast<double>(done->bytes) / 1e6));
}

}  // namespace

void AddCopy(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "copy",
                  "Copy a logbook, even while it is being recorded");
  command.Add("BOOK", o->book, "The logbook").Required();
  command
      .Add("--to", o->to,
           "A new file, an older copy of this logbook, or a folder")
      .Required();
  Bind<Options>(command, call, o,
                "masseter copy day.book --to /media/stick/day.book", Run);
}

}  // namespace masseter::cli
