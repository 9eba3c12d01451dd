// Channel class filters against ISO 6487, SAE J211-1 and SciPy.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "core/signal/channel_class_filter.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::ReadTable;

struct Coefficients {
  double cfc;
  double rate_hz;
  double a0;
  double b1;
  double b2;
};

void ExpectCoefficients(const Coefficients& c, ClassStandard standard) {
  const auto f = DesignChannelClass(c.cfc, c.rate_hz, standard);
  ASSERT_TRUE(f.has_value());
  EXPECT_NEAR(f->a0, c.a0, 1e-12 * c.a0) << c.cfc << " at " << c.rate_hz;
  EXPECT_NEAR(f->a1, 2.0 * c.a0, 2e-12 * c.a0);
  EXPECT_NEAR(f->a2, c.a0, 1e-12 * c.a0);
  EXPECT_NEAR(f->b1, c.b1, 1e-12);
  EXPECT_NEAR(f->b2, c.b2, 1e-12);
}

TEST(ChannelClass, CoefficientsOfIso6487) {
  // The annex's formulae computed in Python; wd = 2 pi CFC 1.25/0.6.
  const Coefficients cases[] = {
      {60, 1000, 0.0976310729378175, 0.9428090415820632, -0.33333333333333326},
      {60, 10000, 0.0014603163055277343, 1.8890330793945247,
       -0.8948743446166356},
      {180, 10000, 0.011857682643241163, 1.6692031429311927,
       -0.7166338735041574},
      {600, 10000, 0.0976310729378175, 0.9428090415820632,
       -0.33333333333333326},
      {1000, 10000, 0.22019470027295873, 0.3075663597922098,
       -0.18834516088404465},
      {1000, 20000, 0.07223087532575317, 1.109228792618427,
       -0.39815229392143964}};
  for (const auto& c : cases) ExpectCoefficients(c, ClassStandard::kIso6487);
}

TEST(ChannelClass, CoefficientsOfSaeJ211) {
  // The same formulae with wd = 2 pi CFC 2.0775; SciPy's butter agrees.
  const Coefficients cases[] = {
      {60, 1000, 0.09718462527936683, 0.9455740090617896, -0.33431251017925684},
      {60, 10000, 0.0014523674735534124, 1.8893432242215735,
       -0.8951526941157872},
      {180, 10000, 0.01179627109977845, 1.670117463267827, -0.7173025476669411},
      {600, 20000, 0.029806072039817035, 1.4557282139067511,
       -0.5749525020660193},
      {1000, 10000, 0.2192314172190018, 0.31189654499598496,
       -0.18882221387199213},
      {1000, 100000, 0.00389517447837703, 1.8158557276671319,
       -0.8314364255806401}};
  for (const auto& c : cases) ExpectCoefficients(c, ClassStandard::kSaeJ211);
}

double Decibels(double gain) { return 20.0 * std::log10(gain); }

TEST(ChannelClass, GainAgreesWithSciPyFreqz) {
  // SciPy 1.10.1 freqz, squared, J211 factor.
  struct Gain {
    double cfc;
    double rate_hz;
    double frequency_hz;
    double db;
  };
  const Gain cases[] = {{60, 1000, 6.0, -3.773418426056102e-05},
                        {60, 1000, 30.0, -0.023821480989606396},
                        {60, 1000, 60.0, -0.38687353033180394},
                        {60, 1000, 100.0, -2.8187525381949134},
                        {60, 1000, 124.65, -6.02059991327963},
                        {60, 10000, 100.0, -3.0084838202848014},
                        {180, 10000, 300.0, -2.9936034244254044},
                        {600, 20000, 600.0, -0.436952639478564},
                        {1000, 10000, 1666.6666666666667, -2.4470031538393746},
                        {1000, 100000, 1000.0, -0.4522691238974992}};
  for (const Gain& g : cases) {
    const auto f =
        DesignChannelClass(g.cfc, g.rate_hz, ClassStandard::kSaeJ211);
    ASSERT_TRUE(f.has_value());
    EXPECT_NEAR(Decibels(TwoPassGain(*f, g.frequency_hz)), g.db, 1e-9)
        << g.cfc << " at " << g.frequency_hz;
  }
}

TEST(ChannelClass, GainStaysInsideTheCorridor) {
  // From memory, not confirmed: SAE J211-1 figure 1 / ISO 6487 allow +-0.5 dB
  // below F_H, +0.5 to -1 dB at F_H = CFC, +0.5 to -4 dB at F_N, and at most
  // -30 dB (CFC 60, 180) or -40 dB (600, 1000) in the stop band. F_N (100,
  // 300, 1000, 1650 Hz) and the stop bands were read on a page of
  // documentation. Sampled at ten times CFC, J211's least, and at 100 times.
  const double classes[][3] = {
      {60, 100, -30}, {180, 300, -30}, {600, 1000, -40}, {1000, 1650, -40}};
  for (const auto standard :
       {ClassStandard::kIso6487, ClassStandard::kSaeJ211}) {
    for (const auto& [cfc, f_n, stop] : classes) {
      for (const double rate : {10.0 * cfc, 100.0 * cfc}) {
        const LowPass f = DesignChannelClass(cfc, rate, standard).value();
        for (double share = 0.01; share < 1.0; share += 0.01) {
          const double db = Decibels(TwoPassGain(f, share * cfc));
          ASSERT_LE(db, 0.5);
          ASSERT_GE(db, -0.5) << share * cfc << " Hz, CFC " << cfc;
        }
        EXPECT_GE(Decibels(TwoPassGain(f, cfc)), -1.0);
        EXPECT_LE(Decibels(TwoPassGain(f, cfc)), 0.5);
        EXPECT_GE(Decibels(TwoPassGain(f, f_n)), -4.0);
        EXPECT_LE(Decibels(TwoPassGain(f, f_n)), 0.5);
        EXPECT_LE(Decibels(TwoPassGain(f, 0.499 * rate)), stop);
      }
    }
  }
}

TEST(ChannelClass, PeakThatAHalfSineKeeps) {
  // SciPy 1.10.1 sosfiltfilt with the J211 factor: 1000 N for T at 10 kHz,
  // zeros around; the ends are far away.
  const double cases[][3] = {
      {60, 0.005, 702.3839358077255},   {60, 0.010, 950.7875265977821},
      {60, 0.020, 999.175743357733},    {60, 0.050, 999.9586264265243},
      {180, 0.005, 995.803657462386},   {180, 0.010, 999.6545851443827},
      {180, 0.020, 999.9803893774675},  {180, 0.050, 999.9994979654421},
      {600, 0.005, 999.9663731348777},  {600, 0.010, 999.9979052469882},
      {600, 0.020, 999.999869109979},   {600, 0.050, 999.9999966494466},
      {1000, 0.005, 999.9971434741426}, {1000, 0.010, 999.9998216408587},
      {1000, 0.020, 999.9999888553025}, {1000, 0.050, 999.9999997147156}};
  for (const auto& [cfc, width, peak] : cases) {
    std::vector<double> x(3000, 0.0);
    for (std::size_t n = 1000; n < x.size(); ++n) {
      const double t = (static_cast<double>(n) - 1000.0) / 10000.0;
      if (t <= width) x[n] = 1000.0 * std::sin(std::numbers::pi * t / width);
    }
    const auto f = DesignChannelClass(cfc, 10000, ClassStandard::kSaeJ211);
    FilterChannelClass(f.value(), x);
    EXPECT_NEAR(*std::max_element(x.begin(), x.end()), peak, 1e-6)
        << "CFC " << cfc << ", " << width << " s";
  }
}

}  // namespace
}  // namespace masseter
