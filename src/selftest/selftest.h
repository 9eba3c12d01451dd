// `selftest`: certified values and worked examples from outside, computed
// anew by this program on this machine, and how many digits agree.
//
// Digits are the log relative error of NIST's StRD: -log10 |value - expected|
// / |expected| (of the absolute difference where 0 is expected), 15 at most.
// For records whose values pass through zero the largest of the record stands
// below the line.
#ifndef MASSETER_SELFTEST_SELFTEST_H_
#define MASSETER_SELFTEST_SELFTEST_H_

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace masseter::selftest {

double Digits(double value, double expected);

// Values of one kind and the fewest digits that any of them must have.
struct CheckedLine {
  std::string what;
  std::vector<double> values;
  std::vector<double> expected;
  double demanded = 0.0;
  bool of_largest = false;  // relative to the line's largest expected value

  // Of the i-th value; 0 where a value is missing.
  double DigitsOf(std::size_t i) const;
  double Worst() const;  // 0 for a line without values
  bool Reached() const { return Worst() >= demanded; }
};

struct CheckedGroup {
  std::string title;
  std::string source;
  std::vector<CheckedLine> lines;
};

// All groups, always in the same order. Takes about a tenth of a second.
std::vector<CheckedGroup> RunSelftest();

// True when every line reached its digits.
bool Reached(std::span<const CheckedGroup> groups);

// docs/validation.md, whole: what was compared, with which source, digits
// demanded and agreed (whole digits, rounded down).
std::string ValidationPage(std::span<const CheckedGroup> groups);

}  // namespace masseter::selftest

#endif  // MASSETER_SELFTEST_SELFTEST_H_
