#include "core/metrology/reference_budget.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

const ReferenceTerm* Line(const std::vector<ReferenceTerm>& budget,
                          const std::string& term) {
  for (const ReferenceTerm& line : budget) {
    if (line.term == term) return &line;
  }
  return nullptr;
}

ReadingsTable Weights(const std::vector<double>& masses) {
  ReadingsTable table;
  table.by_mass = true;
  for (const double mass : masses) {
    Reading row;
    row.mass_kg = mass;
    row.signal = {0.0};
    table.rows.push_back(row);
  }
  return table;
}

TEST(WeightClass, KnowsItsWordsAndNoOtherWeights) {
  EXPECT_FALSE(MaxPermissibleErrorMg(WeightClass::kM1, 3).has_value());
  EXPECT_EQ(WeightClassOf("m2"), WeightClass::kM2);
  EXPECT_FALSE(WeightClassOf("E2").has_value());
}

TEST(WeightClass, AddsUpTheWeightsOfALoad) {
  // 37 kg is 20 + 10 + 5 + 2 kg: 1000 + 500 + 250 + 100 mg of M1.
  EXPECT_NEAR(RelativeTolerance(WeightClass::kM1, 37.0), 1850e-6 / 37.0, 1e-12);
  // 0.5005 kg: 500 g and less than a gram.
  EXPECT_NEAR(RelativeTolerance(WeightClass::kM1, 0.5005), 26e-6 / 0.5005,
              1e-12);
}

TEST(ReferenceBudget, HasALineForEveryInput) {
  CalibrateOptions options;
  options.gravity_m_s2 = 9.81225;
  options.weight_class = WeightClass::kM1;
  options.lever = 5.0;
  options.lever_half_width = 0.01;
  const auto budget = ReferenceBudget(Weights({0, 10, 20}), options);
  ASSERT_EQ(budget.size(), 5U);
  // M1 from 100 g on is 5e-5 of the nominal value; rectangular.
  EXPECT_NEAR(Line(budget, "weights")->contribution, 5e-5 / std::sqrt(3.0),
              1e-12);
  EXPECT_NEAR(Line(budget, "gravity")->contribution,
              2e-4 / 9.81225 / std::sqrt(3.0), 1e-12);
  EXPECT_NEAR(Line(budget, "air density")->contribution,
              0.1 / 7998.8 / std::sqrt(3.0), 1e-12);
  // A conventional mass in conventional air does not ask for the density.
  EXPECT_EQ(Line(budget, "weight density")->contribution, 0.0);
  EXPECT_NEAR(Line(budget, "lever")->contribution, 0.002 / std::sqrt(3.0),
              1e-12);
  double square = 0.0;
  for (const ReferenceTerm& line : budget) {
    square += line.contribution * line.contribution;
    EXPECT_EQ(line.distribution, "rectangular");
  }
  EXPECT_NEAR(ReferenceRelativeU(budget), std::sqrt(square), 1e-15);
  // 20 kg x 9.81225 x (1 - 1.2/8000), five times.
  Reading row;
  row.mass_kg = 20.0;
  EXPECT_NEAR(*ReferenceForceOf(row, options), 5.0 * 196.21556325, 1e-9);
}

TEST(ReferenceBudget, KnowsHowWellGravityIsKnown) {
  CalibrateOptions options;
  const auto unstated = ReferenceBudget(Weights({10}), options);
  options.gravity_m_s2 = 9.81;
  options.gravity_from_latitude = true;
  const auto latitude = ReferenceBudget(Weights({10}), options);
  EXPECT_NEAR(Line(unstated, "gravity")->contribution,
              0.026 / 9.80665 / std::sqrt(3.0), 1e-12);
  EXPECT_NEAR(Line(latitude, "gravity")->contribution,
              1e-3 / 9.81 / std::sqrt(3.0), 1e-12);
}

TEST(ReferenceBudget, TakesStatedLimitsAndDensities) {
  CalibrateOptions options;
  options.gravity_m_s2 = 9.81225;
  options.weight_half_width = 0.005;
  options.weight_density_kg_m3 = 7150.0;
  const auto budget = ReferenceBudget(Weights({10}), options);
  EXPECT_NEAR(Line(budget, "weights")->contribution, 0.005 / std::sqrt(3.0),
              1e-12);
  Reading row;
  row.mass_kg = 10.0;
  EXPECT_NEAR(*ReferenceForceOf(row, options), 98.1225 * (1.0 - 1.2 / 7150.0),
              1e-9);
}

TEST(ReferenceBudget, OfATransducerIsHalfItsExpandedUncertainty) {
  ReadingsTable table;
  Reading row;
  row.force_n = 100.0;
  table.rows.push_back(row);
  CalibrateOptions options;
  EXPECT_NEAR(ReferenceRelativeU(ReferenceBudget(table, options)), 1.2e-3,
              1e-12);
  options.transducer_u95 = 5e-4;
  const auto budget = ReferenceBudget(table, options);
  ASSERT_EQ(budget.size(), 1U);
  EXPECT_EQ(budget[0].distribution, "normal");
  EXPECT_NEAR(budget[0].contribution, 2.5e-4, 1e-15);
}

}  // namespace
}  // namespace masseter
