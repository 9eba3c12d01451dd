// `calibrate` and `calibrations` through the built program: certified digits,
// reference options, bad benches, history.
#include <array>
#include <cmath>

#include "selftest/certified_fits.h"
#include "tests/integration/program.h"
#include "tests/reference/reference.h"

namespace masseter::integration {
namespace {

using reference::Column;
using reference::ReadTable;
using reference::WorstDigits;

constexpr const char* kOneCell =
    "[rig]\nname = \"One cell\"\nsample_rate_hz = 80\n"
    "[text]\nseparator = \",\"\ncolumns = [\"t_ms\", \"c1\"]\n"
    "[[channel]]\nname = \"c1\"\nunit = \"V\"\n";

std::string Shortest(double value) {
  char text[40];
  return {text, std::to_chars(text, text + sizeof text, value).ptr};
}

Said CalibrateColumns(const Folder& folder, const Column& load,
                      const Column& reading, const std::string& curve) {
  std::string text = "force_n,c1\n";
  for (std::size_t i = 0; i < load.size(); ++i) {
    text += Shortest(load[i]) + "," + Shortest(reading[i]) + "\n";
  }
  const std::string book = folder / (curve + ".book");
  EXPECT_EQ(
      Masseter({"new", book, "--rig", folder.Write("rig.toml", kOneCell)}).exit,
      0);
  return Masseter({"calibrate", book, folder.Write("nist.csv", text), "--curve",
                   curve, "--no-zero", "--json"});
}

void ExpectCertified(const std::string& name, const Said& said) {
  const selftest::CertifiedFit& set = selftest::CertifiedFitOf(name);
  ASSERT_EQ(said.exit, 0) << said.err;
  const nlohmann::json curve = said.Json().at("curve");
  const auto got = curve.at("b").get<Column>();
  const auto errors = curve.at("se").get<Column>();
  const double residual_sd = curve.at("residual_sd").get<double>();
  EXPECT_GE(
      WorstDigits(name + " by the program: coefficients", got, set.coeffs),
      9.0);
  EXPECT_GE(WorstDigits(name + " by the program: standard errors", errors,
                        set.standard_errors),
            8.0);
  EXPECT_GE(WorstDigits(name + " by the program: residual sd", residual_sd,
                        set.residual_sd),
            8.0);
}

// NIST StRD, linear regression: certified values (15 digits).
TEST(CalibrateCommand, GivesTheCertifiedDigitsOfPontiusAndNorris) {
  const Folder folder;
  const auto pontius = ReadTable("nist_pontius.csv");
  ExpectCertified("Pontius",
                  CalibrateColumns(folder, pontius.at("x_load"),
                                   pontius.at("y_deflection"), "quadratic"));
  const auto norris = ReadTable("nist_norris.csv");
  ExpectCertified("Norris", CalibrateColumns(folder, norris.at("x"),
                                             norris.at("y"), "linear"));
}

TEST(SelftestCommand, ReachesItsDigitsHereAndWritesItsPage) {
  const Folder folder;
  const Said said =
      Masseter({"selftest", "--json", "--markdown", folder / "v.md"});
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(said.Json().at("reached"), true);
  EXPECT_EQ(FileText(folder / "v.md").rfind("# Validation", 0), 0U);
}

class Bench : public testing::Test {
 protected:
  Bench() {
    const Said made = Masseter({"new", book_, "--rig", Example("rig.toml")});
    EXPECT_EQ(made.exit, 0) << made.err;
  }
  Said Calibrate(const std::string& readings,
                 std::vector<std::string> more = {}) {
    std::vector<std::string> words = {"calibrate", book_,     readings,
                                      "--gravity", "9.81225", "--json"};
    words.insert(words.end(), more.begin(), more.end());
    return Masseter(words);
  }
  double Contribution(const nlohmann::json& answer, const std::string& term) {
    for (const auto& line : answer.at("reference_budget")) {
      if (line.at("term") == term) return line.at("contribution").get<double>();
    }
    return -1.0;
  }
  static bool Has(const nlohmann::json& answer, const std::string& code) {
    for (const auto& w : answer.at("warnings")) {
      if (w.at("code") == code) return true;
    }
    return false;
  }

