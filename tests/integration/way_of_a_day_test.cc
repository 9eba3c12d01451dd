// From a rig file to a report, as the README tells it, on the example day.
#include <cmath>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

TEST(WayOfADay, GoesFromTheRigFileToTheReport) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const Said imported = Masseter({"import", book, Example("capture.csv"),
                                  "--roster", Example("roster.csv"), "--marks",
                                  Example("marks.csv"), "--json"});
  ASSERT_EQ(imported.exit, 0) << imported.err;

  // What really happened, as the simulated sleeve wrote it down.
  const auto truth = nlohmann::json::parse(FileText(Example("truth.json")));
  const Said listed = Masseter({"bites", book, "--json"});
  ASSERT_EQ(listed.exit, 0) << listed.err;
  const nlohmann::json bites = listed.Json()["bites"];
  ASSERT_EQ(bites.size(), truth["bites"].size());
  for (std::size_t i = 0; i < bites.size(); ++i) {
    const auto& is = bites[i];
    const auto& was = truth["bites"][i];
    EXPECT_EQ(is["dog"], was["dog"]);
    EXPECT_NEAR(is["start_s"].get<double>(), was["start_s"].get<double>(), 0.1);
    const double peak = was["peak_n"].get<double>();
    const double low =
        is.value("peak_lo_n",
                 is["peak_n"].get<double>() - is["peak_u95_n"].get<double>());
    const double high =
        is.value("peak_hi_n",
                 is["peak_n"].get<double>() + is["peak_u95_n"].get<double>());
    EXPECT_LE(low, peak) << is;
    if (!is["at_least"].get<bool>()) {
      EXPECT_GE(high, peak) << is;
    }
  }

  const nlohmann::json status = Masseter({"status", book, "--json"}).Json();
  EXPECT_EQ(status["captures"][0]["bites"], bites.size());
  EXPECT_EQ(status["captures"][0]["samples"], imported.Json()["samples"]);

  const std::string page = folder / "day.html";
  const Said reported = Masseter({"report", book, "-o", page, "--json"});
  ASSERT_EQ(reported.exit, 0) << reported.err;
  EXPECT_EQ(reported.Json()["bites"], bites.size());
  const std::string html = FileText(page);
  EXPECT_EQ(html.size(), reported.Json()["bytes"].get<std::size_t>());
  for (const auto& bite : bites) {
    EXPECT_NE(html.find(bite["dog"].get<std::string>()), std::string::npos);
  }
  EXPECT_EQ(html.find("src=\"http"), std::string::npos);
  EXPECT_NE(html.find("id=\"compared\""), std::string::npos);
  // One bite of each dog compares nothing, and the report says so.
  EXPECT_EQ(Masseter({"compare", book, "--json"}).Json()["pairs"].size(), 0U);
  EXPECT_NE(html.find("Too few dogs with two bites or more"),
            std::string::npos);
  // The same logbook, the same page; only the time of making may differ.
  const Said again = Masseter({"report", book, "-o", "-"});
  EXPECT_EQ(again.out.size(), html.size());
}

TEST(WayOfADay, ReportsALogbookWithoutACapture) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const Said reported = Masseter({"report", book, "-o", folder / "r.html"});
  EXPECT_EQ(reported.exit, 0) << reported.err;
  EXPECT_NE(FileText(folder / "r.html").find("Nothing was recorded"),
            std::string::npos);
}

TEST(WayOfADay, NeverWritesAReportOverTheLogbook) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const std::string before = FileText(book);
  EXPECT_EQ(Masseter({"report", book, "-o", book}).exit, 2);
  EXPECT_EQ(FileText(book), before);
}

TEST(SimulatedSleeve, WritesFilesThatTheOtherCommandsTake) {
  const Folder folder;
  const std::string dir = folder / "sim";
  const Said made = Masseter({"sim", "--files", dir, "--cells", "3", "--seed",
                              "5", "--no-faults", "--json"});
  ASSERT_EQ(made.exit, 0) << made.err;
  EXPECT_EQ(made.Json()["files"].size(), 6U);
  const std::string book = folder / "sim.book";
  EXPECT_EQ(Masseter({"new", book, "--rig", dir + "/rig.toml"}).exit, 0);
  EXPECT_EQ(Masseter({"calibrate", book, dir + "/readings.csv"}).exit, 0);
  const Said imported =
      Masseter({"import", book, dir + "/capture.csv", "--json"});
  EXPECT_EQ(imported.exit, 0) << imported.err;
  const auto truth = nlohmann::json::parse(FileText(dir + "/truth.json"));
  EXPECT_EQ(imported.Json()["bites"], truth["bites"].size());
  // What stands there stays there.
  EXPECT_EQ(Masseter({"sim", "--files", dir}).exit, 2);
  // The sink prints the very bytes of capture.csv.
  const Said printed = Masseter(
      {"sim", "--to", "-", "--cells", "3", "--seed", "5", "--no-faults"});
  EXPECT_EQ(printed.exit, 0) << printed.err;
  EXPECT_TRUE(printed.out == FileText(dir + "/capture.csv"));
}

TEST(Demo, ShowsItsDayOverASerialLineAndKeepsTheLogbook) {
  const Folder folder;
  const std::string book = folder / "demo.book";
  Process demo({"demo", "--listen", "127.0.0.1:0", "--speed", "15", "--book",
                book, "--once", "--json"});
  const Said said = demo.Wait();
  ASSERT_EQ(said.exit, 0) << said.err;
  EXPECT_NE(said.err.find("simulated"), std::string::npos);
  EXPECT_NE(said.err.find("/dev/pts/"), std::string::npos);
  const nlohmann::json bites =
      Masseter({"bites", book, "--json"}).Json()["bites"];
  ASSERT_GE(bites.size(), 17U);
  EXPECT_EQ(said.Json()["bites"], bites.size());
  for (const auto& bite : bites) EXPECT_NE(bite["dog"], "") << bite;
  // Taken as a name, an existing logbook is not touched.
  const std::string before = FileText(book);
  EXPECT_EQ(Masseter({"demo", "--book", book, "--once"}).exit, 2);
  EXPECT_EQ(FileText(book), before);
}

}  // namespace
}  // namespace masseter::integration
