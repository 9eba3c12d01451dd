#include "app/simulate.h"

#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <memory>
#include <utility>

#include "app/file_io.h"
#include "app/play_sleeve.h"
#include "device/sim/plant_fault.h"
#include "device/sim/scenario.h"
#include "device/sim/texts.h"
#include "device/sink.h"

namespace masseter {
namespace {

static_assert(kSimSeed == sim::kDemoSeed);
static_assert(kSimCellsMost == sim::kMaxCells);

Expected<void> Check(const SimulateRequest& request) {
  if (!request.sink && !request.files_dir) {
    return BadInput("--to",
                    "name a sink, as in --to tcp:5000, or --files FOLDER");
  }
  if (request.cells < 1 || request.cells > kSimCellsMost) {
    return BadInput("--cells", "must lie between 1 and 6");
  }
  if (request.speed &&
      !(*request.speed >= 0.0 && *request.speed <= kSimSpeedMost)) {
    return BadInput("--speed", "must lie between 0 and 1000");
  }
  if (request.truth_path && !request.sink) {
    return BadInput("--truth", "needs --to; --files writes truth.json itself");
  }
  return {};
}

Expected<void> MustBeNew(const std::string& path, bool overwrite) {
  struct stat about;
  if (overwrite || ::lstat(path.c_str(), &about) != 0) return {};
  return BadInput(path, "exists already; --force writes over it");
}

Expected<void> WriteFiles(const SimulateRequest& request,
                          const sim::Scenario& scenario,
                          const sim::BenchPlan& plan, SimulateAnswer& answer) {
  const std::string dir = *request.files_dir;
  const auto path = [&](const char* name) { return dir + "/" + name; };
  for (const char* name : {"rig.toml", "readings.csv", "roster.csv",
                           "marks.csv", "capture.csv", "truth.json"}) {
    if (auto ok = MustBeNew(path(name), request.overwrite); !ok) return ok;
  }
  if (::mkdir(dir.c_str(), 0777) != 0 && errno != EEXIST) {
    return tl::unexpected(CannotMake(dir));
  }
  const sim::SimFiles files =
      sim::MakeSimFiles(scenario.sleeve, scenario.day, plan, scenario.seed);
  const std::pair<const char*, const std::string&> all[] = {
      {"rig.toml", files.rig_toml},       {"readings.csv", files.readings_csv},
      {"roster.csv", files.roster_csv},   {"marks.csv", files.marks_csv},
      {"capture.csv", files.capture_csv}, {"truth.json", files.truth_json}};
  for (const auto& [name, text] : all) {
    if (auto ok = WriteText(path(name), text); !ok) return ok;
    answer.files.push_back(path(name));
  }
  return {};
}

double DefaultSpeed(SinkName::Kind kind) {
  const bool at_once =
      kind == SinkName::Kind::kFile || kind == SinkName::Kind::kStdout;
  return at_once ? 0.0 : 1.0;
}

Expected<void> Play(const SimulateRequest& request, const SinkName& name,
                    const sim::Scenario& scenario, SimulateAnswer& answer) {
  auto sink = OpenSink(name, request.overwrite);
  if (!sink) return tl::unexpected(sink.error());
  answer.address = (*sink)->Address();
  if (request.on_ready) request.on_ready(answer.address);
  const auto reader = (*sink)->WaitForReader(*request.stop);
  if (!reader) return tl::unexpected(reader.error());
  if (!*reader) return {};
  sim::SimStream stream(scenario.sleeve, scenario.day, scenario.seed);
  const auto played = PlaySleeve(
      stream, **sink, request.speed.value_or(DefaultSpeed(name.kind)),
      *request.stop);
  if (!played) return tl::unexpected(played.error());
  (*sink)->Drain(*request.stop);
  answer.whole = *played;
  // Half a day has no whole truth.
  if (!answer.whole || !request.truth_path) return {};
  const std::string truth = sim::TruthJson(stream.MakeTruth());
  if (auto ok = WriteText(*request.truth_path, truth); !ok) return ok;
  answer.files.push_back(*request.truth_path);
  return {};
}

Expected<void> Plant(const SimulateRequest& request, sim::Scenario& scenario) {
  if (request.planted.empty()) return {};
  sim::SimDay& day = scenario.day;
  day.faults.clear();
  std::size_t next = 0;
  for (std::size_t bite = 1; bite < day.bites.size(); bite += 2, ++next) {
    const std::string& word = request.planted[next % request.planted.size()];
    const auto kind = sim::FaultOf(word);
    if (!kind) {
      return BadInput("--fault",
                      "no fault is called \"" + word +
                          "\": gap, restart, sag, rail, stuck, glitch, "
                          "loose, zero or broken_line");
    }
    sim::PlantFault(*kind, bite, static_cast<int>(next) % request.cells,
                    request.cells, day);
  }
  std::sort(day.faults.begin(), day.faults.end(),
            [](const sim::Fault& a, const sim::Fault& b) {
              return a.start_s < b.start_s;
            });
  return {};
}

}  // namespace

Expected<SimulateAnswer> Simulate(const SimulateRequest& request) {
  if (auto ok = Check(request); !ok) return tl::unexpected(ok.error());
  std::optional<SinkName> name;
  if (request.sink) {
    auto parsed = ParseSinkName(*request.sink);
    if (!parsed) return tl::unexpected(parsed.error());
    name = std::move(*parsed);
  }
  if (request.truth_path) {
    const auto ok = MustBeNew(*request.truth_path, request.overwrite);
    if (!ok) return tl::unexpected(ok.error());
  }
  sim::Scenario scenario = sim::DemoScenario(request.seed, request.cells);
  if (!request.faults) scenario.day.faults.clear();
  if (auto ok = Plant(request, scenario); !ok)
    return tl::unexpected(ok.error());
  const sim::BenchPlan plan = sim::DefaultBenchPlan(scenario.sleeve);
  SimulateAnswer answer;
  answer.day_s = scenario.day.length_s;
  answer.gravity_m_s2 = plan.gravity_m_s2;
  if (request.files_dir) {
    const auto ok = WriteFiles(request, scenario, plan, answer);
    if (!ok) return tl::unexpected(ok.error());
  }
  if (name) {
    const auto ok = Play(request, *name, scenario, answer);
    if (!ok) return tl::unexpected(ok.error());
  }
  return answer;
}

}  // namespace masseter
