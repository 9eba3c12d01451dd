// `plan`: how many dogs and bites answer a question, and who bites when.
#ifndef MASSETER_APP_PLAN_ANSWER_H_
#define MASSETER_APP_PLAN_ANSWER_H_

#include <cstdint>
#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/study_rows.h"
#include "core/base/error.h"
#include "core/study/plan_size.h"
#include "core/study/running_order.h"

namespace masseter {

struct PlanQuestion {
  // Exactly one wish, as typed: "10%" or "0.1".
  std::string dog_mean;
  std::string group_mean;
  std::string icc_width;
  std::string reliability;
  std::string difference;
  std::string breed_difference;
  std::optional<int> dogs;
  std::optional<int> bites;
  double level = 0.95;
  double power = 0.8;
  // What is known so far; a logbook or a table tells both spreads.
  std::optional<double> dog_sd;
  std::optional<double> bite_sd;
  std::string book;
  std::string table;
  std::string of;
  std::string roster;                   // names for the order
  std::vector<std::string> conditions;  // every dog goes through all
  OrderWish order;                      // times, practice, seed
};

// Standard deviations of ln force, and where they come from.
struct PlanPrior {
  StudyPrior prior;
  std::string from;            // a sentence
  bool assumed = false;        // nothing of the user's own stands behind it
  double bite_sd_upper = 0.0;  // one-sided 90 % bound; 0 when not estimated
};

struct PlanAnswer {
  PlanQuestion question;
  StudyWish wish;
  PlanPrior prior;
  StudyPlan plan;
  // The same wish if bites scatter as much as the data still allow.
  std::optional<StudyDesign> cautious;
  std::vector<std::string> names;  // of the planned dogs
  RunningOrder order;
  std::string wish_words;
  std::string promise_words;
  std::vector<std::string> notes;
};

Expected<PlanAnswer> AnswerPlan(
    const PlanQuestion& question,
    const std::function<void(std::uint64_t, std::uint64_t)>& progress);
nlohmann::ordered_json PlanJson(const PlanAnswer& answer);
std::string PlanHtml(const PlanAnswer& answer);

}  // namespace masseter

#endif  // MASSETER_APP_PLAN_ANSWER_H_
