// A minute of one channel at 1000 samples/s through the channel class filter
// and the running median of the zero follower.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <vector>

#include "core/signal/channel_class_filter.h"
#include "core/signal/robust.h"

namespace masseter {
namespace {

constexpr double kRateHz = 1000.0;

// A 50 ms half-sine of 1000 N every second.
std::vector<double> Pulses() {
  std::vector<double> x(60000, 0.0);
  for (std::size_t i = 0; i < x.size(); ++i) {
    const auto phase = static_cast<double>(i % 1000);
    if (phase <= 50.0) {
      x[i] = 1000.0 * std::sin(3.14159265358979323846 * phase / 50.0);
    }
  }
  return x;
}

// The answer first: the peaks keep their places and 99.9 % of their size, and
// the median over 5 s is the zero between them.
void Check() {
  std::vector<double> x = Pulses();
  FilterChannelClass(DesignChannelClass(60, kRateHz).value(), x);
  bool right = std::fabs(x[30025] - 1000.0) < 1.0;
  right &= std::max_element(x.begin() + 30000, x.begin() + 30100) ==
           x.begin() + 30025;
  std::vector<double> zero(x.size());
  CentredRunningMedian(Pulses(), 5001, zero);
  right &= zero[30025] == 0.0;
  if (!right) {
    std::fputs("channel_class_filter_bench: the answer is wrong\n", stderr);
    std::exit(1);
  }
}

void BM_ChannelClass60(benchmark::State& state) {
  const LowPass filter = DesignChannelClass(60, kRateHz).value();
  const std::vector<double> pulses = Pulses();
  std::vector<double> x = pulses;
  for (auto _ : state) {
    std::copy(pulses.begin(), pulses.end(), x.begin());
    FilterChannelClass(filter, x);
    benchmark::DoNotOptimize(x.data());
  }
  state.SetItemsProcessed(state.iterations() *
                          static_cast<std::int64_t>(x.size()));
}
BENCHMARK(BM_ChannelClass60);

void BM_RunningMedian(benchmark::State& state) {
  std::vector<double> x = Pulses();
  std::mt19937 noise(1);  // without ties, which cost nothing
  for (double& v : x) v += static_cast<double>(noise()) / 4294967296.0;
  std::vector<double> out(x.size());
  for (auto _ : state) {
    CentredRunningMedian(x, static_cast<std::size_t>(state.range(0)), out);
    benchmark::DoNotOptimize(out.data());
  }
  state.SetItemsProcessed(state.iterations() *
                          static_cast<std::int64_t>(x.size()));
}
BENCHMARK(BM_RunningMedian)->Arg(101)->Arg(5001);

}  // namespace
}  // namespace masseter

int main(int argc, char** argv) {
  masseter::Check();
  benchmark::Initialize(&argc, argv);
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
