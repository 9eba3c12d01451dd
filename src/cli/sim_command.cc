#include <fmt/format.h>

#include <cstdio>

#include "app/simulate.h"
#include "cli/command.h"
#include "cli/stop_signal.h"
#include "report/figure_text.h"

namespace masseter::cli {
namespace {

struct Options {
  std::optional<std::string> to;
  std::uint64_t seed = kSimSeed;
  int cells = 4;
  std::optional<double> speed;
  std::optional<std::string> files;
  std::optional<std::string> truth;
  bool faults = true;
  std::vector<std::string> planted;
  bool force = false;
};

std::string Words(const Options& o, const SimulateAnswer& answer) {
  std::string out;
  for (const std::string& file : answer.files) out += "Wrote " + file + "\n";
  if (o.to) {
    out += answer.whole ? fmt::format("The simulated day is over ({}).\n",
                                      ClockText(answer.day_s))
                        : "Stopped before the end of the day.\n";
  }
  if (o.to || !o.files) return out;
  const std::string& dir = *o.files;
  return out +
         fmt::format(
             "Next: masseter new day.book --rig {0}/rig.toml\n"
             "      masseter calibrate day.book {0}/readings.csv --gravity "
             "{1:.5f}\n"
             "      masseter import day.book {0}/capture.csv --roster "
             "{0}/roster.csv --marks {0}/marks.csv\n",
             dir, answer.gravity_m_s2);
}

Expected<void> Run(const Options& o, bool json) {
  const bool to_stdout = o.to && *o.to == "-";
  if (json && to_stdout) {
    return BadInput("--json", "and --to - both want standard output");
  }
  // Beside samples on standard output, words go to standard error.
  std::FILE* words = json || to_stdout ? stderr : stdout;
  SimulateRequest request;
  request.sink = o.to;
  request.seed = o.seed;
  request.cells = o.cells;
  request.faults = o.faults;
  request.planted = o.planted;
  request.speed = o.speed;
  request.files_dir = o.files;
  request.truth_path = o.truth;
  request.overwrite = o.force;
  request.on_ready = [&](const std::string& address) {
    if (address.empty()) return;
    const std::string line =
        "A simulated sleeve; read it with --from " + address + "\n";
    std::fputs(line.c_str(), words);
    std::fflush(words);
  };
  request.stop = &WatchStopSignals();
  const auto answer = Simulate(request);
  if (!answer) return tl::unexpected(answer.error());
  if (json) {
    return PrintJson({{"address", answer->address},
                      {"whole", answer->whole},
                      {"day_s", answer->day_s},
                      {"gravity_m_s2", answer->gravity_m_s2},
                      {"files", answer->files}});
  }
  if (!to_stdout) return Print(Words(o, *answer));
  return {};
}

}  // namespace

void AddSim(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "sim",
                  "A simulated sleeve that prints an invented field day");
  command.Add("--to", o->to,
              "file:PATH, tcp:PORT, udp:HOST:PORT, pty or - (standard output)");
  command.Add("--seed", o->seed, "Which sleeve and which day (20)");
  command.Add("--cells", o->cells, "Cells in the sleeve, 1 to 6 (4)");
  command.Add("--speed", o->speed,
              "Times real time; 0: as fast as possible (file and -: "
              "0, else 1)");
  command.AddFlag("--faults,!--no-faults", o->faults,
                  "With or without what goes wrong on the day");
  command
      .Add("--fault", o->planted,
           "Instead of the day's own: every second bite suffers one "
           "of these in turn (gap, restart, sag, rail, stuck, glitch, "
           "loose, zero, broken_line)")
      .SplitAt(',');
  command.Add("--files", o->files,
              "Write rig, readings, roster, marks, capture and truth "
              "into this folder");
  command.Add("--truth", o->truth,
              "Write what really happened (JSON) to this file");
  command.AddFlag("--force", o->force, "Write over files that exist");
  Bind<Options>(command, call, o, "masseter sim --to tcp:5000", Run);
}

}  // namespace masseter::cli
