#include "app/book.h"
#include "app/file_io.h"
#include "cli/command.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string rig;
};

Expected<void> Run(const Options& o, bool json) {
  const auto text = ReadText(o.rig);
  if (!text) return tl::unexpected(text.error());
  if (auto ok = NewBook(o.book, *text, o.rig); !ok) return ok;
  const auto book = OpenBook(o.book, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const Rig& rig = book->rig;
  if (json) {
    nlohmann::ordered_json channels = nlohmann::ordered_json::array();
    for (const Channel& c : rig.channels) channels.push_back(c.name);
    return PrintJson({{"logbook", o.book},
                      {"rig", rig.name},
                      {"channels", channels},
                      {"sample_rate_hz", rig.sample_rate_hz}});
  }
  std::string text_out =
      "Made " + o.book + " for \"" + rig.name + "\", " +
      std::to_string(rig.channels.size()) +
      (rig.channels.size() == 1 ? " channel.\n" : " channels.\n");
  if (!rig.HasPositions()) {
    text_out +=
        "The channels have no x_mm and y_mm: nothing can be said about "
        "where a dog grips.\n";
  }
  return Print(text_out + "Next: masseter calibrate " + o.book +
               " readings.csv\n");
}

}  // namespace

void AddNew(CLI::App& app, Call& call) {
  auto options = std::make_shared<Options>();
  Command command(app, "new", "Make a logbook for a rig");
  command.Add("BOOK", options->book, "The logbook to make").Required();
  command.Add("--rig", options->rig, "The rig file (TOML)").Required();
  Bind<Options>(command, call, options, "masseter new day.book --rig rig.toml",
                Run);
}

}  // namespace masseter::cli