  Folder folder_;
  std::string book_ = folder_ / "day.book";
};

TEST_F(Bench, AnswersEveryFieldOfItsRecord) {
  const Said said = Calibrate(Example("readings.csv"));
  ASSERT_EQ(said.exit, 0) << said.err;
  const nlohmann::json j = said.Json();
  for (const char* field : {"calibration",
                            "channels",
                            "estimator",
                            "rows",
                            "curve",
                            "relative",
                            "left_out_position_error",
                            "expanded_relative_u95",
                            "force_range_n",
                            "gravity_m_s2",
                            "class",
                            "class_reason",
                            "iso376",
                            "creep",
                            "reference_budget",
                            "channel_facts",
                            "temperature",
                            "position_map",
                            "single_factor",
                            "beyond_range_per_range",
                            "warnings"}) {
    EXPECT_TRUE(j.contains(field)) << field;
  }
  EXPECT_TRUE(j.at("class").is_null());
  EXPECT_EQ(j.at("curve").size(), j.at("channels").size());
  EXPECT_GT(j.at("single_factor").at("rms").get<double>(),
            j.at("left_out_position_error").at("rms").get<double>());
  for (const char* code : {"bad_rows", "duplicates", "dead", "swapped", "unit",
                           "few_loads", "temperature", "creep"}) {
    EXPECT_FALSE(Has(j, code)) << code;
  }
}

TEST_F(Bench, TakesTheReferenceIntoItsBudget) {
  const double root3 = std::sqrt(3.0);
  const auto plain = Calibrate(Example("readings.csv")).Json();
  const auto m1 =
      Calibrate(Example("readings.csv"), {"--weight-class", "M1"}).Json();
  const auto rough =
      Calibrate(Example("readings.csv"), {"--weight-u", "2%"}).Json();
  EXPECT_NEAR(Contribution(plain, "weights"), 5e-4 / root3, 1e-9);
  EXPECT_NEAR(Contribution(m1, "weights"), 5e-5 / root3, 1e-9);
  EXPECT_NEAR(Contribution(rough, "weights"), 0.02 / root3, 1e-9);
  EXPECT_GT(rough.at("expanded_relative_u95").get<double>(),
            1.96 * 0.02 / root3);
  const auto lever = Calibrate(Example("readings.csv"),
                               {"--lever", "5.00", "--lever-u", "0.01"})
                         .Json();
  EXPECT_NEAR(Contribution(lever, "lever"), 0.002 / root3, 1e-9);
  EXPECT_NEAR(lever.at("force_range_n").at(1).get<double>(),
              5.0 * plain.at("force_range_n").at(1).get<double>(), 1e-6);
}

TEST_F(Bench, RefusesReferencesThatMakeNoSense) {
  for (const auto& [option, value] :
       std::vector<std::array<std::string, 2>>{{"--weight-class", "E9"},
                                               {"--weight-u", "lots"},
                                               {"--weight-u", "80%"},
                                               {"--weight-density", "3"},
                                               {"--transducer-u", "-1"},
                                               {"--lever", "0"},
                                               {"--lever-u", "0.1"},
                                               {"--date", "16.05.2026"}}) {
    const Said said = Calibrate(Example("readings.csv"), {option, value});
    EXPECT_EQ(said.exit, 2) << option;
    EXPECT_EQ(said.out, "") << option;
    EXPECT_NE(said.err.find(option), std::string::npos) << said.err;
  }
  EXPECT_EQ(Masseter({"calibrations", book_, "--json"})
                .Json()
                .at("calibrations")
                .size(),
            0U);
}

// Readings of March 2020 and, evaluated afterwards, of June and of January:
// a capture that came in since goes with June's, whatever the order.
TEST_F(Bench, MeasuresCapturesAnewWithTheReadingsThatWereTakenLastBefore) {
  const auto calibration_of_bites = [&] {
    const Said said = Masseter({"bites", book_, "--json"});
    EXPECT_EQ(said.exit, 0) << said.err;
    return said.Json().at("bites").at(0).at("calibration").get<int>();
  };
  const auto calibrate = [&](const char* day) {
    ASSERT_EQ(Calibrate(Example("readings.csv"), {"--date", day}).exit, 0);
  };
  calibrate("2020-03-01");
  ASSERT_EQ(Masseter({"import", book_, Example("capture.csv")}).exit, 0);
  EXPECT_EQ(calibration_of_bites(), 1);
  calibrate("2020-06-01");
  EXPECT_EQ(calibration_of_bites(), 2);
  calibrate("2020-01-01");
  EXPECT_EQ(calibration_of_bites(), 2);
  EXPECT_EQ(
      Masseter({"certificate", book_, "--json"}).Json().at("performed_on"),
      "2020-06-01");
}

TEST_F(Bench, TellsItsHistory) {
  const std::string readings = FileText(Example("readings.csv"));
  ASSERT_EQ(Calibrate(Example("readings.csv"), {"--date", "2026-06-01"}).exit,
            0);
  ASSERT_EQ(Calibrate(Example("readings.csv"), {"--date", "2026-03-01"}).exit,
            0);
  const std::string picture = folder_ / "history.svg";
  const Said said = Masseter({"calibrations", book_, "--json", "-o", picture});
  ASSERT_EQ(said.exit, 0) << said.err;
  const nlohmann::json j = said.Json();
  EXPECT_EQ(j.at("calibrations").at(0).at("date"), "2026-03-01");
  ASSERT_EQ(j.at("steps").size(), 1U);
  EXPECT_EQ(j.at("steps").at(0).at("days"), 92.0);
  // The same readings: no change, and none that is more than its uncertainty.
  EXPECT_NEAR(j.at("steps").at(0).at("sleeve").at("change").get<double>(), 0.0,
              1e-12);
  EXPECT_FALSE(j.at("steps").at(0).at("sleeve").at("more_than_uncertainty"));
  EXPECT_EQ(FileText(picture).rfind("<svg", 0), 0U);
  const Said words = Masseter({"calibrations", book_});
  EXPECT_EQ(words.exit, 0);
  EXPECT_NE(words.out.find("2026-06-01"), std::string::npos);
}

}  // namespace
}  // namespace masseter::integration
