// What every command shares: how it is called, where it prints, how it ends.
#ifndef MASSETER_CLI_COMMAND_H_
#define MASSETER_CLI_COMMAND_H_

#include <functional>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "cli/command_line.h"
#include "core/base/error.h"

namespace masseter::cli {

// Binds what a command does, with its own options. `options` outlives the
// parsing: `body` gets it.
template <class Options>
void Bind(Command& command, Call& call, std::shared_ptr<Options> options,
          const std::string& example,
          std::function<Expected<void>(const Options&, bool json)> body) {
  command.Bind(call, example, [options, body = std::move(body)](bool json) {
    return body(*options, json);
  });
}

// Prints to standard output; a failed write is an error (exit 4).
Expected<void> Print(const std::string& text);
Expected<void> PrintJson(const nlohmann::ordered_json& document);

// True when standard output understands UTF-8 (by LC_ALL, LC_CTYPE, LANG).
bool TerminalIsUtf8();
// Columns of the terminal: COLUMNS, else what the terminal says, else 80; kept
// within 60 and 120.
std::size_t TerminalColumns();
// True when standard output is a terminal that may be coloured: it is one, and
// NO_COLOR is not set (no-color.org).
bool TerminalIsColoured();
// True when a progress line on standard error would be seen.
bool ProgressIsSeen();

// A progress line with rate and time left, on a terminal only, at most four
// times a second; cleared when it goes.
class Progress {
 public:
  explicit Progress(std::string what);
  ~Progress();
  void Show(std::uint64_t done, std::uint64_t total);

 private:
  std::string what_;
  double start_s_;
  double shown_s_ = 0.0;
  bool drawn_ = false;
};

// The commands, one file each.
void AddNew(CLI::App& app, Call& call);
void AddCalibrate(CLI::App& app, Call& call);
void AddCalibrations(CLI::App& app, Call& call);
void AddCertificate(CLI::App& app, Call& call);
void AddImport(CLI::App& app, Call& call);
void AddInspect(CLI::App& app, Call& call);
void AddStatus(CLI::App& app, Call& call);
void AddAmend(CLI::App& app, Call& call);
void AddBites(CLI::App& app, Call& call);
void AddExplain(CLI::App& app, Call& call);
void AddLive(CLI::App& app, Call& call);
void AddCopy(CLI::App& app, Call& call);
void AddExport(CLI::App& app, Call& call);
void AddReport(CLI::App& app, Call& call);
void AddClaim(CLI::App& app, Call& call);
void AddCompare(CLI::App& app, Call& call);
void AddAgree(CLI::App& app, Call& call);
void AddBodymass(CLI::App& app, Call& call);
void AddPlan(CLI::App& app, Call& call);
void AddSeason(CLI::App& app, Call& call);
void AddReadings(CLI::App& app, Call& call);
void AddCheck(CLI::App& app, Call& call);
void AddTaps(CLI::App& app, Call& call);
void AddSelftest(CLI::App& app, Call& call);
void AddSim(CLI::App& app, Call& call);
void AddDemo(CLI::App& app, Call& call);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_COMMAND_H_
