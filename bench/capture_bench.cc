// From raw samples to bites, and from bench readings to a calibration, on the
// simulated example day. Before anything is timed the answer is checked: as
// many bites come out as the day had.
#include <benchmark/benchmark.h>

#include <cstdio>
#include <cstdlib>
#include <span>
#include <string>
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
      rig, 256, [&](const RawBlock& block) -> masseter::Expected<void> {
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

const Day& ExampleDay() {
  static const Day day = [] {
    const auto scenario = masseter::sim::ExampleScenario();
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
  }();
  return day;
}

void BM_RawSamplesToBites(benchmark::State& state) {
  const Day& day = ExampleDay();
  std::size_t rows = 0;
  for (const RawBlock& block : day.blocks) rows += block.rows;
  for (auto _ : state) benchmark::DoNotOptimize(CountBites(day));
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(rows));
}
BENCHMARK(BM_RawSamplesToBites)->Unit(benchmark::kMillisecond);

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
