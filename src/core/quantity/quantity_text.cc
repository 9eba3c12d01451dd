#include "core/quantity/quantity_text.h"

#include <array>
#include <charconv>
#include <cmath>
#include <optional>

#include "core/base/text_fields.h"
#include "core/quantity/units.h"

namespace masseter {
namespace {

enum class Kind { kForce, kPressure, kArea, kMass, kNone };

struct Unit {
  Kind kind = Kind::kNone;
  double si = 0.0;
};

struct Spelling {
  std::string_view word;
  Kind kind;
  double si;
};

constexpr double kPsi = unit::kPoundPerSquareInch.si();
constexpr double kLbf = unit::kPoundForce.si();
constexpr double kKgf = unit::kKilogramForce.si();
constexpr double kKgfPerCm2 = unit::kKilogramForcePerSquareCentimetre.si();
constexpr double kIn2 = unit::kSquareInch.si();

// Words as Folded() leaves them: lower case, no blanks, powers as digits.
constexpr std::array<Spelling, 55> kSpellings = {{
    {"n", Kind::kForce, 1.0},
    {"newton", Kind::kForce, 1.0},
    {"newtons", Kind::kForce, 1.0},
    {"kn", Kind::kForce, 1000.0},
    {"kgf", Kind::kForce, kKgf},
    {"kp", Kind::kForce, kKgf},
    {"gf", Kind::kForce, kKgf / 1000.0},
    {"lbf", Kind::kForce, kLbf},
    {"lbsf", Kind::kForce, kLbf},
    {"poundforce", Kind::kForce, kLbf},
    {"poundsforce", Kind::kForce, kLbf},
    {"ozf", Kind::kForce, kLbf / 16.0},
    {"psi", Kind::kPressure, kPsi},
    {"lbf/in2", Kind::kPressure, kPsi},
    {"lb/in2", Kind::kPressure, kPsi},
    {"lbs/in2", Kind::kPressure, kPsi},
    {"poundspersquareinch", Kind::kPressure, kPsi},
    {"pa", Kind::kPressure, 1.0},
    {"n/m2", Kind::kPressure, 1.0},
    {"hpa", Kind::kPressure, 100.0},
    {"kpa", Kind::kPressure, 1000.0},
    {"n/mm2", Kind::kPressure, 1e6},
    {"n/cm2", Kind::kPressure, 1e4},
    {"bar", Kind::kPressure, 1e5},
    {"bars", Kind::kPressure, 1e5},
    {"mbar", Kind::kPressure, 100.0},
    {"atm", Kind::kPressure, unit::kAtmosphere.si()},
    {"kgf/cm2", Kind::kPressure, kKgfPerCm2},
    {"kg/cm2", Kind::kPressure, kKgfPerCm2},
    {"kp/cm2", Kind::kPressure, kKgfPerCm2},
    {"m2", Kind::kArea, 1.0},
    {"sqm", Kind::kArea, 1.0},
    {"cm2", Kind::kArea, 1e-4},
    {"sqcm", Kind::kArea, 1e-4},
    {"squarecm", Kind::kArea, 1e-4},
    {"squarecentimetre", Kind::kArea, 1e-4},
    {"squarecentimetres", Kind::kArea, 1e-4},
    {"mm2", Kind::kArea, 1e-6},
    {"sqmm", Kind::kArea, 1e-6},
    {"squaremm", Kind::kArea, 1e-6},
    {"squaremillimetre", Kind::kArea, 1e-6},
    {"squaremillimetres", Kind::kArea, 1e-6},
    {"in2", Kind::kArea, kIn2},
    {"sqin", Kind::kArea, kIn2},
    {"squareinch", Kind::kArea, kIn2},
    {"squareinches", Kind::kArea, kIn2},
    {"inch2", Kind::kArea, kIn2},
    {"ft2", Kind::kArea, unit::kSquareFoot.si()},
    {"kg", Kind::kMass, 0.0},
    {"g", Kind::kMass, 0.0},
    {"kilo", Kind::kMass, 0.0},
    {"kilos", Kind::kMass, 0.0},
    {"lb", Kind::kMass, 0.0},
    {"lbs", Kind::kMass, 0.0},
    {"pounds", Kind::kMass, 0.0},
}};

std::string Replaced(std::string text, std::string_view from,
                     std::string_view to) {
  for (std::size_t at = text.find(from); at != std::string::npos;
       at = text.find(from, at + to.size())) {
    text.replace(at, from.size(), to);
  }
  return text;
}

std::string Folded(std::string_view word) {
  std::string out = Replaced(std::string(word), "²", "2");
  out = Replaced(std::move(out), "^2", "2");
  std::string packed;
  for (const char c : out) {
    if (c == ' ' || c == '.' || c == '-') continue;
    packed += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  return packed;
}

std::optional<Unit> FindSpelling(std::string_view word) {
  if (word == "MPa") return Unit{Kind::kPressure, 1e6};
  const std::string folded = Folded(word);
  for (const Spelling& s : kSpellings) {
    if (s.word == folded) return Unit{s.kind, s.si};
  }
  return std::nullopt;
}

std::string KindWord(Kind kind) {
  switch (kind) {
    case Kind::kForce:
      return "force";
    case Kind::kPressure:
      return "pressure";
    case Kind::kArea:
      return "area";
    case Kind::kMass:
      return "mass";
    case Kind::kNone:
      break;
  }
  return "number";
}

std::string A(Kind kind) {
  return (kind == Kind::kArea ? "an " : "a ") + KindWord(kind);
}

std::string UnitsOf(Kind kind) {
  if (kind == Kind::kForce) return "N, kgf or lbf";
  if (kind == Kind::kPressure) return "psi, kPa, MPa, bar or kgf/cm2";
  return "mm2, cm2 or in2";
}

std::string Quoted(std::string_view text) {
  return "\"" + std::string(text) + "\"";
}

// Takes a number from the front of `rest`.
std::optional<double> TakeNumber(std::string_view& rest) {
  double value = 0.0;
  std::string_view from = rest;
  if (!from.empty() && from.front() == '+') from.remove_prefix(1);
  const auto [end, error] =
      std::from_chars(from.data(), from.data() + from.size(), value);
  if (error != std::errc()) return std::nullopt;
  auto taken = static_cast<std::size_t>(end - from.data());
  // In "1..3" the first point belongs to the range.
  if (from[taken - 1] == '.' && from.substr(taken).starts_with('.')) --taken;
  rest = from.substr(taken);
  return value;
}

struct Ends {
  std::string_view first_unit;
  std::optional<std::string_view> second;  // text behind the range's sign
  bool plus_minus = false;
};

bool BeginsNumber(std::string_view text) {
  const std::string_view t = Trim(text);
  return !t.empty() && ((t.front() >= '0' && t.front() <= '9') ||
                        t.front() == '.' || t.front() == '-');
}

// Splits what follows the first number at the range's sign. A sign counts only
// where a number follows it ("pound-force" holds none).
Ends SplitRange(std::string_view rest) {
  struct Sign {
    std::string_view text;
    bool plus_minus;
  };
  constexpr std::array<Sign, 7> kSigns = {{{"±", true},
                                           {"+/-", true},
                                           {"–", false},
                                           {"—", false},
                                           {"..", false},
                                           {" to ", false},
                                           {"-", false}}};
  for (const Sign& sign : kSigns) {
    const std::size_t at = rest.find(sign.text);
    if (at == std::string_view::npos) continue;
    std::string_view behind = rest.substr(at + sign.text.size());
    while (sign.text == ".." && behind.starts_with('.')) {
      behind.remove_prefix(1);
    }
    if (!BeginsNumber(behind)) continue;
    return {Trim(rest.substr(0, at)), behind, sign.plus_minus};
  }
  return {Trim(rest), std::nullopt, false};
}

tl::unexpected<Error> NotANumber(const std::string& where, Kind kind,
                                 std::string_view text) {
  return BadInput(where, "is not " + A(kind) + ": " + Quoted(text) +
                             "; write a number and a unit (" + UnitsOf(kind) +
                             ")");
}

Expected<double> Factor(std::string_view word, Kind want,
                        const std::string& where) {
  if (word.empty()) {
    return BadInput(where,
                    "has no unit; " + A(want) + " is in " + UnitsOf(want));
  }
  if (Folded(word) == "mpa" && word != "MPa") {
    return BadInput(where, Quoted(word) +
                               " could be millipascal; write MPa for "
                               "megapascal");
  }
  const auto found = FindSpelling(word);
  if (!found) {
    return BadInput(where, "does not know the unit " + Quoted(word) + "; " +
                               A(want) + " is in " + UnitsOf(want));
  }
  if (found->kind == want) return found->si;
  return BadInput(where, Quoted(word) + " is a unit of " +
                             KindWord(found->kind) + ", not of " +
                             KindWord(want) + "; " + A(want) + " is in " +
                             UnitsOf(want));
}

Expected<RangeOf<double>> Read(std::string_view text, Kind kind,
                               const std::string& where) {
  const std::string_view all = Trim(text);
  if (all.empty()) return BadInput(where, "is empty");
  std::string_view rest = all;
  const auto first = TakeNumber(rest);
  if (!first) return NotANumber(where, kind, all);
  if (rest.starts_with(',')) {
    return BadInput(where, "has a comma in its number: " + Quoted(all) +
                               "; write 1.5 or 1500");
  }
  const Ends ends = SplitRange(rest);
  std::optional<double> second;
  std::string_view second_unit;
  if (ends.second) {
    std::string_view behind = Trim(*ends.second);
    second = TakeNumber(behind);
    if (!second) return NotANumber(where, kind, all);
    second_unit = Trim(behind);
  }
  const auto si2 =
      second ? Factor(second_unit.empty() ? ends.first_unit : second_unit, kind,
                      where)
             : Expected<double>(0.0);
  if (!si2) return tl::unexpected(si2.error());
  const auto si1 = second && ends.first_unit.empty()
                       ? si2
                       : Factor(ends.first_unit, kind, where);
  if (!si1) return tl::unexpected(si1.error());
  RangeOf<double> out{*first * *si1, *first * *si1};
  if (second && ends.plus_minus) {
    out = {*first * *si1 - *second * *si2, *first * *si1 + *second * *si2};
  } else if (second) {
    out.high = *second * *si2;
  }
  if (!std::isfinite(out.low) || !std::isfinite(out.high)) {
    return BadInput(where, "is not a finite number: " + Quoted(all));
  }
  if (out.low <= 0.0 || out.high <= 0.0) {
    return BadInput(where, A(kind) + " must be above zero, not " + Quoted(all));
  }
  if (out.low > out.high) {
    return BadInput(where,
                    "is a range with its larger end first: " + Quoted(all));
  }
  return out;
}

template <class Q>
Expected<RangeOf<Q>> ReadAs(std::string_view text, Kind kind,
                            const std::string& where) {
  const auto range = Read(text, kind, where);
  if (!range) return tl::unexpected(range.error());
  return RangeOf<Q>{Q(range->low), Q(range->high)};
}

}  // namespace

Expected<RangeOf<Pressure>> ReadPressure(std::string_view text,
                                         const std::string& where) {
  return ReadAs<Pressure>(text, Kind::kPressure, where);
}

Expected<RangeOf<Area>> ReadArea(std::string_view text,
                                 const std::string& where) {
  return ReadAs<Area>(text, Kind::kArea, where);
}

Expected<RangeOf<Force>> ReadForce(std::string_view text,
                                   const std::string& where) {
  return ReadAs<Force>(text, Kind::kForce, where);
}

}  // namespace masseter
