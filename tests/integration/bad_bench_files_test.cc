// Benches on which something went wrong, through the built program: each gets
// a refusal or a warning that says what to do. The example's own readings,
// spoiled.
#include <gmock/gmock.h>

#include <functional>
#include <sstream>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

using ::testing::HasSubstr;

using Row = std::vector<std::string>;
enum Cell { kSeries, kDirection, kMass, kX, kY, kTemp, kTime, kC1 };

class BadBenchFile : public ::testing::Test {
 protected:
  BadBenchFile() {
    std::istringstream text(FileText(Example("readings.csv")));
    std::string line;
    std::getline(text, header_);
    while (std::getline(text, line)) {
      Row row;
      std::istringstream cells(line);
      for (std::string cell; std::getline(cells, cell, ',');) {
        row.push_back(cell);
      }
      rows_.push_back(std::move(row));
    }
    book_ = folder_ / "day.book";
    EXPECT_EQ(Masseter({"new", book_, "--rig", Example("rig.toml")}).exit, 0);
  }
  Said Calibrate() {
    std::string text = header_ + "\n";
    for (const Row& row : rows_) {
      for (std::size_t i = 0; i < row.size(); ++i) {
        text += (i > 0 ? "," : "") + row[i];
      }
      text += "\n";
    }
    return Masseter({"calibrate", book_, folder_.Write("r.csv", text),
                     "--gravity", "9.81225", "--json"});
  }
  void Keep(const std::function<bool(const Row&)>& keep) {
    std::erase_if(rows_, [&](const Row& row) { return !keep(row); });
  }
  // The text of a warning; the example itself warns of its range alone.
  std::string WarningOf(const std::string& code) {
    const Said said = Calibrate();
    EXPECT_EQ(said.exit, 0) << said.err;
    for (const auto& w : said.Json()["warnings"]) {
      if (w["code"] == code) return w["text"];
    }
    return "no " + code + ": " + said.Json()["warnings"].dump();
  }
  // The sentence of a refusal, after which nothing is stored.
  std::string Refusal() {
    const Said said = Calibrate();
    EXPECT_EQ(said.exit, 2) << said.out;
    EXPECT_EQ(Masseter({"calibrations", book_, "--json"})
                  .Json()["calibrations"]
                  .size(),
              0U);
    return said.err;
  }

  Folder folder_;
  std::string book_;
  std::string header_;
  std::vector<Row> rows_;
};

bool IsZero(const Row& row) { return row[kMass] == "0.0"; }

TEST_F(BadBenchFile, TheExampleWarnsOfItsRangeAlone) {
  const Said said = Calibrate();
  ASSERT_EQ(said.exit, 0) << said.err;
  ASSERT_EQ(said.Json()["warnings"].size(), 1U);
  EXPECT_EQ(said.Json()["warnings"][0]["code"], "range");
}

TEST_F(BadBenchFile, OnePlaceOnly) {
  Keep([](const Row& row) { return row[kX] == "0.0" && row[kY] == "0.0"; });
  EXPECT_THAT(WarningOf("few_positions"), HasSubstr("with 5 or more"));
}

TEST_F(BadBenchFile, TwoLoads) {
  Keep([](const Row& row) {
    return IsZero(row) || row[kMass] == "20.0" || row[kMass] == "60.0";
  });
  EXPECT_THAT(WarningOf("few_loads"), HasSubstr("five or more"));
}

TEST_F(BadBenchFile, AWeightTypedTenTimesTooLarge) {
  for (Row& row : rows_) {
    if (row[kMass] != "20.0") continue;
    row[kMass] = "200";
    break;
  }
  EXPECT_THAT(WarningOf("bad_rows"),
              HasSubstr("reads like a tenth of what is written"));
}

TEST_F(BadBenchFile, SwappedChannels) {
  for (Row& row : rows_) std::swap(row[kC1], row[kC1 + 1]);
  EXPECT_THAT(WarningOf("swapped"), HasSubstr("c1 and c2 exchanged; check"));
}

TEST_F(BadBenchFile, ADeadChannel) {
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    rows_[i][kC1 + 2] = std::to_string(1234 + i * 7 % 5);
  }
  EXPECT_THAT(WarningOf("dead"), HasSubstr("check its plug"));
  for (Row& row : rows_) row[kC1 + 2] = "1234";
  Folder other;
  book_ = other / "other.book";
  ASSERT_EQ(Masseter({"new", book_, "--rig", Example("rig.toml")}).exit, 0);
  EXPECT_THAT(Refusal(), HasSubstr("check its plug"));
}

TEST_F(BadBenchFile, KilogramsCalledNewtons) {
  header_.replace(header_.find("mass_kg"), 7, "force_n");
  EXPECT_THAT(WarningOf("unit"), HasSubstr("name the column mass_kg"));
}

TEST_F(BadBenchFile, NoZero) {
  Keep([](const Row& row) { return !IsZero(row); });
  EXPECT_THAT(Refusal(), HasSubstr("has no zero reading"));
}

TEST_F(BadBenchFile, NoZeroAtTheEndOfASeries) {
  rows_.pop_back();
  EXPECT_THAT(WarningOf("zeros"), HasSubstr("nothing on"));
}

TEST_F(BadBenchFile, RowsThatStandTwice) {
  rows_.insert(rows_.begin() + 40, rows_[39]);
  EXPECT_THAT(WarningOf("duplicates"), HasSubstr("line 42"));
}

}  // namespace
}  // namespace masseter::integration
