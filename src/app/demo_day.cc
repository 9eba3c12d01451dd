#include "app/demo_day.h"

#include <cerrno>
#include <chrono>
#include <cstdlib>
#include <cstring>
#include <thread>
#include <utility>

#include "app/book.h"
#include "app/calibrate_book.h"
#include "app/dog_files.h"
#include "app/file_io.h"
#include "app/play_sleeve.h"
#include "device/sim/bench.h"
#include "device/sim/scenario.h"
#include "device/sim/stream.h"
#include "device/sim/texts.h"
#include "device/sink.h"

namespace masseter {
namespace {

// Marks in the recording's time. Live, a recording goes on during a loss of
// power; the truth, made for files, leaves the pause out.
std::vector<Mark> MarksOf(const sim::Truth& truth, double speed) {
  std::vector<Mark> out;
  for (const sim::Mark& mark : truth.marks) {
    double t_s = mark.at_s;
    for (const sim::TrueFault& fault : truth.faults) {
      if (fault.kind == sim::FaultKind::kRestart && mark.at_s > fault.start_s) {
        t_s += fault.pause_s / speed;
      }
    }
    out.push_back({t_s, mark.dog});
  }
  return out;
}

// The truth is only complete once the day has been played.
sim::Truth TruthOf(const sim::Scenario& scenario) {
  sim::SimStream stream(scenario.sleeve, scenario.day, scenario.seed);
  while (!stream.done()) stream.Next(scenario.day.length_s);
  return stream.MakeTruth();
}

}  // namespace

Expected<DemoFacts> MakeDemoBook(const std::string& path, std::uint64_t seed) {
  const sim::Scenario scenario = sim::DemoScenario(seed);
  const sim::BenchPlan plan = sim::DefaultBenchPlan(scenario.sleeve);
  const auto made =
      NewBook(path, sim::RigToml(scenario.sleeve), "the simulated rig");
  if (!made) return tl::unexpected(made.error());
  CalibrateOptions options;
  options.gravity_m_s2 = plan.gravity_m_s2;
  options.air_density_kg_m3 = plan.air_density_kg_m3;
  options.weight_density_kg_m3 = plan.weight_density_kg_m3;
  auto calibrated = CalibrateBookText(
      path, sim::BenchReadingsCsv(scenario.sleeve, plan, scenario.seed),
      "the simulated bench readings", options);
  if (!calibrated) return tl::unexpected(calibrated.error());
  return DemoFacts{
      scenario.day.club,        scenario.sleeve.name,
      scenario.day.dogs.size(), scenario.day.bites.size(),
      scenario.day.length_s,    std::move(calibrated->calibration)};
}

Expected<std::string> MakeDemoFolder() {
  const char* base = std::getenv("TMPDIR");
  std::string path = base != nullptr && *base != '\0' ? base : "/tmp";
  path += "/masseter-demo-XXXXXX";
  if (::mkdtemp(path.data()) == nullptr) {
    return MachineFailure(path, std::string("the folder cannot be made: ") +
                                    std::strerror(errno));
  }
  return path;
}

Expected<RecordAnswer> RecordDemoDay(const DemoRequest& request, LiveHub& hub) {
  const sim::Scenario scenario = sim::DemoScenario(request.seed);
  auto sink = OpenSink({SinkName::Kind::kPty, "pty", "", "", 0});
  if (!sink) return tl::unexpected(sink.error());
  auto roster = ParseRoster(sim::RosterCsv(scenario.day), "the roster");
  if (!roster) return tl::unexpected(roster.error());

  std::atomic<bool> day_over{false};   // ends the recording
  std::atomic<bool> no_reader{false};  // ends the play
  RecordRequest record;
  record.book_path = request.book_path;
  record.sources = {(*sink)->Address()};
  record.roster = std::move(*roster);
  record.marks = MarksOf(TruthOf(scenario), request.speed);
  record.say = request.say;
  record.on_bite = request.on_bite;
  record.stop = &day_over;

  Expected<bool> played = false;
  std::thread sleeve([&] {
    std::thread watch([&] {
      while (!no_reader && !*request.stop) {
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
      }
      no_reader = true;
    });
    sim::SimStream stream(scenario.sleeve, scenario.day, scenario.seed);
    const auto reader = (*sink)->WaitForReader(no_reader);
    if (reader && *reader) {
      played = PlaySleeve(stream, **sink, request.speed, no_reader);
      (*sink)->Drain(no_reader);
    }
    no_reader = true;
    watch.join();
    day_over = true;
  });
  auto answer = Record(record, hub);
  no_reader = true;
  sleeve.join();
  if (answer && !played) return tl::unexpected(played.error());
  return answer;
}

}  // namespace masseter
