// Faults of a sleeve with a single cell: told by what a force can do.
#include "core/trust/lone_cell.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/bite/bite_testing.h"
#include "core/bite/pipeline.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;
using testing_bite::BiteSpec;
using testing_bite::Device;
using testing_bite::OnOneCell;
using testing_bite::ReasonOf;
using testing_bite::Rows;
using testing_bite::RunPipeline;

constexpr double kTruePeakN = 900.0;

class LoneCell : public ::testing::TestWithParam<double> {
 protected:
  LoneCell()
      : rig_(testing_plate::OneCellRig(SignalUnit::kNewton, GetParam())) {
    device_.rate_hz = GetParam();
    device_.noise = 1.0;
    rig_.channels[0].capacity = Force(2000.0);
  }
  // Strike of 900 N at 2.05 s, squeeze of 500 N until 3.5 s; tenths as words.
  Rows Plain() const {
    Rows rows = OnOneCell(8.0, BiteSpec{}, device_);
    for (double& v : rows.channel[0]) v = std::round(v * 10.0) / 10.0;
    return rows;
  }
  Bite Only(const Rows& rows) const {
    const auto bites = RunPipeline(rig_, nullptr, rows);
    EXPECT_EQ(bites.size(), 1U);
    return bites.empty() ? Bite{} : bites.front().bite;
  }

  Rig rig_;
  Device device_;
};

TEST_P(LoneCell, ABadPlugIsLooseAndItsWildWordsAreNoForce) {
  Rows rows = Plain();
  const std::size_t first = rows.RowAt(2.5);
  const std::size_t end = rows.RowAt(2.9);
  for (std::size_t i = first; i < end; ++i) {
    rows.channel[0][i] = (i / 3) % 2 == 0 ? -7000.0 : 6400.0;
  }
  const Bite b = Only(rows);
  const Reason* loose = ReasonOf(b, ReasonCode::kLoose);
  ASSERT_NE(loose, nullptr);
  EXPECT_TRUE(b.at_least);
  EXPECT_NE(b.verdict, Verdict::kSound);
  // 4 %: what sampling at 320 a second takes off this strike, and noise.
  EXPECT_NEAR(*b.peak_n, kTruePeakN, 0.04 * kTruePeakN);
}

TEST_P(LoneCell, AWordThatWouldBreakTheCellIsAGlitch) {
  Rows rows = Plain();
  rows.channel[0][rows.RowAt(2.8)] = 22000.0;
  const Bite b = Only(rows);
  const Reason* glitch = ReasonOf(b, ReasonCode::kGlitch);
  ASSERT_NE(glitch, nullptr);
  EXPECT_THAT(glitch->text, HasSubstr("1 impossible value"));
  EXPECT_NEAR(*b.peak_n, kTruePeakN, 0.04 * kTruePeakN);
  EXPECT_EQ(ReasonOf(b, ReasonCode::kOverload), nullptr);
}

TEST_P(LoneCell, ItsAmplifiersEndIsARail) {
  Rows rows = Plain();
  for (double& v : rows.channel[0]) v = std::min(v, 620.0);
  const Bite b = Only(rows);
  const Reason* rail = ReasonOf(b, ReasonCode::kRail);
  ASSERT_NE(rail, nullptr);
  EXPECT_THAT(rail->text, HasSubstr("flat at its highest value"));
  EXPECT_TRUE(b.at_least);
}

// 5.1 kN, the worst impact, as a half-sine of 20 ms.
TEST_P(LoneCell, TheHardestStrikeIsNoJump) {
  ChannelTraces t;
  const double period_s = 1.0 / GetParam();
  t.noise_n = {1.0};
  t.p.resize(1);
  for (double at = -0.2; at < 0.2; at += period_s) {
    const double part = at / 0.02;
    t.p[0].push_back(part > 0.0 && part < 1.0
                         ? 5100.0 * std::sin(std::numbers::pi * part)
                         : 0.0);
  }
  t.total = t.p[0];
  t.fresh.assign(t.size(), 0);
  const std::vector<char> skip(t.size(), 0);
  const auto spans = JumpsNoForceMakes(t, period_s, 4000.0, 2000.0, skip);
  EXPECT_TRUE(spans.empty());
}

INSTANTIATE_TEST_SUITE_P(Rates, LoneCell,
                         ::testing::Values(320.0, 500.0, 1000.0));

}  // namespace
}  // namespace masseter
