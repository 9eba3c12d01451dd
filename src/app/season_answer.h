// `season`: one dog over months.
#ifndef MASSETER_APP_SEASON_ANSWER_H_
#define MASSETER_APP_SEASON_ANSWER_H_

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "app/study_rows.h"
#include "core/base/error.h"
#include "core/study/season.h"

namespace masseter {

struct SeasonQuestion {
  std::vector<std::string> books;
  std::string table;  // columns day (2026-05-16, or a number of days), a figure
  std::string of;
  std::string dog;  // may be empty in a table of a single dog
};

struct SeasonAnswer {
  SeasonQuestion question;
  StudyFigures figures;
  Season season;
  std::vector<std::string> day_names;  // of season.days
  std::vector<std::string> words;
};

Expected<SeasonAnswer> AnswerSeason(const SeasonQuestion& question);
nlohmann::ordered_json SeasonJson(const SeasonAnswer& answer);

// Days from 1970-01-01 of an ISO date (a time behind it is ignored) or a plain
// number of days; nullopt for anything else.
std::optional<double> ParseDay(const std::string& text);

}  // namespace masseter

#endif  // MASSETER_APP_SEASON_ANSWER_H_
