#include "app/bite_list.h"
#include "cli/bites_table.h"
#include "cli/command.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
};

Expected<void> Run(const Options& o, bool json) {
  const auto bites = ListBites(o.book);
  if (!bites) return tl::unexpected(bites.error());
  if (json) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const StoredBite& s : *bites) {
      nlohmann::ordered_json j = BiteAnswer(s.bite);
      j["capture"] = s.provenance.capture;
      j["calibration"] = s.provenance.calibration;
      j["rig_revision"] = s.provenance.rig_revision;
      j["method"] = s.provenance.method;
      j["start_unix_s"] = s.start_unix_s
                              ? nlohmann::ordered_json(*s.start_unix_s)
                              : nlohmann::ordered_json(nullptr);
      list.push_back(std::move(j));
    }
    return PrintJson({{"bites", list}});
  }
  if (bites->empty()) return Print("No bites yet.\n");
  return Print(BitesTable(*bites));
}

}  // namespace

void AddBites(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "bites", "The bites and their verdicts");
  command.Add("BOOK", o->book, "The logbook").Required();
  Bind<Options>(command, call, o, "masseter bites day.book --json", Run);
}

}  // namespace masseter::cli
