#include "pages/replay_day.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "pages/replay_measure.h"

namespace masseter {
namespace {

using Json = nlohmann::json;
using namespace replay;

constexpr double kColumn = 0.05;
constexpr double kSpan = 20.0;

const ScriptedBite* GoingOn(double t_s) {
  for (const ScriptedBite& bite : kBites) {
    const double end_s = bite.at_least ? bite.gap_from_s : EndOf(bite);
    if (t_s >= bite.start_s && t_s < end_s) return &bite;
  }
  return nullptr;
}

std::string TextOf(const Json& object, const char* key) {
  if (!object.is_object() || !object.contains(key)) return {};
  return object[key].is_string() ? object[key].get<std::string>() : "";
}

}  // namespace

ReplayDay::ReplayDay(LiveHub& hub) : hub_(hub) {
  const auto dog = [](const char* name, const char* breed, double mass_kg) {
    return Json{{"dog", name}, {"breed", breed}, {"mass_kg", mass_kg}};
  };
  roster_ = {dog("Brisk", "Malinois", 29.5), dog("Juno", "Rottweiler", 41.0),
             dog("Tarn", "German Shepherd", 34.0),
             dog("Moss", "Dutch Shepherd", 27.5)};
  hub_.SetActionHandler(
      [this](const std::string& action) { return Queue(action); });
}

ReplayDay::~ReplayDay() { hub_.SetActionHandler({}); }

std::string ReplayDay::Up() const {
  if (chosen_) return *chosen_;
  std::string up;
  for (const ScriptedBite& bite : kBites) {
    if (t_s_ >= bite.up_s) up = bite.dog;
  }
  return up;
}

Json ReplayDay::Hello() const {
  const std::lock_guard lock(mutex_);
  return {{"type", "hello"},
          {"rig",
           {{"name", "Forearm sleeve, four cells"},
            {"channels", {"c1", "c2", "c3", "c4"}},
            {"sample_rate_hz", 1000},
            {"safe_load_n", 6000}}},
          {"calibrated", true},
          {"force_range_n", {49.1, 882.6}},
          {"roster", roster_},
          {"up", Up()},
          {"source", "a made-up day"},
          {"trace_span_s", kSpan},
          {"version", "0.1.0"}};
}

Json ReplayDay::Columns(double from_s, double to_s, bool whole) const {
  const long first = std::lround(from_s / kColumn);
  const long last = std::lround(to_s / kColumn);
  Json low = Json::array();
  Json high = Json::array();
  for (long i = first; i < last; ++i) {
    const double left = static_cast<double>(i) * kColumn;
    double lowest = HUGE_VAL;
    double highest = -HUGE_VAL;
    for (int k = 0; k < 50; ++k) {
      const double t = left + 0.001 * k;
      if (t < 0.0 || Missing(t)) continue;
      lowest = std::min(lowest, Force(t));
      highest = std::max(highest, Force(t));
    }
    const bool none = lowest > highest;
    low.push_back(none ? Json() : Json(std::round(lowest * 10) / 10));
    high.push_back(none ? Json() : Json(std::round(highest * 10) / 10));
  }
  return {{"type", "trace"},
          {"whole", whole},
          {"start_s", static_cast<double>(first) * kColumn},
          {"column_s", kColumn},
          {"low_n", low},
          {"high_n", high}};
}

Json ReplayDay::Now() const {
  const std::string up = Up();
  int bites_up = 0;
  for (std::size_t i = 0; i < measured_; ++i) bites_up += kBites[i].dog == up;
  const bool lost = silent_ || Missing(t_s_);
  const ScriptedBite* bite = lost ? nullptr : GoingOn(t_s_);
  Json going;
  if (bite != nullptr) {
    const Figures f = Measure(*bite, t_s_);
    const bool squeezed = f.squeeze_n > 0.0;
    going = {{"start_s", bite->start_s},
             {"duration_s", t_s_ - bite->start_s},
             {"peak_n", f.peak_n},
             {"peak_u95_n", f.peak_n * bite->relative_u95},
             {"squeeze_n", squeezed ? Json(f.squeeze_n) : Json()},
             {"squeeze_u95_n",
              squeezed ? Json(f.squeeze_n * bite->relative_u95) : Json()}};
  }
  const char* state = lost ? "stale" : bite != nullptr ? "bite" : "ready";
  return {{"type", "now"},
          {"t_s", t_s_},
          {"force_n", lost ? Json() : Json(Force(t_s_))},
          {"state", !lost && zero_wait_ > 0 ? "wait" : state},
          {"up", up},
          {"bites_up", bites_up},
          {"lights",
           {{"link", lost ? "lost" : "ok"},
            {"supply", t_s_ > 6.0 && t_s_ < 12.0 ? "low" : "ok"},
            {"zero", zero_wait_ > 0 ? "wait" : "ok"}}},
          {"bite", going}};
}

void ReplayDay::PublishBites() {
  while (measured_ < std::size(kBites) && EndOf(kBites[measured_]) <= t_s_) {
    const int id = static_cast<int>(measured_) + 1;
    hub_.Publish("bite:" + std::to_string(id),
                 BiteMessage(kBites[measured_], id).dump());
    ++measured_;
  }
}

void ReplayDay::Seek(double t_s) {
  t_s_ = std::round(t_s / kColumn) * kColumn;
  hub_.Publish("hello", Hello().dump());
  hub_.Publish("trace", Columns(t_s_ - kSpan, t_s_, true).dump());
  PublishBites();
  hub_.Publish("now", Now().dump());
}

void ReplayDay::Advance(double dt_s) {
  TakeActions();
  if (zero_wait_ > 0 && --zero_wait_ == 0) Say("info", "Zero taken.");
  const std::string up = Up();
  const double before = t_s_;
  t_s_ += dt_s;
  if (Up() != up) hub_.Publish("hello", Hello().dump());
  if (dt_s > 0.0 && !silent_) {
    hub_.Keep("trace", Columns(t_s_ - kSpan, t_s_, true).dump());
    hub_.Publish("", Columns(before, t_s_, false).dump());
  }
  PublishBites();
  hub_.Publish("now", Now().dump());
}

void ReplayDay::Say(const std::string& level, const std::string& text) {
  hub_.Publish("",
               Json{{"type", "say"}, {"level", level}, {"text", text}}.dump());
}

void ReplayDay::End() {
  hub_.Publish("end", Json{{"type", "end"},
                           {"text", "The day is over; all of it is kept."}}
                          .dump());
}

Expected<void> ReplayDay::CheckDog(const Json& action, bool known) {
  const std::string dog = TextOf(action, "dog");
  if (dog.empty()) return BadInput("", "a dog needs a name");
  const bool listed =
      std::any_of(roster_.begin(), roster_.end(),
                  [&dog](const Json& entry) { return entry["dog"] == dog; });
  if (listed && !known) return BadInput("", dog + " is on the roster already");
  if (!listed && known) return BadInput("", dog + " is not on the roster");
  return {};
}

Expected<void> ReplayDay::Queue(const std::string& text) {
  const Json action = Json::parse(text, nullptr, false);
  const std::string type = TextOf(action, "type");
  const std::lock_guard lock(mutex_);
  if (type == "up" || type == "dog") {
    if (auto fine = CheckDog(action, type == "up"); !fine) return fine;
  } else if (type != "out" && type != "zero") {
    return BadInput("", "there is no action of this name");
  }
  actions_.push_back(action);
  return {};
}

void ReplayDay::TakeActions() {
  std::vector<Json> actions;
  {
    const std::lock_guard lock(mutex_);
    actions = std::exchange(actions_, {});
    for (const Json& action : actions) {
      if (action["type"] != "dog") continue;
      roster_.push_back({{"dog", action["dog"]},
                         {"breed", TextOf(action, "breed")},
                         {"mass_kg", action.value("mass_kg", Json())}});
    }
  }
  for (const Json& action : actions) {
    if (action["type"] == "up") chosen_ = action["dog"].get<std::string>();
    if (action["type"] == "zero") zero_wait_ = 30;
    if (action["type"] == "out") {
      Say("info", "Out noted at " + ClockAt(t_s_) + ".");
    }
  }
  if (!actions.empty()) hub_.Publish("hello", Hello().dump());
}

}  // namespace masseter
