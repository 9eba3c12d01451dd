// Welch's spectrum against SciPy, the Birge ratio against CODATA.
#include <cmath>
#include <numbers>

#include "core/signal/welch.h"
#include "core/trust/consistency.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

// scipy.signal.welch 1.10.1: fs 100, Hann, nperseg 16, noverlap 8, constant
// detrend, density, over the made-up record `x`; its output to 17 digits, 1e-9
// for the order of summation.
TEST(Spectrum, IsSciPysWelch) {
  const auto table = reference::ReadTable("scipy_butterworth.csv");
  const auto spectrum = WelchSpectrum(table.at("x"), 100.0, 16);
  ASSERT_TRUE(spectrum.has_value());
  const std::vector<double> expected{
      0.0030165991107820697,  0.006813327049170906,  0.0013317091689337044,
      0.00017936266794745068, 3.492632246808664e-05, 4.551974943095995e-05,
      0.0001994894985369902,  7.716503278221241e-05, 3.7192417040468134e-06};
  ASSERT_EQ(spectrum->density.size(), expected.size());
  EXPECT_EQ(spectrum->step_hz, 6.25);
  EXPECT_EQ(spectrum->segments, 4U);
  for (std::size_t k = 0; k < expected.size(); ++k) {
    EXPECT_NEAR(spectrum->density[k], expected[k], 1e-9 * expected[k]) << k;
  }
}

// Closed form: a sine of amplitude A on a line has the mean square A^2 / 2,
// all of it in the line and its two neighbours (Hann).
TEST(Spectrum, ASineKeepsItsMeanSquare) {
  std::vector<double> x(4096);
  for (std::size_t i = 0; i < x.size(); ++i) {
    x[i] = 3.0 + 10.0 * std::sin(2.0 * std::numbers::pi * 4.0 *
                                 static_cast<double>(i) / 256.0);
  }
  const auto spectrum = WelchSpectrum(x, 256.0, 256);
  ASSERT_TRUE(spectrum.has_value());
  EXPECT_NEAR(spectrum->RmsWithin(2.5, 5.5), std::sqrt(50.0), 1e-9);
  EXPECT_NEAR(spectrum->RmsWithin(8.0, 128.0), 0.0, 1e-9);
}

TEST(Spectrum, RefusesWhatItCannotDo) {
  const std::vector<double> x(100, 1.0);
  EXPECT_FALSE(WelchSpectrum(x, 100.0, 128).has_value());
  EXPECT_FALSE(WelchSpectrum(x, 100.0, 48).has_value());
  EXPECT_FALSE(WelchSpectrum(x, 0.0, 64).has_value());
}

// The Newtonian constant of gravitation, 16 values of CODATA 2018 (Tiesinga and
// others, Rev. Mod. Phys. 93 (2021) 025010, table XXIX; values from memory, in
// 1e-11 m3 kg-1 s-2): chi-squared 198 with 15 degrees of freedom and the value
// 6.674 30 as printed there. Recomputed in R 4.2.2.
TEST(BirgeRatio, OfTheGravitationConstantIsCodatas) {
  const std::vector<StatedValue> g{
      {6.67248, 43e-5}, {6.6729, 50e-5},  {6.67398, 70e-5},  {6.674255, 92e-6},
      {6.67559, 27e-5}, {6.67422, 98e-5}, {6.67387, 27e-5},  {6.67222, 87e-5},
      {6.67425, 12e-5}, {6.67349, 18e-5}, {6.67260, 25e-5},  {6.67554, 16e-5},
      {6.67191, 99e-5}, {6.67435, 13e-5}, {6.674184, 78e-6}, {6.674484, 77e-6}};
  const auto c = TestConsistency(g);
  ASSERT_TRUE(c.has_value());
  EXPECT_NEAR(c->chi_squared, 198.0, 0.5);  // as printed
  EXPECT_NEAR(c->chi_squared, 197.8398503, 1e-5);
  EXPECT_NEAR(c->mean, 6.674289838, 1e-8);
  EXPECT_NEAR(c->mean_u, 3.758270097e-05, 1e-12);
  EXPECT_NEAR(c->birge_ratio, 3.631710803, 1e-8);
  EXPECT_NEAR(c->p, 5.834844e-34, 1e-38);
  EXPECT_FALSE(c->Explained());
}

}  // namespace
}  // namespace masseter
