// The whole way of a calibration, from the text of a readings file to the
// curve, on NIST's certified load cell and straight line (StRD, linear
// regression, 15 digits). The readings carry no zero: they are fitted as given.
#include "core/metrology/calibration.h"

#include "selftest/certified_fits.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::ReadTable;
using reference::WorstDigits;

Rig OneCell() {
  Rig rig;
  rig.sample_rate_hz = 80.0;
  Channel channel;
  channel.name = "c1";
  channel.unit = SignalUnit::kVolt;
  rig.channels.push_back(channel);
  return rig;
}

std::string Shortest(double value) {
  char text[40];
  const auto [end, error] = std::to_chars(text, text + sizeof text, value);
  EXPECT_EQ(error, std::errc());
  return {text, end};
}

Expected<Calibration> CalibrateTable(const reference::Column& load,
                                     const reference::Column& reading,
                                     CurveOrder order) {
  std::string text = "force_n,c1\n";
  for (std::size_t i = 0; i < load.size(); ++i) {
    text += Shortest(load[i]) + "," + Shortest(reading[i]) + "\n";
  }
  const Rig rig = OneCell();
  const auto table = ParseReadings(text, "nist", rig);
  if (!table) return tl::unexpected(table.error());
  CalibrateOptions options;
  options.curve = order;
  options.zero = false;
  return Calibrate(rig, *table, options, "nist");
}

void ExpectCertified(const std::string& name, const CalibrationCurve& curve) {
  const selftest::CertifiedFit& set = selftest::CertifiedFitOf(name);
  EXPECT_GE(WorstDigits(name + ", calibrated: b", curve.b, set.coeffs), 9.0);
  EXPECT_GE(
      WorstDigits(name + ", calibrated: se", curve.se, set.standard_errors),
      8.0);
  EXPECT_GE(WorstDigits(name + ", calibrated: sd", curve.residual_sd,
                        set.residual_sd),
            8.0);
}

TEST(CertifiedCalibration, PontiusComesOutOfCalibrate) {
  const auto t = ReadTable("nist_pontius.csv");
  const auto c = CalibrateTable(t.at("x_load"), t.at("y_deflection"),
                                CurveOrder::kQuadratic);
  ASSERT_TRUE(c) << c.error().Text();
  ASSERT_TRUE(c->curve.has_value());
  ExpectCertified("Pontius", *c->curve);
  // NIST/SEMATECH e-Handbook 4.6.1.8: a deflection of 1.239722 is a load of
  // 1 705 106; in full, by 120-digit arithmetic, 1705105.5688517254.
  EXPECT_NEAR(c->estimator.Force(std::vector<double>{1.239722}),
              1705105.5688517254, 1e-3);
}

TEST(CertifiedCalibration, PontiusIsNotTakenForAStraightLine) {
  const auto t = ReadTable("nist_pontius.csv");
  const auto c =
      CalibrateTable(t.at("x_load"), t.at("y_deflection"), CurveOrder::kAuto);
  ASSERT_TRUE(c) << c.error().Text();
  // The handbook's own choice: lack of fit refuses the line (F = 214.7), the
  // quadratic stands (F = 0.81).
  EXPECT_EQ(c->curve->b.size(), 3U);
}

TEST(CertifiedCalibration, NorrisComesOutOfCalibrate) {
  const auto t = ReadTable("nist_norris.csv");
  const auto c = CalibrateTable(t.at("x"), t.at("y"), CurveOrder::kLinear);
  ASSERT_TRUE(c) << c.error().Text();
  ExpectCertified("Norris", *c->curve);
}

}  // namespace
}  // namespace masseter
