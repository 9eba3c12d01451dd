#include "app/plan_answer.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "app/dog_files.h"
#include "app/file_io.h"
#include "app/plan_prior.h"
#include "core/base/text_fields.h"
#include "report/plan_sheet.h"
#include "report/significant.h"

namespace masseter {
namespace {

struct Wished {
  const char* option;
  const std::string* text;
  StudyGoal goal;
};

// "10%" or "0.1".
std::optional<double> ParseShare(std::string_view text) {
  std::string_view t = Trim(text);
  const bool percent = t.ends_with('%');
  if (percent) t.remove_suffix(1);
  const auto value = ParseNumber(Trim(t));
  if (!value) return std::nullopt;
  return percent ? *value / 100.0 : *value;
}

Expected<StudyWish> ReadWish(const PlanQuestion& q) {
  const std::array<Wished, 6> all = {
      {{"--dog-mean", &q.dog_mean, StudyGoal::kDogMean},
       {"--group-mean", &q.group_mean, StudyGoal::kGroupMean},
       {"--icc-width", &q.icc_width, StudyGoal::kIccWidth},
       {"--icc", &q.reliability, StudyGoal::kReliability},
       {"--difference", &q.difference, StudyGoal::kDogs},
       {"--breed-difference", &q.breed_difference, StudyGoal::kGroups}}};
  StudyWish wish;
  const char* taken = nullptr;
  for (const Wished& w : all) {
    if (w.text->empty()) continue;
    if (taken != nullptr) {
      return BadInput(w.option, std::string("and ") + taken +
                                    " are two questions; ask one");
    }
    const auto share = ParseShare(*w.text);
    if (!share) {
      return BadInput(w.option,
                      "is not a share such as 10% or 0.1: \"" + *w.text + "\"");
    }
    if (*share > 10.0 && w.text->back() != '%') {
      return BadInput(w.option, fmt::format("{0} would be {1:g} %; write {0}%",
                                            *w.text, 100.0 * *share));
    }
    taken = w.option;
    wish.goal = w.goal;
    wish.wanted = *share;
  }
  if (taken == nullptr) {
    return BadInput("",
                    "say what the study is to answer: --dog-mean 10%, "
                    "--group-mean, --icc-width, --icc, --difference or "
                    "--breed-difference");
  }
  wish.level = q.level;
  wish.power = q.power;
  wish.dogs = q.dogs;
  wish.bites = q.bites;
  return wish;
}

std::string Percent(double share) {
  return Significant(100.0 * share, 3) + " %";
}

std::string WishWords(const StudyWish& w) {
  switch (w.goal) {
    case StudyGoal::kDogMean:
      return "each dog's mean to within " + Percent(w.wanted) + " either way";
    case StudyGoal::kGroupMean:
      return "the mean of all dogs to within " + Percent(w.wanted) +
             " either way";
    case StudyGoal::kIccWidth:
      return "the ICC of one bite in an interval " + Significant(w.wanted, 3) +
             " wide";
    case StudyGoal::kReliability:
      return "a dog's mean with a reliability of " + Significant(w.wanted, 3);
    case StudyGoal::kDogs:
      return "two dogs told apart that differ by " + Percent(w.wanted) +
             ", with a chance of " + Percent(w.power);
    case StudyGoal::kGroups:
      return "two breeds told apart that differ by " + Percent(w.wanted) +
             ", with a chance of " + Percent(w.power);
  }
  return "";
}

std::string PromiseWords(const StudyWish& w, const StudyDesign& d) {
  switch (w.goal) {
    case StudyGoal::kDogMean:
      return fmt::format("each dog's mean within {} either way",
                         Percent(d.promised));
    case StudyGoal::kGroupMean:
      return fmt::format("the mean of all dogs within {} either way",
                         Percent(d.promised));
    case StudyGoal::kIccWidth:
      return fmt::format("an interval of the ICC {} wide",
                         Significant(d.promised, 3));
    case StudyGoal::kReliability:
      return fmt::format("a reliability of {}", Significant(d.promised, 3));
    case StudyGoal::kDogs:
    case StudyGoal::kGroups:
      break;
  }
  return fmt::format("a chance of {} to tell them apart", Percent(d.promised));
}

Expected<std::vector<std::string>> NamesOf(const PlanQuestion& q) {
  std::vector<std::string> names;
  if (q.roster.empty()) return names;
  const auto text = ReadText(q.roster);
  if (!text) return tl::unexpected(text.error());
  const auto roster = ParseRoster(*text, FileName(q.roster));
  if (!roster) return tl::unexpected(roster.error());
  for (const RosterEntry& e : *roster) names.push_back(e.dog);
  return names;
}

bool SpeaksOfSingleDogs(StudyGoal goal) {
  return goal == StudyGoal::kDogMean || goal == StudyGoal::kReliability ||
         goal == StudyGoal::kDogs;
}

Expected<void> AddOrder(PlanAnswer& a) {
  OrderWish order = a.question.order;
  order.dogs = a.plan.chosen.dogs;
  order.bites = a.plan.chosen.bites;
  order.conditions = static_cast<int>(a.question.conditions.size());
  if (order.conditions == 1) {
    return BadInput("--conditions", "compares at least two, such as a,b");
  }
  if (order.conditions > 1 && order.bites % order.conditions != 0) {
    order.bites += order.conditions - order.bites % order.conditions;
    a.notes.push_back(fmt::format(
        "{} bites of each dog instead of {}, so that every condition comes "
        "equally often.",
        order.bites, a.plan.chosen.bites));
  }
  const auto made = MakeRunningOrder(order);
  if (!made) return tl::unexpected(made.error());
  a.order = *made;
  for (int i = static_cast<int>(a.names.size()); i < order.dogs; ++i) {
    a.names.push_back(fmt::format("dog {}", i + 1));
  }
  return {};
}

void AddNotes(PlanAnswer& a) {
  if (a.prior.assumed) {
    a.notes.push_back(
        "The spreads are assumed, not yours: measure a few dogs, then plan "
        "again with the logbook.");
  }
  if (a.cautious) {
    a.notes.push_back(fmt::format(
        "If bites scatter as much as the data still allow ({}), it takes {} "
        "dogs with {} bites each.",
        Significant(a.prior.bite_sd_upper, 2), a.cautious->dogs,
        a.cautious->bites));
  }
  if (a.wish.goal == StudyGoal::kDogs) {
    a.notes.push_back(
        "This holds for two dogs chosen beforehand; comparing all pairs takes "
        "more.");
  }
  a.notes.push_back("Void bites do not count: allow for some.");
}

std::string Clock(double minutes) {
  const int whole = static_cast<int>(std::lround(minutes));
  return fmt::format("{}:{:02}", whole / 60, whole % 60);
}

}  // namespace

Expected<PlanAnswer> AnswerPlan(
    const PlanQuestion& question,
    const std::function<void(std::uint64_t, std::uint64_t)>& progress) {
  PlanAnswer a;
  a.question = question;
  const auto wish = ReadWish(question);
  if (!wish) return tl::unexpected(wish.error());
  a.wish = *wish;
  auto names = NamesOf(question);
  if (!names) return tl::unexpected(names.error());
  a.names = std::move(*names);
  if (!a.wish.dogs && a.names.size() > 1 && SpeaksOfSingleDogs(a.wish.goal)) {
    a.wish.dogs = static_cast<int>(a.names.size());
  }
  const auto prior = PriorOf(question);
  if (!prior) return tl::unexpected(prior.error());
  a.prior = *prior;
  const auto plan = PlanStudy(a.prior.prior, a.wish, progress);
  if (!plan) return tl::unexpected(plan.error());
  a.plan = *plan;
  if (a.prior.bite_sd_upper > 0.0) {
    StudyPrior wide = a.prior.prior;
    wide.bite_sd = a.prior.bite_sd_upper;
    const auto more = PlanStudy(wide, a.wish, progress);
    if (more) a.cautious = more->chosen;
  }
  a.wish_words = WishWords(a.wish);
  a.promise_words = PromiseWords(a.wish, a.plan.chosen);
  if (auto ok = AddOrder(a); !ok) return tl::unexpected(ok.error());
  AddNotes(a);
  return a;
}

nlohmann::ordered_json PlanJson(const PlanAnswer& a) {
  const auto design = [](const StudyDesign& d) {
    return nlohmann::ordered_json{{"dogs", d.dogs},
                                  {"bites_per_dog", d.bites},
                                  {"bites", d.total()},
                                  {"promised", d.promised}};
  };
  nlohmann::ordered_json j;
  j["question"] = a.wish_words;
  j["wanted"] = a.wish.wanted;
  j["level"] = a.wish.level;
  j["power"] = a.wish.power;
  j["prior"] = {{"dog_sd", a.prior.prior.dog_sd},
                {"bite_sd", a.prior.prior.bite_sd},
                {"icc", a.prior.prior.Icc()},
                {"assumed", a.prior.assumed},
                {"from", a.prior.from}};
  j["dogs"] = a.plan.chosen.dogs;
  j["bites_per_dog"] = a.plan.chosen.bites;
  j["bites"] = a.plan.chosen.total();
  j["promised"] = a.plan.chosen.promised;
  j["alternatives"] = nlohmann::ordered_json::array();
  for (const StudyDesign& d : a.plan.alternatives) {
    j["alternatives"].push_back(design(d));
  }
  j["cautious"] = nullptr;
  if (a.cautious) j["cautious"] = design(*a.cautious);
  j["order"] = nlohmann::ordered_json::array();
  for (const Turn& t : a.order.turns) {
    nlohmann::ordered_json turn = {
        {"day", t.day},
        {"minute", t.minute},
        {"round", t.round},
        {"place", t.place},
        {"dog", a.names[static_cast<std::size_t>(t.dog)]},
        {"bite", t.bite}};
    if (!a.question.conditions.empty() && t.round > 0) {
      turn["condition"] =
          a.question.conditions[static_cast<std::size_t>(t.condition)];
    }
    j["order"].push_back(std::move(turn));
  }
  const OrderBalance& b = a.order.balance;
  j["balance"] = {{"follows_least", b.follows_least},
                  {"follows_most", b.follows_most},
                  {"mean_place_least", b.place_least},
                  {"mean_place_most", b.place_most},
                  {"shortest_rest_min", b.shortest_rest}};
  j["day_minutes"] = a.order.day_minutes;
  j["notes"] = a.notes;
  j["cautions"] = report::PlanCautions();
  return j;
}

std::string PlanHtml(const PlanAnswer& a) {
  report::PlanSheet sheet;
  sheet.question = "To answer: " + a.wish_words + ".";
  sheet.facts = {
      fmt::format("{} dogs, {} bites each; expected: {}.", a.plan.chosen.dogs,
                  a.plan.chosen.bites, a.promise_words),
      fmt::format("Rest of a dog between two bites: at least {} minutes.",
                  Significant(a.order.balance.shortest_rest, 3)),
      a.prior.from};
  if (a.question.order.practice > 0) {
    sheet.facts.push_back(
        "Practice bites make dogs used to the sleeve and do not count.");
  }
  sheet.conditions = !a.question.conditions.empty();
  for (const Turn& t : a.order.turns) {
    report::PlanSheetTurn turn;
    turn.day = t.day;
    turn.clock = Clock(t.minute);
    turn.dog = a.names[static_cast<std::size_t>(t.dog)];
    turn.bite = t.round == 0 ? "practice" : std::to_string(t.bite);
    if (sheet.conditions && t.round > 0) {
      turn.condition =
          a.question.conditions[static_cast<std::size_t>(t.condition)];
    }
    sheet.turns.push_back(std::move(turn));
  }
  return report::PlanSheetHtml(sheet);
}

}  // namespace masseter
