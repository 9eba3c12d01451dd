#include "report/figure_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace masseter {
namespace {

// Decimal exponent of `value` after rounding it to `digits` significant
// digits, so that 9.96 with two digits has exponent 1 (it prints as 10).
int RoundedExponent(double value, int digits) {
  const std::string text = fmt::format("{:.{}e}", std::abs(value), digits - 1);
  return std::atoi(text.c_str() + text.find('e') + 1);
}

bool Believable(std::optional<double> u) {
  return u.has_value() && std::isfinite(*u) && *u > 0.0;
}

// Decimals that leave `value` three significant digits, at least none.
int PlainDecimals(double value) {
  if (!std::isfinite(value) || value == 0.0) return 0;
  return std::clamp(2 - RoundedExponent(value, 3), 0, 6);
}

// Half the width of the peak's interval, however it is given.
std::optional<double> HalfWidth(const Bite& bite) {
  if (bite.peak_lo_n && bite.peak_hi_n) {
    return (*bite.peak_hi_n - *bite.peak_lo_n) / 2.0;
  }
  return bite.peak_u95_n;
}

std::string LowerBoundText(double bound, std::optional<double> u,
                           std::string_view unit) {
  const int decimals = Believable(u) ? std::min(UncertaintyDecimals(*u), 0)
                                     : std::min(PlainDecimals(bound), 0);
  const double step = std::pow(10.0, -decimals);
  return fmt::format(
      "≥ {} {}", FixedText(std::floor(bound / step) * step, decimals), unit);
}

// The peak in a unit of `newtons` newtons.
std::string PeakIn(const Bite& bite, double newtons, std::string_view unit) {
  const auto in = [newtons](double n) { return n / newtons; };
  const std::optional<double> half = HalfWidth(bite);
  const std::optional<double> u =
      half ? std::optional<double>(in(*half)) : std::nullopt;
  if (bite.at_least) return LowerBoundText(in(*PeakLow(bite)), u, unit);
  const double peak = in(*bite.peak_n);
  if (bite.peak_lo_n && bite.peak_hi_n && Believable(u)) {
    const int decimals = UncertaintyDecimals(*u);
    return fmt::format("{} {} ({} to {} {})", FixedText(peak, decimals), unit,
                       FixedText(in(*bite.peak_lo_n), decimals),
                       FixedText(in(*bite.peak_hi_n), decimals), unit);
  }
  return FigureText(peak, u, unit);
}

}  // namespace

int UncertaintyDecimals(double u) {
  return std::clamp(1 - RoundedExponent(u, 2), -18, 9);
}

std::string FixedText(double value, int decimals) {
  if (!std::isfinite(value)) return "?";
  if (decimals < 0) {
    const double step = std::pow(10.0, -decimals);
    value = std::round(value / step) * step;
    decimals = 0;
  }
  std::string text = fmt::format("{:.{}f}", value, decimals);
  const bool zero = text.find_first_not_of("-0.") == std::string::npos;
  if (zero && text.front() == '-') text.erase(0, 1);
  return text;
}

FigureParts SplitFigure(double value, std::optional<double> u) {
  if (!Believable(u)) return {FixedText(value, PlainDecimals(value)), "?"};
  const int decimals = UncertaintyDecimals(*u);
  return {FixedText(value, decimals), FixedText(*u, decimals)};
}

std::string FigureText(double value, std::optional<double> u,
                       std::string_view unit) {
  const FigureParts parts = SplitFigure(value, u);
  std::string text = parts.value + " ± " + parts.uncertainty;
  if (!unit.empty()) text.append(" ").append(unit);
  return text;
}

std::optional<double> PeakLow(const Bite& bite) {
  if (bite.verdict == Verdict::kVoid || !bite.peak_n) return std::nullopt;
  if (bite.peak_lo_n) return bite.peak_lo_n;
  if (bite.at_least) return bite.peak_n;
  return *bite.peak_n - bite.peak_u95_n.value_or(0.0);
}

std::optional<double> PeakHigh(const Bite& bite) {
  if (bite.verdict == Verdict::kVoid || !bite.peak_n || bite.at_least) {
    return std::nullopt;
  }
  if (bite.peak_hi_n) return bite.peak_hi_n;
  return *bite.peak_n + bite.peak_u95_n.value_or(0.0);
}

std::string PeakText(const Bite& bite) {
  if (!PeakLow(bite)) return "no figure";
  return PeakIn(bite, 1.0, "N");
}

std::string PeakKgfText(const Bite& bite) {
  if (!PeakLow(bite)) return "";
  return PeakIn(bite, kNewtonsPerKgf, "kgf");
}

std::string PercentText(double fraction) {
  if (!std::isfinite(fraction)) return "?";
  if (fraction == 0.0) return "0 %";
  const double percent = fraction * 100.0;
  return FixedText(percent, UncertaintyDecimals(std::abs(percent))) + " %";
}

std::string SecondsText(double seconds) {
  if (!std::isfinite(seconds)) return "?";
  if (std::abs(seconds) < 0.9995) return FixedText(seconds * 1e3, 0) + " ms";
  return FixedText(seconds, 2) + " s";
}

std::string ClockText(double seconds) {
  if (!std::isfinite(seconds)) return "?";
  const auto whole = static_cast<std::int64_t>(std::clamp(seconds, 0.0, 1e15));
  const std::int64_t h = whole / 3600;
  const std::int64_t m = whole / 60 % 60;
  const std::int64_t s = whole % 60;
  return h > 0 ? fmt::format("{}:{:02}:{:02}", h, m, s)
               : fmt::format("{}:{:02}", m, s);
}

std::string GroupedText(std::uint64_t count) {
  std::string text = fmt::format("{}", count);
  if (text.size() < 5) return text;
  for (std::size_t at = text.size() - 3;
       at > 0 && at<text.size(); at = at> 3 ? at - 3 : 0) {
    text.insert(at, "\u202f");
  }
  return text;
}

std::string CountText(std::size_t count, std::string_view noun,
                      std::string_view plural) {
  if (count == 1) return fmt::format("1 {}", noun);
  if (plural.empty()) return fmt::format("{} {}s", count, noun);
  return fmt::format("{} {}", count, plural);
}

std::string Typographic(std::string text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool minus = text[i] == '-' && i + 1 < text.size() &&
                       text[i + 1] >= '0' && text[i + 1] <= '9' &&
                       (i == 0 || text[i - 1] == ' ');
    out += minus ? std::string("−") : std::string(1, text[i]);
  }
  return out;
}

}  // namespace masseter
