// Days of the calendar as text: "2026-05-16", proleptic Gregorian, UTC.
#ifndef MASSETER_APP_CALENDAR_DAY_H_
#define MASSETER_APP_CALENDAR_DAY_H_

#include <chrono>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>

namespace masseter {

// Noon of the day, seconds since the Unix epoch; nullopt unless the text is
// YYYY-MM-DD and names a day.
inline std::optional<double> ParseDay(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return {};
  int part[3] = {0, 0, 0};
  int k = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (i == 4 || i == 7) {
      ++k;
      continue;
    }
    if (text[i] < '0' || text[i] > '9') return {};
    part[k] = 10 * part[k] + (text[i] - '0');
  }
  const std::chrono::year_month_day day{
      std::chrono::year(part[0]),
      std::chrono::month(static_cast<unsigned>(part[1])),
      std::chrono::day(static_cast<unsigned>(part[2]))};
  if (!day.ok()) return {};
  const auto days = std::chrono::sys_days(day).time_since_epoch().count();
  return 86400.0 * static_cast<double>(days) + 43200.0;
}

// The day (UTC) of a moment.
inline std::string DayText(double unix_s) {
  const auto days =
      std::chrono::days(static_cast<int>(std::floor(unix_s / 86400.0)));
  const std::chrono::year_month_day day{std::chrono::sys_days(days)};
  const auto two = [](unsigned n) {
    return std::string(n < 10 ? "0" : "") + std::to_string(n);
  };
  return std::to_string(static_cast<int>(day.year())) + "-" +
         two(static_cast<unsigned>(day.month())) + "-" +
         two(static_cast<unsigned>(day.day()));
}

}  // namespace masseter

#endif  // MASSETER_APP_CALENDAR_DAY_H_
