#include "report/svg_axis.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/figure_text.h"

namespace masseter::report {

double TickStep(double low, double high, int wanted) {
  const double raw = (high - low) / std::max(wanted, 1);
  if (!std::isfinite(raw) || raw <= 0.0) return 1.0;
  const double power = std::pow(10.0, std::floor(std::log10(raw)));
  const double lead = raw / power;
  if (lead < 1.5) return power;
  if (lead < 3.5) return 2.0 * power;
  if (lead < 7.5) return 5.0 * power;
  return 10.0 * power;
}

std::vector<double> Ticks(double low, double high, int wanted) {
  const double step = TickStep(low, high, wanted);
  std::vector<double> ticks;
  const double slack = 1e-9;
  const double first = std::ceil(low / step - slack);
  for (double k = first; k <= high / step + slack; k += 1.0) {
    ticks.push_back(k * step);
    if (ticks.size() > 100) break;
  }
  return ticks;
}

double NiceTop(double value, int wanted) {
  if (!std::isfinite(value) || value <= 0.0) return 1.0;
  const double step = TickStep(0.0, value, wanted);
  return std::ceil(value / step - 1e-9) * step;
}

std::string TickText(double value, double step) {
  const int decimals =
      std::clamp(-static_cast<int>(std::floor(std::log10(step) + 1e-9)), 0, 6);
  return Typographic(FixedText(value, decimals));
}

std::string Coordinate(double value) {
  std::string text = fmt::format("{:.2f}", std::isfinite(value) ? value : 0.0);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

}  // namespace masseter::report
