#include "selftest/selftest.h"

#include <algorithm>
#include <cmath>

#include "selftest/groups.h"

namespace masseter::selftest {
namespace {

double DigitsAt(double value, double expected, double scale) {
  const double error = std::fabs(value - expected) / scale;
  if (!(error < 1.0)) return 0.0;
  return error == 0.0 ? 15.0 : std::min(15.0, -std::log10(error));
}

}  // namespace

double Digits(double value, double expected) {
  return DigitsAt(value, expected, expected == 0.0 ? 1.0 : std::fabs(expected));
}

double CheckedLine::DigitsOf(std::size_t i) const {
  if (i >= values.size() || i >= expected.size()) return 0.0;
  if (!of_largest) return Digits(values[i], expected[i]);
  double largest = 0.0;
  for (const double e : expected) largest = std::max(largest, std::fabs(e));
  return DigitsAt(values[i], expected[i], largest > 0.0 ? largest : 1.0);
}

double CheckedLine::Worst() const {
  const std::size_t count = std::max(values.size(), expected.size());
  double worst = count == 0 ? 0.0 : 15.0;
  for (std::size_t i = 0; i < count; ++i) worst = std::min(worst, DigitsOf(i));
  return worst;
}

std::vector<CheckedGroup> RunSelftest() {
  Groups out;
  AddFits(out);
  AddGum(out);
  AddForce(out);
  AddSignal(out);
  AddAgreement(out);
  return out;
}

bool Reached(std::span<const CheckedGroup> groups) {
  return std::all_of(groups.begin(), groups.end(), [](const auto& group) {
    return std::all_of(group.lines.begin(), group.lines.end(),
                       [](const auto& line) { return line.Reached(); });
  });
}

}  // namespace masseter::selftest
