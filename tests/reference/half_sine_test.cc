// Losses at the peak of a half-sine, and robust statistics, against closed
// forms and frozen outputs of other libraries.
#include "core/signal/half_sine.h"

#include <vector>

#include "core/signal/robust.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::ReadTable;

TEST(HalfSine, WorstLossOfATenthOfASecond) {
  EXPECT_NEAR(WorstSamplingLoss(0.1, 80), 0.01921471959676957, 1e-15);
}

TEST(HalfSine, RateNeededForALoss) {
  EXPECT_NEAR(RateForWorstLoss(0.1, 0.01), 110.97938192792498, 1e-10);
  EXPECT_NEAR(RateForWorstLoss(0.1, 0.001), 351.21146234299874, 1e-10);
  EXPECT_NEAR(RateForWorstLoss(0.05, 0.01), 221.95876385584995, 1e-10);
}

TEST(HalfSine, MovingAverageKeepsSincOfThePeak) {
  const double cases[][2] = {
      {0.05, 0.9989722332485386}, {0.1, 0.9958927352435615},
      {0.2, 0.983631643083466},   {0.3, 0.9633977620041158},
      {0.5, 0.9003163161571061},  {0.8, 0.756826728640657},
      {1.0, 0.6366197723675814}};
  for (const auto& [ratio, kept] : cases) {
    EXPECT_NEAR(1.0 - MovingAverageLoss(0.1, 0.1 * ratio), kept, 1e-14);
  }
}

TEST(HalfSine, OnePoleLowersAndDelaysThePeak) {
  // SciPy 1.10.1 minimize_scalar on the closed form: the maximum's place is
  // good to 1e-8 only, its value to 1e-15.
  const double cases[][3] = {{0.01, 0.9995068847638623, 0.5099967120871363},
                             {0.02, 0.9980319045039653, 0.5199737432283184},
                             {0.05, 0.9878892832162154, 0.5495894540585178},
                             {0.1, 0.9547622205432725, 0.5961095893540593},
                             {0.2, 0.86223460946343, 0.669064343222922}};
  for (const auto& [ratio, kept, place] : cases) {
    EXPECT_NEAR(1.0 - OnePoleLoss(0.05, 0.05 * ratio), kept, 1e-12);
    EXPECT_NEAR(OnePolePeakTime(0.05, 0.05 * ratio) / 0.05, place, 1e-7);
  }
}

TEST(Robust, MedianFilterAgreesWithSciPy) {
  const auto t = ReadTable("scipy_medfilt.csv");
  const auto& x = t.at("x");
  std::vector<double> out(x.size());
  CentredRunningMedian(x, 5, out);
  // The two values at each end differ by definition: SciPy adds zeros.
  for (std::size_t i = 2; i + 2 < x.size(); ++i) {
    EXPECT_NEAR(out[i], t.at("median5")[i], 1e-15) << i;
  }
}

TEST(Robust, MedianAndMadAgreeWithNumPy) {
  const auto x = ReadTable("scipy_medfilt.csv").at("x");
  EXPECT_NEAR(Median(x), 0.027347999999999997, 1e-15);
  EXPECT_NEAR(MadSd(x), 0.07536511857329527, 1e-12);
}

}  // namespace
}  // namespace masseter
