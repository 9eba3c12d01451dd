#include "core/metrology/weight_class.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <string>

namespace masseter {
namespace {

constexpr std::array<std::string_view, 5> kWords = {"F1", "F2", "M1", "M2",
                                                    "M3"};

struct Row {
  int nominal_g;
  std::array<double, 5> mg;  // F1, F2, M1, M2, M3
};

constexpr std::array<Row, 15> kRows = {
    {{1, {0.1, 0.3, 1.0, 3.0, 10}},
     {2, {0.12, 0.4, 1.2, 4.0, 12}},
     {5, {0.16, 0.5, 1.6, 5.0, 16}},
     {10, {0.2, 0.6, 2.0, 6.0, 20}},
     {20, {0.25, 0.8, 2.5, 8.0, 25}},
     {50, {0.3, 1.0, 3.0, 10, 30}},
     {100, {0.5, 1.6, 5.0, 16, 50}},
     {200, {1.0, 3.0, 10, 30, 100}},
     {500, {2.5, 8.0, 25, 80, 250}},
     {1000, {5.0, 16, 50, 160, 500}},
     {2000, {10, 30, 100, 300, 1000}},
     {5000, {25, 80, 250, 800, 2500}},
     {10000, {50, 160, 500, 1600, 5000}},
     {20000, {100, 300, 1000, 3000, 10000}},
     {50000, {250, 800, 2500, 8000, 25000}}}};

}  // namespace

std::string_view WeightClassWord(WeightClass weight_class) {
  return kWords[static_cast<std::size_t>(weight_class)];
}

std::optional<WeightClass> WeightClassOf(std::string_view word) {
  std::string upper(word);
  for (char& c : upper) {
    c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  }
  const auto it = std::find(kWords.begin(), kWords.end(), upper);
  if (it == kWords.end()) return std::nullopt;
  return static_cast<WeightClass>(it - kWords.begin());
}

std::optional<double> MaxPermissibleErrorMg(WeightClass weight_class,
                                            int nominal_g) {
  for (const Row& row : kRows) {
    if (row.nominal_g == nominal_g) {
      return row.mg[static_cast<std::size_t>(weight_class)];
    }
  }
  return std::nullopt;
}

double RelativeTolerance(WeightClass weight_class, double mass_kg) {
  const auto column = static_cast<std::size_t>(weight_class);
  double left_g = mass_kg * 1000.0;
  double error_mg = 0.0;
  for (auto row = kRows.rbegin(); row != kRows.rend(); ++row) {
    const double pieces = std::floor(left_g / row->nominal_g + 1e-9);
    error_mg += pieces * row->mg[column];
    left_g -= pieces * row->nominal_g;
  }
  if (left_g > 1e-6) error_mg += kRows.front().mg[column];
  return error_mg * 1e-6 / mass_kg;
}

}  // namespace masseter
