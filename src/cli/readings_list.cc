#include "cli/readings_list.h"

#include <fmt/format.h>

#include "app/bench_desk.h"
#include "app/file_io.h"
#include "app/reference_capture.h"
#include "cli/command.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

std::string SessionTable(const std::vector<StoredSession>& sessions) {
  TextTable table;
  table.AddColumn("session", Align::kRight);
  table.AddColumn("begun", Align::kLeft);
  table.AddColumn("read", Align::kRight);
  table.AddColumn("of", Align::kRight);
  table.AddColumn("struck", Align::kRight);
  table.AddColumn("", Align::kLeft);
  for (const StoredSession& s : sessions) {
    const std::size_t counts = s.session.read_count();
    table.AddRow(
        {std::to_string(s.id), LocalTime(s.created_unix_s),
         std::to_string(counts), std::to_string(s.session.steps().size()),
         std::to_string(s.session.readings().size() - counts),
         s.session.state() == BenchState::kDone ? "done" : "unfinished"});
  }
  return table.Text(TerminalIsUtf8());
}

const StoredSession* Choose(const std::vector<StoredSession>& sessions,
                            std::optional<std::int64_t> id) {
  if (!id) return &sessions.back();
  for (const StoredSession& s : sessions) {
    if (s.id == *id) return &s;
  }
  return nullptr;
}

}  // namespace

Expected<void> WriteReadings(const std::string& path, const std::string& csv) {
  return WriteText(path, csv);
}

Expected<void> ListReadings(const ListOptions& o, bool json) {
  if (o.reference) {
    const auto csv = ReferenceCsv(o.book);
    if (!csv) return tl::unexpected(csv.error());
    if (!o.csv) return Print(*csv);
    return WriteReadings(*o.csv, *csv);
  }
  const auto book = OpenBook(o.book, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const auto sessions = SessionsOf(*book, SettleRule{});
  if (!sessions) return tl::unexpected(sessions.error());
  if (sessions->empty()) {
    return BadInput(o.book,
                    "holds no bench session; begin one with --from SOURCE");
  }
  const StoredSession* chosen = Choose(*sessions, o.session);
  if (chosen == nullptr) {
    return BadInput("--session",
                    "there is no session " + std::to_string(*o.session));
  }
  if (o.csv) {
    std::vector<std::string> names;
    for (const Channel& c : book->rig.channels) names.push_back(c.name);
    auto ok = WriteReadings(*o.csv, ReadingsCsv(chosen->session, names));
    if (!ok) return ok;
  }
  if (json)
    return PrintJson(SessionJson(chosen->session, chosen->id, book->rig));
  std::string out = SessionTable(*sessions);
  if (o.csv) {
    out +=
        fmt::format("Wrote session {} to {}.\nNext: masseter calibrate {} {}\n",
                    chosen->id, *o.csv, o.book, *o.csv);
  }
  return Print(out);
}

}  // namespace masseter::cli
