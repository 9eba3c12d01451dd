#include "core/trust/dynamics_line.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace masseter {
namespace {

TEST(DynamicsLine, BoundIsCrestErrorAndFilteredRingTogether) {
  // Undamped 400 Hz, rise 80 ms: ring 1/(pi 400 0.1); the filter of 60 at
  // 1 kHz passes less than a tenth at 400 Hz. Crest of 50 ms: r = 10/400,
  // gain 1/(1 - r^2).
  const SecondOrder system{400.0, 0.0, 0.0, 0.0};
  const double ring = 1.0 / (std::numbers::pi * 400.0 * 0.1);
  const double r2 = (10.0 / 400.0) * (10.0 / 400.0);
  EXPECT_NEAR(DynamicBound(system, 0.001, 0.08, 0.05),
              0.1 * ring + (1.0 / (1.0 - r2) - 1.0), 1e-12);
}

TEST(DynamicsLine, UnfilteredSlowSamplesKeepTheWholeRing) {
  const SecondOrder system{400.0, 0.0, 0.0, 0.0};
  EXPECT_NEAR(DynamicBound(system, 0.01, 0.08, 0.0),
              1.0 / (std::numbers::pi * 400.0 * 0.1), 1e-12);
}

TEST(DynamicsLine, SoftSleeveAndFastRiseCostMore) {
  const SecondOrder stiff{400.0, 0.05, 5.0, 0.01};
  const SecondOrder soft{60.0, 0.05, 5.0, 0.01};
  EXPECT_GT(DynamicBound(soft, 0.001, 0.05, 0.05),
            10.0 * DynamicBound(stiff, 0.001, 0.05, 0.05));
  EXPECT_GT(DynamicBound(stiff, 0.001, 0.01, 0.05),
            DynamicBound(stiff, 0.001, 0.1, 0.05));
  EXPECT_EQ(DynamicBound(soft, 0.001, 0.05, 0.001), 1.0);
}

TEST(DynamicsLine, LineIsTheBoundAsRectangularNewtons) {
  const SecondOrder system{300.0, 0.05, 1.0, 0.002};
  PeakEstimate peak;
  peak.force_n = 800.0;
  peak.width_s = 0.06;
  Bite bite;
  bite.rise_s = 0.05;
  const auto line = DynamicsLine(system, 0.001, peak, bite);
  EXPECT_EQ(line.term, "dynamics");
  EXPECT_NEAR(line.standard_uncertainty_n,
              800.0 * DynamicBound(system, 0.001, 0.05, 0.06) / std::sqrt(3.0),
              1e-12);
}

}  // namespace
}  // namespace masseter
