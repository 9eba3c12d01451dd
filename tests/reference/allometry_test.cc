// Allometric lines against published examples: least squares as in the
// textbooks, standardised major axis by smatr 3.4-8 in R 4.2.2.
#include "core/study/allometry.h"

#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::ReadTable;
using reference::Table;

constexpr double kRelative = 1e-8;

std::vector<MassPoint> Points(const std::string& file, const std::string& x,
                              const std::string& y) {
  const Table t = ReadTable(file);
  std::vector<MassPoint> out;
  for (std::size_t i = 0; i < t.at(x).size(); ++i) {
    out.push_back({t.at(x)[i], t.at(y)[i]});
  }
  return out;
}

struct Want {
  double r;
  double slope;
  double slope_se;
  double slope_lo;
  double slope_hi;
  double intercept;
  double intercept_se;
  double residual_sd;
  double axis;
  double axis_lo;
  double axis_hi;
  double elevation;
};

void ExpectLine(const std::vector<MassPoint>& points, const Want& w) {
  const auto f = FitAllometry(points);
  ASSERT_TRUE(f.has_value());
  const std::vector<std::pair<double, double>> pairs = {
      {f->r, w.r},
      {f->least_squares.slope, w.slope},
      {f->slope_se, w.slope_se},
      {f->least_squares.slope_lo, w.slope_lo},
      {f->least_squares.slope_hi, w.slope_hi},
      {f->least_squares.intercept, w.intercept},
      {f->intercept_se, w.intercept_se},
      {f->residual_sd, w.residual_sd},
      {f->major_axis.slope, w.axis},
      {f->major_axis.slope_lo, w.axis_lo},
      {f->major_axis.slope_hi, w.axis_hi},
      {f->major_axis.intercept, w.elevation}};
  for (const auto& [is, want] : pairs) {
    EXPECT_NEAR(is, want, kRelative * std::fabs(want));
  }
}

// MASS::mammals: ln brain on ln body, 2.135 and 0.752 in Weisberg 1985.
TEST(Allometry, GivesTheBrainsOfMammals) {
  const auto points = Points("mass_mammals.csv", "body_kg", "brain_g");
  ExpectLine(points,
             {0.9595747583709806, 0.7516859362419009, 0.02846355983823931,
              0.6947503395179094, 0.8086215329658925, 2.134788676764636,
              0.09604338798704339, 0.6942947311416174, 0.7833531777326016,
              0.7284839492502834, 0.8423551427526885, 2.092432507155393});
  const auto f = FitAllometry(points);
  EXPECT_NEAR(f->lognormal_factor, 1.2725497778688566, 1e-8);
  EXPECT_NEAR(PredictForce(*f, 30.0).force, 109.00796085649252, 1e-6);
  const SlopeTest two_thirds = TestMajorAxisSlope(points, 2.0 / 3.0);
  EXPECT_NEAR(two_thirds.f, 19.87619725091814, 1e-6);
  EXPECT_NEAR(two_thirds.p, 3.681436907711241e-05, 1e-11);
  EXPECT_NEAR(TestMajorAxisSlope(points, 1.0).f, 46.06180426225877, 1e-6);
}

// MASS::Animals with its three dinosaurs, Rousseeuw and Leroy 1987.
TEST(Allometry, GivesTheBrainsOfAnimals) {
  ExpectLine(Points("mass_animals.csv", "body_kg", "brain_g"),
             {0.7794934967285113, 0.4959946916258484, 0.07816939704116994,
              0.33531519480676064, 0.6566741884449362, 2.5548981349401254,
              0.4131369623134894, 1.5315651604413656, 0.6363038225559409,
              0.4955982304407495, 0.8169572240789253, 2.0257495320447214});
}

// MASS::cats, Fisher 1947: heart on body.
TEST(Allometry, GivesTheHeartsOfCats) {
  ExpectLine(Points("mass_cats.csv", "Bwt", "Hwt"),
             {0.7965203366792942, 1.0100080576823953, 0.06433693565648387,
              0.8828260959808297, 1.137190019383961, 1.3424597453631055,
              0.06445941166970913, 0.1348288196324436, 1.268025449159446,
              1.147205652447437, 1.4015695758522122, 1.0879085961953703});
}

}  // namespace
}  // namespace masseter
