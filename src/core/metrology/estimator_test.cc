#include "core/metrology/estimator.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/metrology/estimator_fit.h"
#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

using testing_plate::Draw;
using testing_plate::Plate;

constexpr EstimatorForm kForms[] = {
    EstimatorForm::kSum,    EstimatorForm::kGains, EstimatorForm::kSurface,
    EstimatorForm::kCentre, EstimatorForm::kPairs, EstimatorForm::kQuartic};

Estimator AnyEstimator(EstimatorForm form, bool curvature, Draw& draw) {
  Estimator e;
  e.form = form;
  e.curvature = curvature;
  e.cells = Plate{}.Cells();
  e.spread_mm = 60.0;
  e.force_scale_n = 1000.0;
  e.floor_n = 20.0;
  for (int i = 0; i < 4; ++i) e.gain.push_back(draw.Uniform(0.004, 0.006));
  const std::size_t gains =
      form == EstimatorForm::kSum || form == EstimatorForm::kSurface ? 1 : 4;
  for (std::size_t k = 0; k < e.TermCount(); ++k) {
    e.coeffs.push_back(k < gains ? draw.Uniform(0.95, 1.05)
                                 : draw.Uniform(-0.1, 0.1));
  }
  return e;
}

std::vector<double> AnySignals(Draw& draw) {
  std::vector<double> v;
  for (int i = 0; i < 4; ++i) v.push_back(draw.Uniform(5000.0, 40000.0));
  return v;
}

std::vector<double> Scaled(std::vector<double> v, double k) {
  for (double& x : v) x *= k;
  return v;
}

TEST(Estimator, TwiceTheSignalsAreTwiceTheForceWithoutCurvature) {
  Draw draw(3);
  for (const EstimatorForm form : kForms) {
    const Estimator e = AnyEstimator(form, false, draw);
    for (int n = 0; n < 20; ++n) {
      const std::vector<double> v = AnySignals(draw);
      const double force = e.Force(v);
      for (const double k : {0.5, 2.0, 7.0}) {
        EXPECT_NEAR(e.Force(Scaled(v, k)), k * force, 1e-12 * k * force)
            << EstimatorFormWord(form);
      }
    }
  }
}

TEST(Estimator, CurvatureBreaksTheProportion) {
  Draw draw(3);
  const Estimator e = AnyEstimator(EstimatorForm::kGains, true, draw);
  const std::vector<double> v = AnySignals(draw);
  EXPECT_GT(std::abs(e.Force(Scaled(v, 2.0)) - 2.0 * e.Force(v)), 1e-3);
}

TEST(Estimator, IsContinuousAtItsFloorAndZeroAtZero) {
  Draw draw(4);
  for (const EstimatorForm form : kForms) {
    const Estimator e = AnyEstimator(form, true, draw);
    const std::vector<double> zero(4, 0.0);
    EXPECT_EQ(e.Force(zero), 0.0) << EstimatorFormWord(form);
    const std::vector<double> v = AnySignals(draw);
    double sum = 0.0;
    for (int i = 0; i < 4; ++i) {
      sum +=
          e.gain[static_cast<std::size_t>(i)] * v[static_cast<std::size_t>(i)];
    }
    const double at_floor = e.floor_n / sum;
    EXPECT_NEAR(e.Force(Scaled(v, at_floor * (1.0 - 1e-9))),
                e.Force(Scaled(v, at_floor * (1.0 + 1e-9))), 1e-6)
        << EstimatorFormWord(form);
  }
}

TEST(Estimator, ForceIsLinearInTheTerms) {
  Draw draw(5);
  for (const EstimatorForm form : kForms) {
    for (const bool curvature : {false, true}) {
      const Estimator e = AnyEstimator(form, curvature, draw);
      const std::vector<double> v = AnySignals(draw);
      std::vector<double> terms(e.TermCount());
      e.Terms(v, terms);
      double force = 0.0;
      for (std::size_t k = 0; k < terms.size(); ++k) {
        force += e.coeffs[k] * terms[k];
      }
      EXPECT_NEAR(e.Force(v), force, 1e-12 * force);
    }
  }
}

TEST(Estimator, ThePairsAreEquationOne) {
  // Two channels by hand: p = (100, 300), S = 400,
  // F = 1.0 x 100 + 1.1 x 300 + 0.2 x 100 x 300 / 400 = 445.
  Estimator e;
  e.form = EstimatorForm::kPairs;
  e.gain = {0.1, 0.3};
  e.coeffs = {1.0, 1.1, 0.2};
  e.floor_n = 1.0;
  EXPECT_NEAR(e.Force(std::vector<double>{1000.0, 1000.0}), 445.0, 1e-12);
}

