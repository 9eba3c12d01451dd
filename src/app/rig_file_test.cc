#include "app/rig_file.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace masseter {
namespace {

const std::string kGood = R"([rig]
name = "Sleeve"
sample_rate_hz = 500
safe_load_n = 3000
bandwidth_hz = 100
moving_mass_kg = 1.2
grip_thickness_mm = 60
cover = "jute"

[text]
separator = ";"
columns = ["seq", "t_us", "-", "c2", "c1", "supply_mv", "-"]

[[channel]]
name = "c1"
x_mm = -60
y_mm = 20.5
capacity_n = 2000
adc_bits = 24

[[channel]]
name = "c2"
adc_min = -10
adc_max = 1000
unit = "kgf"

[supply]
minimum_mv = 3100
)";

std::string ErrorOf(const std::string& text) {
  const auto rig = ParseRig(text, "rig.toml");
  return rig ? "no error" : rig.error().Text();
}

// `kGood` with the first `from` replaced.
std::string With(const std::string& from, const std::string& to) {
  std::string text = kGood;
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

TEST(RigFile, ReadsEveryKeyIntoSi) {
  const auto rig = ParseRig(kGood, "rig.toml");
  ASSERT_TRUE(rig) << rig.error().Text();
  EXPECT_EQ(rig->name, "Sleeve");
  EXPECT_EQ(rig->sample_rate_hz, 500.0);
  EXPECT_EQ(rig->safe_load->si(), 3000.0);
  EXPECT_EQ(rig->bandwidth_hz, 100.0);
  EXPECT_EQ(rig->moving_mass->si(), 1.2);
  EXPECT_NEAR(rig->grip_thickness->si(), 0.06, 1e-15);
  EXPECT_EQ(rig->cover, "jute");
  EXPECT_EQ(rig->text.separator, ';');
  ASSERT_EQ(rig->text.columns.size(), 7U);
  EXPECT_EQ(rig->text.columns[1].role, Role::kTimeUs);
  EXPECT_EQ(rig->text.columns[3], (ColumnRole{Role::kChannel, 1}));
  EXPECT_EQ(rig->text.columns[4], (ColumnRole{Role::kChannel, 0}));
  ASSERT_EQ(rig->channels.size(), 2U);
  EXPECT_NEAR(rig->channels[0].x->si(), -0.06, 1e-15);
  EXPECT_NEAR(rig->channels[0].y->si(), 0.0205, 1e-15);
  EXPECT_EQ(rig->channels[0].adc_max, 8388607.0);
  EXPECT_EQ(rig->channels[0].adc_min, -8388608.0);
  EXPECT_EQ(rig->channels[1].adc_max, 1000.0);
  EXPECT_EQ(rig->channels[1].unit, SignalUnit::kKilogramForce);
  EXPECT_FALSE(rig->HasPositions());
  EXPECT_EQ(rig->supply_minimum_mv, 3100.0);
}

TEST(RigFile, TheLeastIsANameARateAndAChannel) {
  const auto rig = ParseRig(
      "[rig]\nname='a'\nsample_rate_hz=80\n[[channel]]\nname='c'\n", "r");
  ASSERT_TRUE(rig) << rig.error().Text();
  ASSERT_EQ(rig->text.columns.size(), 1U);
  EXPECT_EQ(rig->text.columns[0].role, Role::kChannel);
  EXPECT_EQ(rig->text.separator, ',');
  EXPECT_EQ(rig->channels[0].unit, SignalUnit::kCount);
}

TEST(RigFile, NamesTheLineOfEveryMistake) {
  const std::pair<std::string, std::string> cases[] = {
      {With("cover =", "colour ="), "rig.toml:8: unknown key \"colour\""},
      {With("[supply]", "[suply]"), "rig.toml:27: unknown key \"suply\""},
      {With("= 500", "= -1"), "rig.toml:3: sample_rate_hz must be above zero"},
      {With("= 500", "= 2e6"), "rig.toml:3: sample_rate_hz must lie between"},
      {With("= 500", "= \"500\""), "rig.toml:3: sample_rate_hz must be a num"},
      {With("= 500", "= inf"), "rig.toml:3: sample_rate_hz must be a number"},
      {With("3000", "0"), "rig.toml:4: safe_load_n must be above zero"},
      {With("\"Sleeve\"", "\"\""), "rig.toml:2: [rig] needs a name"},
      {With("\"jute\"", "7"), "rig.toml:8: cover must be a text in quotes"},
      {With("\";\"", "\"|\""), "rig.toml:11: separator must be"},
      {With("\"t_us\"", "\"time\""), "rig.toml:12: unknown column \"time\""},
      {With("\"t_us\"", "\"seq\""), "rig.toml:12: the column \"seq\" is named"},
      {With("\"t_us\", \"-\"", "\"t_us\", \"t_ms\""),
       "rig.toml:12: two columns tell the time"},
      {With("\"c2\", ", ""), "rig.toml:12: columns does not name the channel"},
      {With("columns = [", "columns = [3, "),
       "rig.toml:12: columns must be a list of names"},
      {With("y_mm = 20.5\n", ""), "rig.toml:16: a channel's place needs both"},
      {With("adc_bits = 24", "adc_bits = 24.5"), "rig.toml:19: adc_bits must"},
      {With("adc_bits = 24", "adc_bits = 33"), "rig.toml:19: adc_bits must"},
      {With("adc_min = -10", "adc_min = 2000"), "adc_min and adc_max go"},
      {With("adc_min = -10\n", ""), "rig.toml:23: adc_min and adc_max go"},
      {With("adc_min = -10", "adc_bits = 12\nadc_min = -10"),
       "rig.toml:23: adc_bits or adc_min and adc_max"},
      {With("\"kgf\"", "\"kg\""), "rig.toml:25: unit must be count, N, kgf,"},
      {With("\"c2\"\nadc", "\"c1\"\nadc"), "rig.toml:22: two channels are"},
      {With("\"c2\"\nadc", "\"seq\"\nadc"), "rig.toml:22: \"seq\" is the name"},
      {With("\"c2\"\nadc", "\"c 2\"\nadc"), "rig.toml:22: a channel's name"},
      {With("[rig]", "[rig"), "rig.toml:1: not valid TOML"},
      {With("3100", "0"), "rig.toml:28: minimum_mv must be above zero"},
      {"", "the table [rig] is missing"},
      {"[rig]\nname='a'\nsample_rate_hz=80\n", "needs a [[channel]]"},
      {"[rig]\nname='a'\n[[channel]]\nname='c'\n", "needs sample_rate_hz"},
      {"rig = 3\n", "[rig] must be a table"},
  };
  for (const auto& [text, want] : cases) {
    EXPECT_NE(ErrorOf(text).find(want), std::string::npos)
        << "want " << want << "\ngot  " << ErrorOf(text);
  }
}

TEST(RigFile, SixteenChannelsAreTheMost) {
  std::string text = "[rig]\nname='a'\nsample_rate_hz=80\n";
  for (int i = 0; i < 16; ++i) {
    text += "[[channel]]\nname='c" + std::to_string(i) + "'\n";
  }
  EXPECT_EQ(ErrorOf(text), "no error");
  EXPECT_NE(ErrorOf(text + "[[channel]]\nname='d'\n").find("more than 16"),
            std::string::npos);
}

TEST(RigFile, NewtonsPerUnitAreThoseOfSp811) {
  EXPECT_EQ(NewtonsPerUnit(SignalUnit::kKilogramForce), 9.80665);
  EXPECT_EQ(NewtonsPerUnit(SignalUnit::kPoundForce), 4.4482216152605);
  EXPECT_FALSE(NewtonsPerUnit(SignalUnit::kVolt).has_value());
}

TEST(RigFile, TheRangeIsTheSafeLoadOrTheCellsTogether) {
  auto rig = ParseRig(kGood, "r");
  ASSERT_TRUE(rig);
  EXPECT_EQ(rig->FullRange()->si(), 3000.0);
  rig->safe_load.reset();
  EXPECT_FALSE(rig->FullRange().has_value());
  rig->channels[1].capacity = Force(500.0);
  EXPECT_EQ(rig->FullRange()->si(), 2500.0);
}

}  // namespace
}  // namespace masseter
