// The bench as a maker uses it: readings, check loads, taps, a reference.
#include <numbers>

#include "tests/integration/bench_device.h"
#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

constexpr double kGravity = 9.81225;
// OIML D 28 conventional air and weights.
double WeightForce(double kg) { return kg * kGravity * (1.0 - 1.2 / 8000.0); }

std::string NewBook(const Folder& folder) {
  const std::string book = folder / "day.book";
  EXPECT_EQ(Masseter({"new", book, "--rig", Example("rig.toml")}).exit, 0);
  return book;
}

// A program that asks, and the answers to it.
class Conversation {
 public:
  explicit Conversation(std::vector<std::string> words)
      : process_(std::move(words)) {}
  bool Hears(const std::string& text) const { return process_.Says(text); }
  void Says(const std::string& line) const {
    EXPECT_TRUE(process_.Write(line + "\n"));
  }
  void Interrupt() const { process_.Signal(SIGINT); }
  Said Ends() { return process_.Wait(30.0); }
  std::string heard() const { return process_.out(); }

 private:
  FedProcess process_;
};

std::vector<std::string> SmallPlan(const std::string& book,
                                   const BenchDevice& device,
                                   const std::string& csv) {
  return {"readings", book,      "--from",   device.source(),
          "--masses", "5,10,20", "--places", "0,0",
          "--series", "1",       "--window", "0.4",
          "--csv",    csv};
}

std::string Step(int k) { return "[" + std::to_string(k) + "/7] "; }

TEST(AtTheBench, ReadingsCheckAndStaleBitesFromOneSleeve) {
  const Folder folder;
  const std::string book = NewBook(folder);
  const std::string csv = folder / "readings.csv";
  BenchDevice device;
  {
    Conversation bench(SmallPlan(book, device, csv));
    const double masses[] = {0, 5, 10, 20, 10, 5, 0};
    for (int k = 1; k <= 7; ++k) {
      ASSERT_TRUE(bench.Hears(Step(k))) << bench.heard();
      device.Load(WeightForce(masses[k - 1]));
      bench.Says("");
    }
    const Said said = bench.Ends();
    EXPECT_EQ(said.exit, 0) << said.err;
    EXPECT_NE(said.out.find("The plan is done"), std::string::npos) << said.out;
  }
  const Said calibrated =
      Masseter({"calibrate", book, csv, "--gravity", "9.81225", "--json"});
  ASSERT_EQ(calibrated.exit, 0) << calibrated.err << FileText(csv);
  EXPECT_EQ(calibrated.Json()["rows"], 7);

  // A bite of 600 N before anything is checked.
  std::string capture;
  for (long i = 0; i < 3500; ++i) {
    const double t = static_cast<double>(i) / kBenchRate - 3.0;
    const double bite =
        t > 0.0 && t < 1.0 ? 600.0 * std::sin(std::numbers::pi * t) : 0.0;
    capture += BenchLine(i, bite);
  }
  const Said imported =
      Masseter({"import", book, folder.Write("c.csv", capture)});
  ASSERT_EQ(imported.exit, 0) << imported.err;
  const auto is_stale = [](const nlohmann::json& bite) {
    for (const auto& reason : bite["reasons"]) {
      if (reason["code"] == "stale") return true;
    }
    return false;
  };
  nlohmann::json bites = BitesOf(book);
  ASSERT_EQ(bites.size(), 1U);
  EXPECT_FALSE(is_stale(bites[0]));
  const double before = bites[0]["peak_u95_n"];

  const auto check = [&](double gain) {
    device.Load(0.0);
    device.Gain(gain);
    Conversation exchange({"check", book, "--mass", "10", "--from",
                           device.source(), "--window", "0.4"});
    EXPECT_TRUE(exchange.Hears("[1/3]")) << exchange.heard();
    exchange.Says("");
    EXPECT_TRUE(exchange.Hears("[2/3]")) << exchange.heard();
    device.Load(WeightForce(10.0));
    exchange.Says("");
    EXPECT_TRUE(exchange.Hears("[3/3]")) << exchange.heard();
    device.Load(0.0);
    exchange.Says("");
    return exchange.Ends();
  };
  // A tenth less than it read on the bench.
  const Said bad = check(45.0);
  EXPECT_EQ(bad.exit, 3) << bad.out << bad.err;
  EXPECT_NE(bad.out.find("OUT OF TOLERANCE"), std::string::npos);
  bites = BitesOf(book);
  ASSERT_TRUE(is_stale(bites[0]));
  EXPECT_EQ(bites[0]["verdict"], "doubtful");
  EXPECT_NEAR(double{bites[0]["peak_u95_n"]},
              std::hypot(before, 0.1 * double{bites[0]["peak_n"]}), 1.5);

  const Said good = check(50.0);
  EXPECT_EQ(good.exit, 0) << good.out << good.err;
  const Said list = Masseter({"check", book, "--json"});
  EXPECT_EQ(list.Json()["checks"].size(), 2U);
  EXPECT_EQ(list.Json()["stale_bites"], 1);
  // The bite lies before the failed check all the same.
  EXPECT_TRUE(is_stale(BitesOf(book)[0]));
}

