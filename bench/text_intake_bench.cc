// How fast a device's text becomes raw blocks, on one core, from memory.
// Target: 150 MB/s for lines of seven integers.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "device/text_intake.h"

namespace masseter {
namespace {

Rig FourCells() {
  Rig rig;
  rig.sample_rate_hz = 1000;
  for (const char* name : {"c1", "c2", "c3", "c4"}) {
    rig.channels.emplace_back().name = name;
  }
  for (const char* name :
       {"seq", "t_us", "c1", "c2", "c3", "c4", "supply_mv"}) {
    rig.text.columns.push_back(RoleOfName(rig, name).value());
  }
  return rig;
}

struct Day {
  std::string text;
  std::uint64_t rows = 0;
  std::int64_t sum = 0;  // of c1
};

// `decimals`: the channels in volts with six places, instead of counts.
Day PrintDay(std::uint64_t rows, bool decimals) {
  Day day;
  day.rows = rows;
  day.text = "seq,t_us,c1,c2,c3,c4,supply_mv\r\n";
  std::uint32_t state = 12345;
  const auto next = [&state] {
    state = state * 1664525u + 1013904223u;
    return static_cast<int>(state >> 12) - (1 << 19);
  };
  char line[160];
  for (std::uint64_t i = 0; i < rows; ++i) {
    const int c[4] = {next(), next(), next(), next()};
    day.sum += c[0];
    const long long seq = static_cast<long long>(i);
    if (decimals) {
      std::snprintf(line, sizeof line, "%lld,%lld,%.6f,%.6f,%.6f,%.6f,4100\r\n",
                    seq, seq * 1000, c[0] * 1e-6, c[1] * 1e-6, c[2] * 1e-6,
                    c[3] * 1e-6);
    } else {
      std::snprintf(line, sizeof line, "%lld,%lld,%d,%d,%d,%d,4100\r\n", seq,
                    seq * 1000, c[0], c[1], c[2], c[3]);
    }
    day.text += line;
  }
  return day;
}

// Reads the day in chunks as a source hands them on; the sum of c1.
double Read(const Day& day, const Rig& rig, std::uint64_t* rows) {
  double sum = 0;
  TextIntake intake(rig, 4096, [&](const RawBlock& b) -> Expected<void> {
    std::visit(
        [&](const auto& v) {
          for (const auto x : v) sum += static_cast<double>(x);
        },
        b.columns[2]);
    return {};
  });
  std::span<const char> rest(day.text);
  while (!rest.empty()) {
    const std::size_t n = std::min<std::size_t>(65536, rest.size());
    if (!intake.Push(rest.first(n))) return 0;
    rest = rest.subspan(n);
  }
  if (!intake.Finish()) return 0;
  *rows = intake.report().rows;
  return sum;
}

void Measure(benchmark::State& state, bool decimals) {
  const Day day = PrintDay(200'000, decimals);
  const Rig rig = FourCells();
  const double want = static_cast<double>(day.sum) * (decimals ? 1e-6 : 1.0);
  for (auto _ : state) {
    std::uint64_t rows = 0;
    const double sum = Read(day, rig, &rows);
    // Rounding of 200000 additions of numbers below 1: far below 1e-6.
    if (rows != day.rows || std::abs(sum - want) > 1e-6) {
      state.SkipWithError("the answer is wrong");
      break;
    }
  }
  state.SetBytesProcessed(state.iterations() *
                          static_cast<std::int64_t>(day.text.size()));
  state.SetItemsProcessed(state.iterations() *
                          static_cast<std::int64_t>(day.rows));
}

void ReadCounts(benchmark::State& state) { Measure(state, false); }
void ReadDecimals(benchmark::State& state) { Measure(state, true); }
BENCHMARK(ReadCounts)->Unit(benchmark::kMillisecond);
BENCHMARK(ReadDecimals)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace masseter

BENCHMARK_MAIN();
