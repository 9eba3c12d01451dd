// Tools of the reference tests: tables from data/, and digits of agreement.
#ifndef MASSETER_TESTS_REFERENCE_REFERENCE_H_
#define MASSETER_TESTS_REFERENCE_REFERENCE_H_

#include <gtest/gtest.h>

#include <charconv>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <map>
#include <span>
#include <string>
#include <vector>

namespace masseter::reference {

using Column = std::vector<double>;
using Table = std::map<std::string, Column>;

inline std::vector<std::string> Cells(const std::string& line) {
  std::vector<std::string> cells(1);
  for (const char c : line) {
    if (c == ',') {
      cells.emplace_back();
    } else if (c != '\r') {
      cells.back() += c;
    }
  }
  return cells;
}

// The columns of tests/reference/data/`name`, or of src/selftest/data/`name`,
// by their header. A cell that is not a number, or a missing file, fails the
// test.
inline Table ReadTable(const std::string& name) {
  std::ifstream in(MASSETER_SOURCE_DIR "/tests/reference/data/" + name);
  if (!in) in.open(MASSETER_SOURCE_DIR "/src/selftest/data/" + name);
  EXPECT_TRUE(in.good()) << name;
  std::string line;
  std::getline(in, line);
  const std::vector<std::string> names = Cells(line);
  Table table;
  while (std::getline(in, line)) {
    const std::vector<std::string> cells = Cells(line);
    EXPECT_EQ(cells.size(), names.size()) << name << ": " << line;
    for (std::size_t i = 0; i < cells.size() && i < names.size(); ++i) {
      double value = 0.0;
      const char* end = cells[i].data() + cells[i].size();
      const auto [stop, error] = std::from_chars(cells[i].data(), end, value);
      EXPECT_TRUE(error == std::errc() && stop == end) << name << ": " << line;
      table[names[i]].push_back(value);
    }
  }
  return table;
}

// Digits that agree: the log relative error of NIST's StRD, -log10 of the
// relative difference (of the absolute one where `certified` is 0). Certified
// values carry 15 digits, so 15 is the most that can be told.
inline double Digits(double value, double certified) {
  const double scale = certified == 0.0 ? 1.0 : std::fabs(certified);
  const double error = std::fabs(value - certified) / scale;
  if (!(error < 1.0)) return 0.0;
  return error == 0.0 ? 15.0 : std::fmin(15.0, -std::log10(error));
}

// The fewest digits of a set of values; printed on every run.
inline double WorstDigits(const std::string& what,
                          std::span<const double> values,
                          std::span<const double> certified) {
  EXPECT_EQ(values.size(), certified.size()) << what;
  double worst = 15.0;
  for (std::size_t i = 0; i < values.size() && i < certified.size(); ++i) {
    worst = std::fmin(worst, Digits(values[i], certified[i]));
  }
  const int tenths = static_cast<int>(std::floor(worst * 10.0));
  std::printf("  %-46s %2d.%d digits\n", what.c_str(), tenths / 10,
              tenths % 10);
  return worst;
}

inline double WorstDigits(const std::string& what, double value,
                          double certified) {
  return WorstDigits(what, std::span(&value, 1), std::span(&certified, 1));
}

}  // namespace masseter::reference

#endif  // MASSETER_TESTS_REFERENCE_REFERENCE_H_