TEST(AtTheBench, StopsAndGoesOnAndKeepsWhatIsStruckOut) {
  const Folder folder;
  const std::string book = NewBook(folder);
  const std::string csv = folder / "readings.csv";
  BenchDevice device;
  {
    Conversation bench(SmallPlan(book, device, csv));
    ASSERT_TRUE(bench.Hears(Step(1)));
    bench.Says("");
    ASSERT_TRUE(bench.Hears(Step(2)));
    device.Load(WeightForce(5.0) + 3.0);
    bench.Says("");
    ASSERT_TRUE(bench.Hears(Step(3)));
    bench.Says("strike 2 the weight leaned on the frame");
    ASSERT_TRUE(bench.Hears("Reading 2 is struck out")) << bench.heard();
    bench.Interrupt();
    const Said said = bench.Ends();
    EXPECT_EQ(said.exit, 0) << said.err;
    EXPECT_NE(said.out.find("1 of 7 readings"), std::string::npos) << said.out;
  }
  const Said refused = Masseter(
      {"readings", book, "--from", device.source(), "--masses", "5,10"});
  EXPECT_EQ(refused.exit, 2);
  EXPECT_NE(refused.err.find("--anew"), std::string::npos);
  {
    Conversation bench(
        {"readings", book, "--from", device.source(), "--window", "0.4"});
    ASSERT_TRUE(bench.Hears("Going on with bench session")) << bench.heard();
    ASSERT_TRUE(bench.Hears(Step(2))) << bench.heard();
    device.Load(WeightForce(5.0));
    bench.Says("");
    ASSERT_TRUE(bench.Hears(Step(3)));
    bench.Says("stop");
    EXPECT_EQ(bench.Ends().exit, 0);
  }
  const Said listed = Masseter({"readings", book, "--json", "--csv", csv});
  ASSERT_EQ(listed.exit, 0) << listed.err;
  const auto readings = listed.Json()["readings"];
  ASSERT_EQ(readings.size(), 3U);
  EXPECT_EQ(readings[1]["struck"], "the weight leaned on the frame");
  EXPECT_TRUE(readings[2]["struck"].is_null());
  EXPECT_NE(FileText(csv).find("# reading 2 struck out: the weight leaned"),
            std::string::npos);
}

TEST(AtTheBench, TapsTellTheRingAndEnterTheBudget) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  ASSERT_EQ(Masseter({"import", book, Example("capture.csv")}).exit, 0);
  const nlohmann::json before = BitesOf(book);
  std::string taps;
  for (long i = 0; i < 4000; ++i) {
    const double t = std::fmod(static_cast<double>(i) / kBenchRate, 1.0) - 0.3;
    const double wn = 2.0 * std::numbers::pi * 110.0;
    const double ring =
        t > 0.0 ? 900.0 * std::exp(-0.05 * wn * t) * std::sin(wn * t) : 0.0;
    taps += BenchLine(i, ring);
  }
  const std::string file = folder.Write("taps.csv", taps);
  const Said said = Masseter({"taps", book, file, "--json"});
  ASSERT_EQ(said.exit, 0) << said.err;
  const nlohmann::json j = said.Json();
  // exp(-0.05 wn t) sin(wn t): natural frequency wn sqrt(1 + 0.05^2).
  EXPECT_NEAR(double{j["natural_hz"]}, 110.0 * std::sqrt(1.0025), 0.5);
  EXPECT_NEAR(double{j["damping"]}, 0.05 / std::sqrt(1.0025), 0.005);
  EXPECT_EQ(j["taps"].size(), 8U);
  const auto with_rise =
      std::count_if(before.begin(), before.end(),
                    [](const auto& b) { return !b["rise_s"].is_null(); });
  EXPECT_EQ(j["bites"].size(), static_cast<std::size_t>(with_rise));
  EXPECT_GE(with_rise, 2);
  EXPECT_GT(double{j["amplitude"][3]["amplitude_error"]}, 0.2);  // 50 Hz
  const nlohmann::json after = BitesOf(book);
  for (std::size_t i = 0; i < after.size(); ++i) {
    EXPECT_EQ(after[i]["peak_n"], before[i]["peak_n"]);
    EXPECT_GT(double{after[i]["peak_u95_n"]}, double{before[i]["peak_u95_n"]});
  }
  const Said quiet =
      Masseter({"taps", book, folder.Write("no.csv", BenchLine(1, 0.0))});
  EXPECT_EQ(quiet.exit, 2);
}

