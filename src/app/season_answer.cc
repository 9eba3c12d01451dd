#include "app/season_answer.h"

#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <map>

#include "core/base/text_fields.h"
#include "report/significant.h"

namespace masseter {
namespace {

std::string Percent(double share) {
  return fmt::format("{}{} %", share > 0.0 ? "+" : "",
                     Significant(100.0 * share, 2));
}

std::string TrendWords(const SeasonTrend& t) {
  const std::string figure =
      fmt::format("{} a month (95 % interval {} to {})", Percent(t.per_month),
                  Percent(t.lo), Percent(t.hi));
  if (t.lo > 0.0) return "The force grows: " + figure + ".";
  if (t.hi < 0.0) return "The force falls: " + figure + ".";
  return "No trend can be told: " + figure + ".";
}

std::string FallWords(const SeasonDay& day, const std::string& name) {
  return fmt::format(
      "On {} the dog bit {} N where at least {} N was to be expected. Have the "
      "mouth looked at by a veterinarian before the next bite (a broken "
      "tooth, sore gums, a sore jaw or neck lower the force); training harder "
      "is not the answer.",
      name, Significant(day.force, 3), Significant(*day.expected_low, 3));
}

void AddWords(SeasonAnswer& a) {
  const Season& s = a.season;
  if (s.trend) {
    a.words.push_back(TrendWords(*s.trend));
  } else {
    a.words.push_back("A trend takes three days.");
  }
  if (s.trend && s.trend->hi < 0.0 && !s.latest_is_a_fall) {
    a.words.push_back(
        "A force that falls for months is worth a look into the mouth, too.");
  }
  if (s.latest_is_a_fall) {
    a.words.push_back(FallWords(s.days.back(), a.day_names.back()));
  }
  for (std::size_t i = 0; i + 1 < s.days.size(); ++i) {
    if (!s.days[i].fall) continue;
    a.words.push_back(fmt::format(
        "{} was a fall, too: {} N where at least {} N was to be expected.",
        a.day_names[i], Significant(s.days[i].force, 3),
        Significant(*s.days[i].expected_low, 3)));
  }
  if (s.days.size() <= 3) {
    a.words.push_back("A sudden fall can be told from the fourth day on.");
  }
}

Expected<std::vector<SeasonBite>> ReadBites(
    const StudyRows& rows, SeasonAnswer& a,
    std::map<double, std::string>& names) {
  const auto day = rows.Need("day");
  if (!day) return tl::unexpected(day.error());
  const auto dog = rows.Find("dog");
  if (!a.question.dog.empty() && !dog) {
    return BadInput(rows.file, "has no column \"dog\" to find --dog in");
  }
  auto figures = FiguresOf(rows, a.question.of, {*day}, true);
  if (!figures) return tl::unexpected(figures.error());
  a.figures = std::move(*figures);
  std::vector<SeasonBite> out;
  std::string seen;
  for (const StudyFigure& f : a.figures.figures) {
    const std::vector<std::string>& row = rows.rows[f.row];
    if (!a.question.dog.empty() && row[*dog] != a.question.dog) continue;
    if (a.question.dog.empty() && dog) {
      if (!out.empty() && row[*dog] != seen) {
        return BadInput("--dog", "is needed: there are several dogs (\"" +
                                     seen + "\", \"" + row[*dog] + "\")");
      }
      seen = row[*dog];
    }
    const auto at = ParseDay(row[*day]);
    if (!at) {
      return BadInput(
          rows.PlaceOf(f.row),
          "day is not a date such as 2026-05-16: \"" + row[*day] + "\"");
    }
    names[std::floor(*at)] = row[*day].substr(0, 10);
    out.push_back({std::floor(*at), f.value, f.at_least});
  }
  if (out.empty()) {
    return BadInput(
        rows.file, "holds no bite with a figure of \"" + a.question.dog + "\"");
  }
  return out;
}

nlohmann::ordered_json DayJson(const SeasonDay& d, const std::string& name) {
  nlohmann::ordered_json j = {{"day", name},
                              {"bites", d.bites},
                              {"at_least", d.at_least},
                              {"mean_n", d.force},
                              {"lo_n", nullptr},
                              {"hi_n", nullptr},
                              {"expected_n", nullptr},
                              {"expected_low_n", nullptr},
                              {"fall", d.fall}};
  if (d.hi > 0.0) {
    j["lo_n"] = d.lo;
    j["hi_n"] = d.hi;
  }
  if (d.expected) {
    j["expected_n"] = *d.expected;
    j["expected_low_n"] = *d.expected_low;
  }
  return j;
}

}  // namespace

std::optional<double> ParseDay(const std::string& text) {
  if (text.size() >= 10 && text[4] == '-' && text[7] == '-') {
    const auto y = ParseNumber(text.substr(0, 4));
    const auto m = ParseNumber(text.substr(5, 2));
    const auto d = ParseNumber(text.substr(8, 2));
    if (!y || !m || !d || *m < 1.0 || *d < 1.0) return std::nullopt;
    const std::chrono::year_month_day date(
        std::chrono::year(static_cast<int>(*y)),
        std::chrono::month(static_cast<unsigned>(*m)),
        std::chrono::day(static_cast<unsigned>(*d)));
    if (!date.ok()) return std::nullopt;
    return static_cast<double>(
        std::chrono::sys_days(date).time_since_epoch().count());
  }
  return ParseNumber(text);
}

Expected<SeasonAnswer> AnswerSeason(const SeasonQuestion& question) {
  SeasonAnswer a;
  a.question = question;
  const auto rows = ReadStudy(question.books, question.table);
  if (!rows) return tl::unexpected(rows.error());
  std::map<double, std::string> names;
  const auto bites = ReadBites(*rows, a, names);
  if (!bites) return tl::unexpected(bites.error());
  const auto season = AnalyseSeason(*bites);
  if (!season) return BadInput(rows->file, season.error().what);
  a.season = *season;
  for (const SeasonDay& d : a.season.days) a.day_names.push_back(names[d.day]);
  AddWords(a);
  return a;
}

nlohmann::ordered_json SeasonJson(const SeasonAnswer& a) {
  nlohmann::ordered_json j;
  j["dog"] = a.question.dog;
  j["of"] = a.figures.of;
  j["days"] = nlohmann::ordered_json::array();
  for (std::size_t i = 0; i < a.season.days.size(); ++i) {
    j["days"].push_back(DayJson(a.season.days[i], a.day_names[i]));
  }
  j["trend"] = nullptr;
  if (a.season.trend) {
    const SeasonTrend& t = *a.season.trend;
    j["trend"] = {{"per_month", t.per_month},
                  {"lo", t.lo},
                  {"hi", t.hi},
                  {"p", t.p},
                  {"start_n", t.start_force},
                  {"end_n", t.end_force}};
  }
  j["within_day_sd"] = a.season.within_day_sd;
  j["between_day_sd"] = a.season.between_day_sd;
  j["fall"] = a.season.latest_is_a_fall;
  j["left_out"] = LeftOutJson(a.figures);
  j["words"] = a.words;
  return j;
}

}  // namespace masseter
