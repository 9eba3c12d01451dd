// From raw samples to bites, and from bench readings to a calibration, on
// simulated days. Before anything is timed the answer is checked: as many
// bites come out as the day had.
#include <benchmark/benchmark.h>

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "app/rig_file.h"
#include "core/bite/pipeline.h"
#include "core/metrology/calibration.h"
#include "core/metrology/readings.h"
#include "device/sim/scenario.h"
#include "device/sim/texts.h"
#include "device/text_intake.h"

namespace {

using masseter::Calibration;
using masseter::RawBlock;
using masseter::Rig;

[[noreturn]] void Stop(const std::string& why) {
  std::fprintf(stderr, "capture_bench: %s\n", why.c_str());
  std::exit(1);
}

template <class T>
T Have(masseter::Expected<T> value) {
  if (!value) Stop(value.error().Text());
  return std::move(*value);
}

struct Day {
  masseter::sim::SimFiles files;
  std::size_t bites = 0;
  Rig rig;
  std::vector<RawBlock> blocks;
  Calibration calibration;
};

std::vector<RawBlock> ReadCapture(const Rig& rig, const std::string& text) {
  std::vector<RawBlock> blocks;
  masseter::TextIntake intake(
      rig, 4096, [&](const RawBlock& block) -> masseter::Expected<void> {
        blocks.push_back(block);
        return {};
      });
  if (auto ok = intake.Push(std::span<const char>(text)); !ok) {
    Stop(ok.error().Text());
  }
  if (auto ok = intake.Finish(); !ok) Stop(ok.error().Text());
  return blocks;
}

std::size_t CountBites(const Day& day) {
  std::size_t bites = 0;
  masseter::PipelineEvents events;
  events.on_bite = [&](masseter::MeasuredBite&&) { ++bites; };
  masseter::Pipeline pipeline(day.rig, &day.calibration, events);
  for (const RawBlock& block : day.blocks) pipeline.Push(block);
  pipeline.Finish();
  return bites;
}

Calibration Fit(const Day& day) {
  const auto table = Have(
      masseter::ParseReadings(day.files.readings_csv, "readings.csv", day.rig));
  return Have(masseter::Calibrate(day.rig, table, {}, "readings.csv"));
}

Day MakeDay(const masseter::sim::Scenario& scenario) {
  Day made;
  made.files = masseter::sim::MakeSimFiles(
      scenario.sleeve, scenario.day,
      masseter::sim::DefaultBenchPlan(scenario.sleeve), scenario.seed);
  made.bites = scenario.day.bites.size();
  made.rig = Have(masseter::ParseRig(made.files.rig_toml, "rig.toml"));
  made.calibration = Fit(made);
  made.blocks = ReadCapture(made.rig, made.files.capture_csv);
  if (const auto found = CountBites(made); found != made.bites) {
    Stop("the day has " + std::to_string(made.bites) + " bites, found " +
         std::to_string(found));
  }
  return made;
}

const Day& ExampleDay() {
  static const Day day = MakeDay(masseter::sim::ExampleScenario());
  return day;
}

// The demonstration's sleeve, four channels at 1000 samples a second, twelve
// dogs, 36 bites, with `pause_s` to twice that between them.
Day ClubDay(double pause_s) {
  masseter::sim::Scenario scenario = masseter::sim::DemoScenario();
  masseter::sim::DayPlan plan;
  plan.dogs = masseter::sim::DrawDogs(12, 7);
  plan.pause_min_s = pause_s;
  plan.pause_max_s = 2.0 * pause_s;
  plan.handling = false;
  scenario.day = masseter::sim::MakeDay(plan, 7);
  return MakeDay(scenario);
}

// What the raw blocks of a day hold, bytes.
std::int64_t BytesOf(const Day& day) {
  std::size_t bytes = 0;
  for (const RawBlock& block : day.blocks) {
    bytes += block.rows * block.columns.size() * sizeof(double);
  }
  return static_cast<std::int64_t>(bytes);
}

std::int64_t RowsOf(const Day& day) {
  std::size_t rows = 0;
  for (const RawBlock& block : day.blocks) rows += block.rows;
  return static_cast<std::int64_t>(rows);
}

// Argument: least pause between bites, seconds.
void BM_RawSamplesToBites(benchmark::State& state) {
  const Day day = ClubDay(static_cast<double>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(CountBites(day));
  state.SetItemsProcessed(state.iterations() * RowsOf(day));
  state.SetBytesProcessed(state.iterations() * BytesOf(day));
}
BENCHMARK(BM_RawSamplesToBites)
    ->Arg(4)
    ->Arg(30)
    ->Arg(120)
    ->Unit(benchmark::kMillisecond);

// The same blocks only read: what one core gets from memory.
void BM_ReadTheRawSamples(benchmark::State& state) {
  const Day day = ClubDay(static_cast<double>(state.range(0)));
  for (auto _ : state) {
    std::uint64_t all = 0;
    for (const RawBlock& block : day.blocks) {
      for (const auto& column : block.columns) {
        std::visit(
            [&](const auto& values) {
              for (const auto v : values) {
                all += static_cast<std::uint64_t>(v);
              }
            },
            column);
      }
    }
    benchmark::DoNotOptimize(all);
  }
  state.SetBytesProcessed(state.iterations() * BytesOf(day));
}
BENCHMARK(BM_ReadTheRawSamples)->Arg(120)->Unit(benchmark::kMillisecond);

void BM_ReadingsToCalibration(benchmark::State& state) {
  const Day& day = ExampleDay();
  for (auto _ : state) {
    const Calibration calibration = Fit(day);
    benchmark::DoNotOptimize(calibration.relative_standard_u);
  }
}
BENCHMARK(BM_ReadingsToCalibration)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
