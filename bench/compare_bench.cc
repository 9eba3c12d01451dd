// 100,000 bites of 5,000 dogs through the mixed model: the fit alone, and with
// what `compare` puts around it.
#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

#include "app/compare_answer.h"
#include "core/base/random_draws.h"
#include "core/study/mixed_model.h"

namespace masseter {
namespace {

constexpr double kDogSd = 0.25;
constexpr double kBiteSd = 0.2;

// Bites of 5,000 dogs in turn of length 1 to 39, of three breeds.
MixedData Bites(std::size_t dogs, std::size_t bites) {
  RandomNumbers random(1);
  MixedData d;
  d.random = {{"dog", dogs, {}}};
  std::vector<double> first;
  std::vector<double> second;
  for (std::size_t j = 0; j < dogs; ++j) {
    const double own = 6.2 + kDogSd * random.Normal();
    const std::size_t count = 1 + (j * 7) % (2 * bites / dogs - 1);
    for (std::size_t i = 0; i < count; ++i) {
      d.y.push_back(own + kBiteSd * random.Normal());
      d.random[0].level.push_back(j);
      first.push_back(j % 3 == 1 ? 1.0 : 0.0);
      second.push_back(j % 3 == 2 ? 1.0 : 0.0);
    }
  }
  d.x = {std::vector<double>(d.y.size(), 1.0), first, second};
  return d;
}

const MixedData& Study() {
  static const MixedData kStudy = Bites(5000, 100000);
  return kStudy;
}

// The answer first: the spreads that went in come out, within five standard
// errors (sd / sqrt(2 n)).
void Check() {
  const auto fit = FitMixed(Study(), Likelihood::kRestricted);
  bool right = fit.has_value() && Study().values() >= 99000;
  if (right) {
    right &= std::fabs(std::sqrt(fit->variance[0]) - kDogSd) < 0.013;
    right &= std::fabs(std::sqrt(fit->residual) - kBiteSd) < 0.0025;
  }
  if (!right) {
    std::fputs("compare_bench: the answer is wrong\n", stderr);
    std::exit(1);
  }
}

void BM_FitMixed(benchmark::State& state) {
  for (auto _ : state) {
    auto fit = FitMixed(Study(), Likelihood::kRestricted);
    benchmark::DoNotOptimize(fit);
  }
  state.SetItemsProcessed(state.iterations() *
                          static_cast<std::int64_t>(Study().values()));
}
BENCHMARK(BM_FitMixed)->Unit(benchmark::kMillisecond);

// 40 dogs, 400 bites: a club's season, with intervals, pairs and ranks.
void BM_CompareASeason(benchmark::State& state) {
  const MixedData d = Bites(40, 400);
  const std::string path = "compare_bench.csv";
  std::ofstream out(path);
  out << "dog,peak_n\n";
  for (std::size_t i = 0; i < d.values(); ++i) {
    out << "dog" << d.random[0].level[i] << ',' << std::exp(d.y[i]) << '\n';
  }
  out.close();
  CompareQuestion question;
  question.table = path;
  for (auto _ : state) {
    auto answer = AnswerCompare(question);
    benchmark::DoNotOptimize(answer);
  }
  std::remove(path.c_str());
}
BENCHMARK(BM_CompareASeason)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace masseter

int main(int argc, char** argv) {
  masseter::Check();
  benchmark::Initialize(&argc, argv);
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