TEST(AtTheBench, ReferenceInSeriesGivesReadingsThatCalibrateTakes) {
  const Folder folder;
  const std::string book = NewBook(folder);
  std::string sleeve;
  std::string reference = "t_ms,force\n";
  const auto hand = [](double t) {
    const double u = std::fmod(t, 8.0) - 1.5;
    return u > 0.0 && u < 5.5
               ? 400.0 * std::pow(std::sin(std::numbers::pi * u / 5.5), 2)
               : 0.0;
  };
  for (long i = 0; i < 17000; ++i) {
    sleeve += BenchLine(i, hand(static_cast<double>(i) / kBenchRate));
  }
  // Whole millinewtons, which no locale writes differently, 100 lines a second,
  // 0.25 s late.
  for (int i = 0; i < 3400; ++i) {
    const long mn = std::lround(1000.0 * hand(i / 100.0 - 0.25));
    reference += std::to_string(i * 10) + "," + std::to_string(mn) + "\n";
  }
  const std::string csv = folder / "readings.csv";
  const Said said = Masseter(
      {"readings", book, "--from", "file:" + folder.Write("s.csv", sleeve),
       "--reference", "file:" + folder.Write("r.csv", reference),
       "--reference-factor", "0.001", "--reference-columns", "t_ms,force",
       "--x", "0", "--y", "0", "--csv", csv, "--json"});
  ASSERT_EQ(said.exit, 0) << said.err;
  EXPECT_NEAR(double{said.Json()["lag_s"]}, 0.25, 0.003);
  const Said calibrated =
      Masseter({"calibrate", book, csv, "--gravity", "9.81", "--json"});
  ASSERT_EQ(calibrated.exit, 0) << calibrated.err;
  EXPECT_NEAR(double{calibrated.Json()["force_range_n"][1]}, 380.0, 25.0);
  const Said all = Masseter({"readings", book, "--references"});
  EXPECT_EQ(all.out, FileText(csv));
}

TEST(AtTheBench, ExampleCapturesAnswerAsTheirPageSays) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const std::string dir = std::string(MASSETER_SOURCE_DIR) + "/examples/bench/";
  const Said good =
      Masseter({"check", book, "--mass", "10", "--reading", dir + "check.csv"});
  EXPECT_EQ(good.exit, 0) << good.out << good.err;
  const Said bad = Masseter({"check", book, "--mass", "11", "--reading",
                             dir + "check.csv", "--json"});
  EXPECT_EQ(bad.exit, 3);
  EXPECT_EQ(bad.Json()["within"], false);
  EXPECT_NEAR(double{bad.Json()["difference_n"]}, -WeightForce(1.0), 1.0);
  const Said taps = Masseter({"taps", book, dir + "taps.csv", "--json"});
  ASSERT_EQ(taps.exit, 0) << taps.err;
  const nlohmann::json j = taps.Json();
  EXPECT_NEAR(double{j["natural_hz"]}, 118.0, 3.0 * double{j["natural_u_hz"]});
  EXPECT_NEAR(double{j["damping"]}, 0.045, 3.0 * double{j["damping_u"]});
}

TEST(AtTheBench, WrongCallsSayWhatToDo) {
  const Folder folder;
  const std::string book = NewBook(folder);
  const auto refused = [](std::vector<std::string> words,
                          const std::string& hint) {
    const Said said = Masseter(std::move(words));
    EXPECT_EQ(said.exit, 2) << said.out;
    EXPECT_NE(said.err.find(hint), std::string::npos) << said.err;
  };
  refused({"readings", book}, "--from");
  refused({"readings", book, "--from", "file:x.csv"}, "cannot wait");
  refused({"readings", book, "--from", "-"}, "answers");
  refused({"readings", book, "--from", "tcp:127.0.0.1:1", "--masses", "5,x"},
          "\"x\" is not a number");
  refused({"readings", book, "--from", "tcp:127.0.0.1:1", "--masses", "500"},
          "bear");
  refused({"check", book, "--mass", "10"}, "--from");
  refused({"check", book, "--mass", "10", "--reading", "x.csv"}, "calibrat");
  refused({"check", book, "--reading", "x.csv"}, "--mass");
  refused({"check", book, "--every", "soon"}, "30d");
  refused({"check", book, "--mass", "10", "--from", "tcp:127.0.0.1:1",
           "--tolerance", "few"},
          "2%");
  refused({"taps", book}, "capture");
}

TEST(AtTheBench, LimitsMakeOldCalibrationsStale) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  std::this_thread::sleep_for(std::chrono::milliseconds(1100));
  ASSERT_EQ(Masseter({"import", book, Example("capture.csv")}).exit, 0);
  const auto stale = [&] {
    return Masseter({"check", book, "--json"}).Json()["stale_bites"];
  };
  EXPECT_EQ(stale(), 0);
  ASSERT_EQ(Masseter({"check", book, "--valid-for", "1s"}).exit, 0);
  EXPECT_EQ(stale(), 3);
  ASSERT_EQ(Masseter({"check", book, "--valid-for", "30d"}).exit, 0);
  EXPECT_EQ(stale(), 0);
  ASSERT_EQ(Masseter({"check", book, "--every", "1s"}).exit, 0);
  EXPECT_EQ(stale(), 3);
  ASSERT_EQ(Masseter({"check", book, "--every", "0"}).exit, 0);
  EXPECT_EQ(stale(), 0);
}

}  // namespace
}  // namespace masseter::integration
