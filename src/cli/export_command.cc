#include <fmt/format.h>

#include "app/export_book.h"
#include "cli/command.h"
#include "cli/stop_signal.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string out;
  std::vector<std::int64_t> captures;
  bool raw = false;
};

Expected<void> Say(const ExportAnswer& answer, bool json) {
  if (json) {
    nlohmann::ordered_json files = nlohmann::ordered_json::array();
    for (const ExportedFile& f : answer.files) {
      files.push_back({{"path", f.path}, {"rows", f.rows}, {"bytes", f.bytes}});
    }
    return PrintJson({{"files", files}});
  }
  std::string out;
  for (const ExportedFile& f : answer.files) {
    const bool table = f.path.ends_with(".csv");
    out += table ? fmt::format("{}: {} rows\n", f.path, f.rows)
                 : fmt::format("{}: what the columns mean\n", f.path);
  }
  return Print(out);
}

Expected<void> Run(const Options& o, bool json) {
  ExportAnswer answer;
  {
    Progress progress("Writing " + o.out);
    ExportRequest request;
    request.book_path = o.book;
    request.out_path = o.out;
    request.captures = o.captures;
    request.raw = o.raw;
    request.stop = &WatchStopSignals();
    request.progress = [&](std::uint64_t done, std::uint64_t total) {
      progress.Show(done, total);
    };
    auto done = ExportBook(request);
    if (!done) return tl::unexpected(done.error());
    answer = std::move(*done);
  }
  return Say(answer, json);
}

}  // namespace

void AddExport(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "export",
                  "Bites and samples as CSV files, for any other program");
  command.Add("BOOK", o->book, "The logbook").Required();
  command
      .Add("-o,--out", o->out,
           "A new folder for all, or a file.csv for the bites alone")
      .Required();
  command
      .Add("--capture", o->captures,
           "This recording alone; again for each further one")
      .Again();
  command.AddFlag("--raw", o->raw,
                  "Also what the devices printed, to import elsewhere");
  Bind<Options>(command, call, o, "masseter export day.book -o day-csv", Run);
}

}  // namespace masseter::cli
