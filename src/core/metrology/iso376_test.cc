// ISO 376's quantities and classes. The table of limits is from memory; the
// calibration is synthetic, its figures computed with numpy 1.24.2 by the
// formulae of iso376.h.
#include "core/metrology/iso376.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <charconv>

#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;

// F, then X1, X2 (same placing), X3, X4, X5, X6.
constexpr double kX[10][7] = {
    {10, 0.200012, 0.200092, 0.200180, 0.200540, 0.199916, 0.200252},
    {20, 0.400031, 0.400071, 0.400295, 0.400919, 0.399887, 0.400487},
    {30, 0.600055, 0.600115, 0.600367, 0.601207, 0.599863, 0.600679},
    {40, 0.800071, 0.800091, 0.800551, 0.801547, 0.799759, 0.800719},
    {50, 1.000094, 1.000154, 1.000622, 1.001702, 0.999734, 1.000754},
    {60, 1.200108, 1.200208, 1.200828, 1.201884, 1.199676, 1.200684},
    {70, 1.400133, 1.400193, 1.400877, 1.401825, 1.399653, 1.400553},
    {80, 1.600149, 1.600229, 1.600989, 1.601721, 1.599573, 1.600269},
    {90, 1.800166, 1.800306, 1.801174, 1.801570, 1.799542, 1.799902},
    {100, 2.000190, 2.000310, 2.001270, 2.001270, 1.999470, 1.999470}};

std::string Exact(double value) {
  char text[40];
  const auto end = std::to_chars(text, text + sizeof text, value).ptr;
  return {text, end};
}

std::string SyntheticReadings() {
  std::string text = "series,direction,force_n,c1\n";
  const auto run = [&](const std::string& series, int column, bool up) {
    for (int i = 0; i < 10; ++i) {
      const double* row = kX[up ? i : 9 - i];
      text += series + (up ? ",up," : ",down,") + Exact(row[0]) + "," +
              Exact(row[column]) + "\n";
    }
  };
  const auto zero = [&](const std::string& series) {
    text += series + ",up,0,0\n";
  };
  zero("0");
  run("0", 1, true);
  run("0", 2, true);
  zero("0");
  zero("120");
  run("120", 3, true);
  run("120", 4, false);
  zero("120");
  zero("240");
  run("240", 5, true);
  run("240", 6, false);
  zero("240");
  return text;
}

Calibration Synthetic(const std::string& text) {
  const Rig rig = testing_plate::OneCellRig(SignalUnit::kVolt);
  const auto table = ParseReadings(text, "r.csv", rig);
  CalibrateOptions options;
  options.transducer_u95 = 5e-5;
  return Calibrate(rig, *table, options, "r.csv").value();
}

TEST(Iso376, FindsTheFiguresOfTheSyntheticCalibration) {
  // Per cent, as computed.
  const double b[] = {0.13197624427602356, 0.10198189821307203,
                      0.08398670210549145, 0.09898428624456054,
                      0.08878668199768924, 0.09598368277393192,
                      0.08741477238235192, 0.08848689287899754,
                      0.09065186019617227, 0.08998605216190497};
  const double b_prime[] = {0.03998960270329551,   0.009998725162537898,
                            0.00999858353399085,   0.0024997469006288113,
                            0.0059992560922394605, 0.008332236255558767,
                            0.004285215364207524,  0.004999409444750462,
                            0.007776758158376402,  0.005999250093733182};
  const double fc[] = {0.0011630568557395742,   0.0011928940629820784,
                       -0.00048166877306038755, -0.00023622604552851368,
                       -0.000945307937355767,   0.0011821486211346212,
                       5.782392803505648e-05,   -0.0008634739297561701,
                       0.0006708797902252176,   -0.00018656953290914727};
  const double v[] = {0.17395436765827557, 0.15296371088058283,
                      0.13797273971958277, 0.12222523526884822,
                      0.10498000248827064, 0.08598100399658522,
                      0.06598677300788874, 0.044616675206019266,
                      0.0209953753238599,  0.0};
  const Calibration c = Synthetic(SyntheticReadings());
  ASSERT_TRUE(c.iso376.has_value());
  ASSERT_EQ(c.iso376->levels.size(), 10U);
  for (std::size_t i = 0; i < 10; ++i) {
    const IsoLevel& level = c.iso376->levels[i];
    EXPECT_NEAR(100.0 * *level.b, b[i], 1e-7 * b[i]) << i;
    EXPECT_NEAR(100.0 * *level.b_prime, b_prime[i], 1e-7 * b_prime[i]) << i;
    EXPECT_NEAR(100.0 * *level.fc, fc[i], 1e-8) << i;
    EXPECT_NEAR(100.0 * *level.v, v[i], 1e-7 * v[i] + 1e-12) << i;
  }
  EXPECT_EQ(c.iso376->class_word, "0.5");
  EXPECT_THAT(c.iso376->class_reason, HasSubstr("120 and 240 degrees"));
}

TEST(Iso376, ClassesEveryForceOfTheSyntheticCalibration) {
  const Calibration c = Synthetic(SyntheticReadings());
  IsoCommon common;
  common.f0 = 0.014998500149985002e-2;
  common.c = 0.0279972002799778e-2;
  const std::string_view expected[] = {"1",   "1",   "0.5", "0.5", "0.5",
                                       "0.5", "0.5", "0.5", "0.5", "0.5"};
  for (std::size_t i = 0; i < 10; ++i) {
    EXPECT_EQ(ClassOfLevel(c.iso376->levels[i], common), expected[i]) << i;
  }
  // Each of the others can spoil it.
  IsoCommon spoilt = common;
  spoilt.reference_u95 = 0.0011;
  EXPECT_EQ(ClassOfLevel(c.iso376->levels[9], spoilt), "");
  spoilt = common;
  spoilt.f0 = 0.00051;
  EXPECT_EQ(ClassOfLevel(c.iso376->levels[9], spoilt), "2");
  spoilt = common;
  spoilt.resolution_n = 0.1;  // 100 N are 1000 steps
  EXPECT_EQ(ClassOfLevel(c.iso376->levels[9], spoilt), "1");
}

TEST(Iso376, SaysWhatItMissesForAClass) {
  const testing_plate::Plate plate;
  const Rig rig = testing_plate::FourCellRig(plate);
  const auto table =
      ParseReadings(testing_plate::Readings(plate, {}), "r.csv", rig);
  const auto c = Calibrate(rig, *table, {}, "r.csv");
  ASSERT_TRUE(c);
  EXPECT_FALSE(c->iso376->class_word.has_value());
  EXPECT_THAT(c->iso376->class_reason, HasSubstr("loaded at 9 places"));
  EXPECT_THAT(c->iso376->class_reason, HasSubstr("5 forces"));
  EXPECT_THAT(c->iso376->class_reason, HasSubstr("(b')"));
  EXPECT_EQ(c->iso376->place, (Place{0.0, 0.0}));
}

}  // namespace
}  // namespace masseter
