// What `export` writes is read again: by its own metadata, by `import`, and by
// pandas where it is installed.
#include <charconv>
#include <cmath>
#include <regex>
#include <sstream>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

class Export : public testing::Test {
 protected:
  void SetUp() override {
    book_ = CalibratedBook(folder_);
    const Said imported = Import(book_, Example("capture.csv"));
    ASSERT_EQ(imported.exit, 0) << imported.err;
  }

  static Said Import(const std::string& book, const std::string& capture) {
    return Masseter({"import", book, capture, "--roster", Example("roster.csv"),
                     "--marks", Example("marks.csv")});
  }

  Folder folder_;
  std::string book_;
  std::string out_ = folder_ / "csv";
};

// The example has no quoted cell, so a comma is a border.
std::vector<std::string> Cells(const std::string& line) {
  std::vector<std::string> cells(1);
  for (const char c : line) {
    if (c == ',') {
      cells.emplace_back();
    } else {
      cells.back() += c;
    }
  }
  return cells;
}

// Whatever the locale.
double Number(const std::string& text) {
  double value = NAN;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

// The forms of W3C's "Metadata Vocabulary for Tabular Data", section 5.11.1
// (built-in datatypes, after XML Schema), as far as `export` uses them.
std::regex FormOf(const std::string& datatype) {
  if (datatype == "integer") return std::regex("-?[0-9]+");
  if (datatype == "double") {
    return std::regex("-?[0-9]+([.][0-9]+)?(e[+-][0-9]+)?");
  }
  if (datatype == "boolean") return std::regex("true|false");
  if (datatype == "datetime") {
    return std::regex(
        "[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}[.][0-9]{3}Z");
  }
  return std::regex(".*");
}

// Reads a table as its metadata says; "" or the first thing that does not fit.
std::string Misfit(const std::string& folder, const nlohmann::json& table) {
  std::istringstream in(
      FileText(folder + "/" + table["url"].get<std::string>()));
  std::string line;
  for (int i = 0; i < table["dialect"]["skipRows"]; ++i) {
    std::getline(in, line);
    if (line.rfind("# ", 0) != 0) return "not a comment: " + line;
  }
  std::getline(in, line);
  const auto& columns = table["tableSchema"]["columns"];
  const auto titles = Cells(line);
  if (titles.size() != columns.size()) return "header: " + line;
  std::vector<std::regex> forms;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    if (columns[c]["titles"] != titles[c]) return "title " + titles[c];
    forms.push_back(FormOf(columns[c]["datatype"]));
  }
  while (std::getline(in, line)) {
    const auto cells = Cells(line);
    if (cells.size() != forms.size()) return "cells: " + line;
    for (std::size_t c = 0; c < cells.size(); ++c) {
      if (cells[c].empty() || std::regex_match(cells[c], forms[c])) continue;
      return titles[c] + ": " + cells[c];
    }
  }
  return "";
}

TEST_F(Export, IsReadAsItsMetadataSays) {
  const Said said = Masseter({"export", book_, "-o", out_, "--raw", "--json"});
  ASSERT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(said.Json()["files"].size(), 4U);
  const auto metadata =
      nlohmann::json::parse(FileText(out_ + "/csv-metadata.json"));
  EXPECT_EQ(metadata["@context"], "http://www.w3.org/ns/csvw");
  ASSERT_EQ(metadata["tables"].size(), 3U);
  for (const auto& table : metadata["tables"]) {
    EXPECT_EQ(Misfit(out_, table), "") << table["url"];
  }
}

TEST_F(Export, GivesTheSameBitesWhenItsRawSamplesAreImported) {
  ASSERT_EQ(Masseter({"export", book_, "-o", out_, "--raw"}).exit, 0);
  const std::string again = CalibratedBook(folder_, "again.book");
  const Said imported = Import(again, out_ + "/raw-1.csv");
  ASSERT_EQ(imported.exit, 0) << imported.err;
  EXPECT_GT(BitesOf(book_).size(), 1U);
  EXPECT_EQ(Difference(BitesOf(book_), BitesOf(again)), "");
}