TEST(Estimator, CentreIsTheMomentOverTheForce) {
  Estimator e;
  e.form = EstimatorForm::kGains;
  e.gain = {1.0, 1.0, 2.0};
  e.coeffs = {1.0, 1.0, 1.0};
  e.cells = {{-50, 0}, {50, 0}, {0, 40}};
  e.floor_n = 10.0;
  // p = (100, 200, 100): x = (-5000 + 10000) / 400, y = 4000 / 400.
  const auto at = e.Centre(std::vector<double>{100.0, 200.0, 50.0});
  ASSERT_TRUE(at.has_value());
  EXPECT_NEAR(at->x_mm, 12.5, 1e-12);
  EXPECT_NEAR(at->y_mm, 10.0, 1e-12);
  EXPECT_FALSE(e.Centre(std::vector<double>{4.0, 4.0, 0.5}).has_value());
  e.cells.clear();
  EXPECT_FALSE(e.Centre(std::vector<double>{100.0, 200.0, 50.0}).has_value());
}

TEST(Estimator, SensitivityIsTheSlopeOfTheForce) {
  Draw draw(6);
  for (const EstimatorForm form : kForms) {
    for (const bool curvature : {false, true}) {
      const Estimator e = AnyEstimator(form, curvature, draw);
      std::vector<double> v = AnySignals(draw);
      const std::vector<double> slope = e.Sensitivity(v);
      ASSERT_EQ(slope.size(), 4U);
      for (std::size_t i = 0; i < 4; ++i) {
        const double h = 1e-2;  // far smaller than Sensitivity's own step
        std::vector<double> up = v;
        std::vector<double> down = v;
        up[i] += h;
        down[i] -= h;
        const double exact = (e.Force(up) - e.Force(down)) / (2.0 * h);
        EXPECT_NEAR(slope[i], exact, 1e-5 * std::abs(e.gain[i]))
            << EstimatorFormWord(form);
      }
    }
  }
}

TEST(Estimator, SensitivityOfACurveIsOneOverItsSlope) {
  Estimator e;
  e.form = EstimatorForm::kCurve;
  e.curve = {10.0, 100.0, 0.02};
  e.gain = {0.01};
  e.coeffs = {1.0};
  e.force_scale_n = 1000.0;
  const double force = 400.0;
  const std::vector<double> v = {10.0 + 100.0 * force + 0.02 * force * force};
  EXPECT_NEAR(e.Force(v), force, 1e-9);
  EXPECT_NEAR(e.Sensitivity(v).at(0), 1.0 / (100.0 + 0.04 * force), 1e-8);
}

BenchSet PlateBench(const Plate& plate) {
  BenchSet bench;
  bench.cells = plate.Cells();
  bench.positions = {{0, 0},     {-45, 0}, {45, 0},   {0, -15}, {0, 15},
                     {-45, -15}, {45, 15}, {-45, 15}, {45, -15}};
  for (std::size_t p = 0; p < bench.positions.size(); ++p) {
    for (const double force : {100.0, 300.0, 600.0}) {
      BenchLoad load;
      load.v = plate.Signals(force, bench.positions[p]);
      for (std::size_t i = 0; i < 4; ++i) load.v[i] -= plate.zero[i];
      load.force_n = force;
      load.position = static_cast<int>(p);
      bench.loads.push_back(load);
    }
  }
  return bench;
}

TEST(EstimatorFit, APlateWithoutShellNeedsNoMoreThanItsGains) {
  Plate plate;
  plate.shell = 0.0;
  plate.tilt = 0.0;
  const auto fit = FitEstimator(PlateBench(plate));
  ASSERT_TRUE(fit) << fit.error().Text();
  EXPECT_EQ(fit->estimator.form, EstimatorForm::kGains);
  EXPECT_FALSE(fit->estimator.curvature);
  EXPECT_LT(fit->left_out->rms, 1e-3);
}

TEST(EstimatorFit, EqualCellsNeedOneFactor) {
  Plate plate;
  plate.shell = 0.0;
  plate.tilt = 0.0;
  plate.counts_per_n = {200.0, 200.0, 200.0, 200.0};
  const auto fit = FitEstimator(PlateBench(plate));
  ASSERT_TRUE(fit) << fit.error().Text();
  EXPECT_EQ(fit->estimator.form, EstimatorForm::kSum);
  std::vector<double> v = plate.Signals(400.0, {20.0, 5.0});
  for (std::size_t i = 0; i < 4; ++i) v[i] -= plate.zero[i];
  EXPECT_NEAR(fit->estimator.Force(v), 400.0, 1e-3);
}

TEST(EstimatorFit, LeftOutErrorsAreMadeWithoutTheirPlace) {
  const Plate plate;
  BenchSet bench = PlateBench(plate);
  const auto before = FitEstimator(bench);
  // A place that reads 10 % high cannot be foreseen from the others.
  for (BenchLoad& load : bench.loads) {
    if (load.position != 4) continue;
    for (double& v : load.v) v *= 1.10;
  }
  const auto fit = FitEstimator(bench);
  ASSERT_TRUE(before && fit);
  ASSERT_EQ(fit->left_out->position.size(), 9U);
  EXPECT_LT(before->left_out->position[4], 0.02);
  EXPECT_GT(fit->left_out->position[4], 0.06);
  EXPECT_EQ(fit->left_out->max, fit->left_out->position[4]);
}

TEST(EstimatorFit, RefusesNoLoads) {
  EXPECT_FALSE(FitEstimator(BenchSet{}).has_value());
}

}  // namespace
}  // namespace masseter
