#include "core/trust/budget.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/metrology/plate_testing.h"
#include "core/signal/half_sine.h"

namespace masseter {
namespace {

class BudgetOfOneCell : public ::testing::Test {
 protected:
  BudgetOfOneCell() {
    Calibration c;
    c.estimator.form = EstimatorForm::kGains;
    c.estimator.gain = {0.5};
    c.estimator.coeffs = {1.0};
    c.estimator.force_scale_n = 600.0;
    c.estimator.floor_n = 12.0;
    c.force_high_n = 600.0;
    c.relative_standard_u = 0.01;
    c.absolute_standard_u_n = 1.5;
    model_ = MakeForceModel(rig_, &c);
    context_.limits = {10.0, 5.0};
    context_.frame_noise_n = 0.4;
    context_.zeros.before.frames = 25;
    context_.zeros.after = ZeroEstimate{};
    peak_.force_n = 500.0;
    peak_.noise_u_n = 2.0;
    peak_.shape_u_n = 1.0;
    peak_.sampling_loss = 0.006;
    peak_.width_s = 0.1;
  }
  double Term(const std::string& name) const {
    for (const BudgetLine& line : bite_.budget) {
      if (line.term == name) return line.standard_uncertainty_n;
    }
    return -1.0;
  }
  void Fill() {
    bite_ = Bite{};
    bite_.peak_n = peak_.force_n;
    bite_.squeeze_n = 400.0;
    FillBudget(rig_, model_, context_, peak_, {1000.0}, bite_);
  }

  Rig rig_ = testing_plate::OneCellRig(SignalUnit::kCount);
  ForceModel model_;
  EventContext context_;
  PeakEstimate peak_;
  Bite bite_;
};

TEST_F(BudgetOfOneCell, HasEveryTermAsItsHeaderSays) {
  Fill();
  EXPECT_NEAR(Term("calibration"), 5.0, 1e-12);
  EXPECT_EQ(Term("range"), -1.0);  // within the calibrated forces
  EXPECT_NEAR(Term("friction"), 1.5, 1e-12);
  EXPECT_NEAR(Term("creep"), 2.5 / std::sqrt(3.0), 1e-12);
  // The median's standard error is root(pi/2) = 1.2533 of the mean's.
  EXPECT_NEAR(Term("zero"), 1.2533 * 0.4 / 5.0, 1e-4);
  EXPECT_EQ(Term("noise"), 2.0);
  EXPECT_EQ(Term("crest"), 1.0);
  EXPECT_NEAR(Term("sampling"), 500.0 * 0.006 / 3.0, 1e-12);
  EXPECT_EQ(Term("bandwidth"), -1.0);
}

TEST_F(BudgetOfOneCell, ThePeaksIntervalIsThatOfItsLines) {
  peak_.sampling_loss = 0.001;  // small: the interval stays symmetric
  Fill();
  EXPECT_FALSE(bite_.peak_lo_n.has_value());
  double square = 0.0;
  for (const BudgetLine& line : bite_.budget) {
    square += line.standard_uncertainty_n * line.standard_uncertainty_n;
    EXPECT_TRUE(std::isinf(line.degrees_of_freedom)) << line.term;
  }
  // k = 1.959964 for 95 % and no doubt about the terms (GUM table G.2).
  EXPECT_NEAR(*bite_.peak_u95_n, 1.959964 * std::sqrt(square), 1e-4);
  // The squeeze: calibration, friction, creep (0.5 %, rectangular) and zero.
  const double zero = Term("zero");
  EXPECT_NEAR(*bite_.squeeze_u95_n,
              1.959964 * std::sqrt(16.0 + 2.25 + 4.0 / 3.0 + zero * zero),
              1e-4);
}

// Sampled slowly, the true peak can only be higher: the interval moves up and
// gets no wider than the lines in quadrature.
TEST_F(BudgetOfOneCell, ALossThatIsNotSmallShiftsTheIntervalUp) {
  peak_.sampling_loss = 0.06;
  bite_.first_row = 7;
  Fill();
  ASSERT_TRUE(bite_.peak_lo_n && bite_.peak_hi_n);
  const double down = 500.0 - *bite_.peak_lo_n;
  const double up = *bite_.peak_hi_n - 500.0;
  EXPECT_GT(up, 1.5 * down);
  EXPECT_DOUBLE_EQ(*bite_.peak_u95_n, 0.5 * (up + down));
  const CombinedUncertainty u = CombineLines(bite_.budget);
  EXPECT_LT(*bite_.peak_u95_n,
            CoverageFactor(0.95, u.dof) * u.standard_uncertainty);
  // Of the losses' own mean, 500 x 0.06 / 3 x root(3) / 2.
  EXPECT_NEAR(PropagateBudget(bite_).mean, 8.66, 0.1);
  const double before = *bite_.peak_hi_n;
  Fill();
  EXPECT_EQ(*bite_.peak_hi_n, before);  // the same bite, the same draws
}

TEST_F(BudgetOfOneCell, TheLinesNameTheirSensitivity) {
  Fill();
  for (const BudgetLine& line : bite_.budget) {
    const bool relative = line.term == "calibration" || line.term == "creep" ||
                          line.term == "sampling";
    EXPECT_EQ(line.sensitivity, relative ? 500.0 : 1.0) << line.term;
  }
}

TEST_F(BudgetOfOneCell, BeyondTheCalibratedForcesItGrows) {
  peak_.force_n = 1500.0;  // 1.5 ranges beyond
  Fill();
  EXPECT_NEAR(Term("range"), 1500.0 * 0.0015, 1e-9);
  peak_.force_n = 60000.0;
  Fill();
  EXPECT_NEAR(Term("range"), 60000.0 * 0.015, 1e-9);  // never more
}

TEST_F(BudgetOfOneCell, AZeroThatChangedCountsAsRectangular) {
  context_.zeros.after->value[0] = -16.0;  // counts; 0.5 N a count
  Fill();
  EXPECT_NEAR(ZeroChangeN(model_, context_, {1000.0}), -8.0, 1e-6);
  EXPECT_NEAR(Term("zero"), std::hypot(8.0 / std::sqrt(3.0), 1.2533 * 0.08),
              1e-3);
  context_.zeros.after.reset();
  Fill();
  EXPECT_EQ(ZeroChangeN(model_, context_, {1000.0}), 0.0);
  EXPECT_GT(Term("zero"), 0.003 * 500.0 / std::sqrt(3.0));
}

TEST_F(BudgetOfOneCell, TheStatedBandwidthCosts) {
  rig_.bandwidth_hz = 30.0;
  Fill();
  const double tau = 1.0 / (2.0 * 3.14159265358979 * 30.0);
  EXPECT_NEAR(Term("bandwidth"), 500.0 * OnePoleLoss(0.1, tau) / std::sqrt(3.0),
              1e-6);
}

TEST_F(BudgetOfOneCell, WithoutCalibrationThereIsNone) {
  model_ =
      MakeForceModel(testing_plate::OneCellRig(SignalUnit::kNewton), nullptr);
  Fill();
  EXPECT_TRUE(bite_.budget.empty());
  EXPECT_FALSE(bite_.peak_u95_n.has_value());
  EXPECT_FALSE(bite_.squeeze_u95_n.has_value());
}

TEST_F(BudgetOfOneCell, TheZeroMayBeOffByTwoPerCentOrHalfTheThreshold) {
  EXPECT_DOUBLE_EQ(ZeroLimitN(context_, 900.0), 18.0);
  EXPECT_DOUBLE_EQ(ZeroLimitN(context_, 100.0), 5.0);
}

}  // namespace
}  // namespace masseter