// The figures of a bite use the zeros before and after it, the samples the one
// that was followed: the peaks agree within the bite's own uncertainty.
TEST_F(Export, HasTheForcesOfTheBites) {
  const std::string book = SimulatedDay(folder_);
  ASSERT_EQ(Masseter({"import", book, Simulated(folder_, "capture.csv")}).exit,
            0);
  ASSERT_EQ(Masseter({"export", book, "-o", out_}).exit, 0);
  std::istringstream in(FileText(out_ + "/samples-1.csv"));
  std::vector<std::pair<double, double>> force;  // time, newtons
  for (std::string line; std::getline(in, line);) {
    if (std::isdigit(static_cast<unsigned char>(line[0])) == 0) continue;
    const auto cells = Cells(line);
    force.emplace_back(Number(cells[1]), Number(cells.back()));
  }
  const Said said = Masseter({"bites", book, "--json"});
  int compared = 0;
  const nlohmann::json bites = said.Json()["bites"];
  for (const auto& bite : bites) {
    if (bite["verdict"] != "sound") continue;
    double highest = 0.0;
    for (const auto& [t_s, force_n] : force) {
      if (t_s < bite["start_s"] || t_s > bite["end_s"]) continue;
      highest = std::max(highest, force_n);
    }
    EXPECT_NEAR(highest, bite["peak_n"].get<double>(),
                bite["peak_u95_n"].get<double>());
    ++compared;
  }
  EXPECT_GT(compared, 3);
}

TEST_F(Export, WritesTheBitesAloneIntoAFile) {
  const std::string file = folder_ / "bites.csv";
  for (int i = 0; i < 2; ++i) {  // the second writes over the first
    const Said said = Masseter({"export", book_, "-o", file});
    ASSERT_EQ(said.exit, 0) << said.err;
  }
  const auto metadata =
      nlohmann::json::parse(FileText(file + "-metadata.json"));
  EXPECT_EQ(Misfit(folder_ / "", metadata["tables"][0]), "");
}

TEST_F(Export, RefusesAndLeavesNothing) {
  const auto before = folder_.Names();
  const auto refuses = [&](std::vector<std::string> more,
                           const std::string& word) {
    more.insert(more.begin(), {"export", book_});
    const Said said = Masseter(more);
    EXPECT_EQ(said.exit, 2) << said.err;
    EXPECT_NE(said.err.find(word), std::string::npos) << said.err;
    EXPECT_EQ(std::count(said.err.begin(), said.err.end(), '\n'), 1);
  };
  refuses({"-o", folder_ / "no/such"}, "no/such");
  refuses({"-o", out_, "--capture", "7"}, "there is no recording 7");
  refuses({"-o", folder_ / ""}, "exists already");
  refuses({"-o", book_}, "exists already");
  refuses({"-o", folder_ / "a.csv", "--raw"}, "--raw");
  // A limit on a file's size stands in for a full disk.
  const Said full =
      Process("/bin/bash", {"-c", "ulimit -f 300; exec \"$@\"", "bash",
                            MASSETER_PROGRAM, "export", book_, "-o", out_})
          .Wait();
  EXPECT_EQ(full.exit, 4) << full.err;
  EXPECT_NE(full.err.find("writing failed"), std::string::npos) << full.err;
  EXPECT_EQ(folder_.Names(), before);
}

// pandas as a reader that knows nothing of us but the metadata.
TEST_F(Export, IsReadByPandas) {
  if (Process("/usr/bin/env", {"python3", "-c", "import pandas"}).Wait().exit !=
      0) {
    GTEST_SKIP() << "pandas is not installed";
  }
  ASSERT_EQ(Masseter({"export", book_, "-o", out_}).exit, 0);
  const char* script = R"py(
import json, sys, pandas
kinds = {"integer": "Int64", "double": "float64", "string": "string",
         "boolean": "boolean"}
for t in json.load(open(sys.argv[1] + "/csv-metadata.json"))["tables"]:
    columns = t["tableSchema"]["columns"]
    times = [c["titles"] for c in columns if c["datatype"] == "datetime"]
    f = pandas.read_csv(sys.argv[1] + "/" + t["url"],
        skiprows=t["dialect"]["skipRows"], parse_dates=times,
        dtype={c["titles"]: kinds[c["datatype"]] for c in columns
               if c["titles"] not in times},
        float_precision="round_trip")
    print(t["url"], len(f))
)py";
  const Said said =
      Process("/usr/bin/env", {"python3", "-c", script, out_}).Wait();
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_NE(said.out.find("bites.csv 3"), std::string::npos) << said.out;
}

}  // namespace
}  // namespace masseter::integration
