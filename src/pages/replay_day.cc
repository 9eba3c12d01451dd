#include "pages/replay_day.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include "pages/replay_measure.h"

namespace masseter {
namespace {

using Json = nlohmann::json;
using replay::BiteMessage;
using replay::ClockAt;
using replay::Figures;
using replay::Force;
using replay::IsFor;
using replay::kBites;
using replay::kSleeveLag;
using replay::Measure;
using replay::Missing;
using replay::Moment;
using replay::ReplayChecks;
using replay::ScriptedBite;
using replay::TextOf;
using replay::Told;

constexpr double kColumn = 0.05;
constexpr double kSpan = 20.0;
constexpr int kZeroMoments = 30;
// 25 November 2025, 14:05:00 UTC.
constexpr double kStartUnixS = 1764079500.0;

const ScriptedBite* GoingOn(double t_s) {
  for (const ScriptedBite& bite : kBites) {
    const double end_s = bite.at_least ? bite.gap_from_s : replay::EndOf(bite);
    if (t_s >= bite.start_s && t_s < end_s) return &bite;
  }
  return nullptr;
}

// On later sleeves the dogs take each other's places.
std::string DogOn(int sleeve, const std::string& dog) {
  const std::string names[] = {"Brisk", "Juno", "Tarn", "Moss"};
  const auto at = std::find(std::begin(names), std::end(names), dog);
  return names[(at - std::begin(names) + sleeve) % 4];
}

std::string ScriptedUp(int sleeve, double local_s) {
  std::string up;
  for (const ScriptedBite& bite : kBites) {
    if (local_s >= bite.up_s) up = DogOn(sleeve, bite.dog);
  }
  return up;
}

std::string Key(const char* what, int sleeve) {
  return sleeve == 0 ? what : what + (":" + std::to_string(sleeve));
}

Json GoingJson(const ScriptedBite& bite, double local_s) {
  const Figures f = Measure(bite, local_s);
  const bool squeezed = f.squeeze_n > 0.0;
  return {{"start_s", bite.start_s},
          {"duration_s", local_s - bite.start_s},
          {"peak_n", f.peak_n},
          {"peak_u95_n", f.peak_n * bite.relative_u95},
          {"squeeze_n", squeezed ? Json(f.squeeze_n) : Json()},
          {"squeeze_u95_n",
           squeezed ? Json(f.squeeze_n * bite.relative_u95) : Json()}};
}

}  // namespace

double ReplayDay::EndOf(const Planned& planned) {
  return replay::EndOf(*planned.bite) + kSleeveLag * planned.sleeve;
}

ReplayDay::ReplayDay(LiveHub& hub, int sleeves)
    : hub_(hub),
      sleeves_(sleeves),
      zero_wait_(static_cast<std::size_t>(sleeves), 0),
      checks_(sleeves) {
  for (int sleeve = 0; sleeve < sleeves; ++sleeve) {
    for (const ScriptedBite& bite : kBites) plan_.push_back({&bite, sleeve});
  }
  std::stable_sort(
      plan_.begin(), plan_.end(),
      [](const Planned& a, const Planned& b) { return EndOf(a) < EndOf(b); });
  hub_.SetActionHandler(
      [this](const std::string& action) { return Act(action); });
}

ReplayDay::~ReplayDay() { hub_.SetActionHandler({}); }

double ReplayDay::Local(int sleeve) const { return t_s_ - kSleeveLag * sleeve; }

std::string ReplayDay::Clock() const { return ClockAt(t_s_); }

std::string ReplayDay::Up(int sleeve) const {
  const std::string* chosen = book_.Chosen(sleeve);
  return chosen != nullptr ? *chosen : ScriptedUp(sleeve, Local(sleeve));
}

std::vector<std::string> ReplayDay::EveryUp() const {
  std::vector<std::string> up;
  for (int sleeve = 0; sleeve < sleeves_; ++sleeve) up.push_back(Up(sleeve));
  return up;
}

int ReplayDay::BitesOf(const std::string& dog) const {
  int bites = 0;
  for (std::size_t i = 0; i < measured_; ++i) {
    const bool counts = book_.Struck(static_cast<int>(i) + 1).empty();
    bites += counts && DogOn(plan_[i].sleeve, plan_[i].bite->dog) == dog;
  }
  return bites;
}

Json ReplayDay::Hello() const {
  Json sleeves = Json::array();
  for (int i = 0; i < sleeves_; ++i) {
    sleeves.push_back({{"name", "made-up sleeve " + std::to_string(i + 1)}});
  }
  return {{"type", "hello"},
          {"rig",
           {{"name", "Forearm sleeve, four cells"},
            {"channels", {"c1", "c2", "c3", "c4"}},
            {"sample_rate_hz", 1000},
            {"safe_load_n", 6000}}},
          {"calibrated", true},
          {"force_range_n", {49.1, 882.6}},
          {"roster", book_.roster()},
          {"up", Up(0)},
          {"source", "made-up sleeve 1"},
          {"sleeves", sleeves},
          {"trace_span_s", kSpan},
          {"version", "0.1.0"}};
}

Json ReplayDay::Columns(int sleeve, double from_s, double to_s,
                        bool whole) const {
  const auto first = std::lround(from_s / kColumn);
  const auto last = std::lround(to_s / kColumn);
  Json low = Json::array();
  Json high = Json::array();
  for (auto i = first; i < last; ++i) {
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
  return {
      {"type", "trace"},     {"sleeve", sleeve},
      {"whole", whole},      {"start_s", static_cast<double>(first) * kColumn},
      {"column_s", kColumn}, {"low_n", low},
      {"high_n", high}};
}

Json ReplayDay::Now(int sleeve) const {
  const double local_s = Local(sleeve);
  const std::string up = Up(sleeve);
  const bool lost = silent_ || Missing(local_s);
  const bool waits = zero_wait_[static_cast<std::size_t>(sleeve)] > 0;
  const ScriptedBite* bite = lost ? nullptr : GoingOn(local_s);
  const char* state = lost ? "stale" : bite != nullptr ? "bite" : "ready";
  const bool sags = local_s > 6.0 && local_s < 12.0;
  return {{"type", "now"},
          {"sleeve", sleeve},
          {"unix_s", kStartUnixS + t_s_},
          {"t_s", local_s},
          {"force_n", lost ? Json() : Json(Force(local_s))},
          {"state", !lost && waits ? "wait" : state},
          {"up", up},
          {"bites_up", BitesOf(up)},
          {"lights",
           {{"link", lost ? "lost" : "ok"},
            {"supply", sags ? "low" : "ok"},
            {"zero", waits ? "wait" : "ok"}}},
          {"bite", bite == nullptr ? Json() : GoingJson(*bite, local_s)}};
}

Json ReplayDay::DogDay(const std::string& dog) const {
  Json last_end;
  for (std::size_t i = 0; i < measured_; ++i) {
    if (DogOn(plan_[i].sleeve, plan_[i].bite->dog) != dog) continue;
    last_end = kStartUnixS + EndOf(plan_[i]);
  }
  const auto up_s = up_s_.find(dog);
  const Json limits = book_.Limits(dog);
  return {{"dog", dog},
          {"bites", BitesOf(dog)},
          {"up_s", up_s == up_s_.end() ? 0.0 : std::floor(up_s->second)},
          {"last_end_unix_s", last_end},
          {"limit_bites", limits["bites"]},
          {"limit_minutes", limits["minutes"]}};
}

Json ReplayDay::Day() const {
  Json dogs = Json::array();
  for (const Json& entry : book_.roster()) {
    dogs.push_back(DogDay(entry["dog"]));
  }
  return {{"type", "day"},
          {"order", book_.order()},
          {"dogs", dogs},
          {"notes", book_.notes()},
          {"undo", book_.Undo()}};
}

void ReplayDay::PublishBite(std::size_t place) {
  const Planned& planned = plan_[place];
  const int id = static_cast<int>(place) + 1;
  const Told told{id, planned.sleeve, DogOn(planned.sleeve, planned.bite->dog),
                  book_.Struck(id)};
  hub_.Publish("bite:" + std::to_string(id),
               BiteMessage(*planned.bite, told).dump());
}

void ReplayDay::Warn(const std::string& dog) {
  const Json limit = book_.Limits(dog)["bites"];
  if (!limit.is_number() || BitesOf(dog) < limit) return;
  Say("warn", dog + " has had " + std::to_string(BitesOf(dog)) +
                  " bites, the limit set for today.");
}

void ReplayDay::PublishBites() {
  while (measured_ < plan_.size() && EndOf(plan_[measured_]) <= t_s_) {
    const Planned& planned = plan_[measured_];
    PublishBite(measured_++);
    Warn(DogOn(planned.sleeve, planned.bite->dog));
  }
}

void ReplayDay::PublishDay() {
  std::string day = Day().dump();
  if (day == day_) return;
  day_ = day;
  hub_.Publish("day", std::move(day));
}

void ReplayDay::PublishNow() {
  PublishBites();
  for (int sleeve = 0; sleeve < sleeves_; ++sleeve) {
    hub_.Publish(Key("now", sleeve), Now(sleeve).dump());
  }
  PublishDay();
}

void ReplayDay::Seek(double t_s) {
  const std::lock_guard lock(mutex_);
  t_s_ = std::round(t_s / kColumn) * kColumn;
  up_s_.clear();
  hub_.Publish("hello", Hello().dump());
  for (int sleeve = 0; sleeve < sleeves_; ++sleeve) {
    const double local_s = Local(sleeve);
    hub_.Publish(Key("trace", sleeve),
                 Columns(sleeve, local_s - kSpan, local_s, true).dump());
    for (double t = 0.0; t < local_s; t += 1.0) {
      up_s_[ScriptedUp(sleeve, t)] += 1.0;
    }
  }
  PublishNow();
}

void ReplayDay::Advance(double dt_s) {
  const std::lock_guard lock(mutex_);
  for (int& wait : zero_wait_) {
    if (wait > 0 && --wait == 0) Say("info", "Zero taken.");
  }
  const std::vector<std::string> up = EveryUp();
  t_s_ += dt_s;
  if (std::exchange(told_, false) || EveryUp() != up) {
    hub_.Publish("hello", Hello().dump());
  }
  for (int sleeve = 0; sleeve < sleeves_; ++sleeve) {
    up_s_[up[static_cast<std::size_t>(sleeve)]] += dt_s;
    if (dt_s <= 0.0 || silent_) continue;
    const double local_s = Local(sleeve);
    hub_.Keep(Key("trace", sleeve),
              Columns(sleeve, local_s - kSpan, local_s, true).dump());
    hub_.Publish("", Columns(sleeve, local_s - dt_s, local_s, false).dump());
  }
  if (checks_.Tick()) hub_.Publish("checks", checks_.Message().dump());
  PublishNow();
}

void ReplayDay::SetSilent(bool silent) {
  const std::lock_guard lock(mutex_);
  silent_ = silent;
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

Expected<void> ReplayDay::Act(const std::string& text) {
  const Json action = Json::parse(text, nullptr, false);
  const std::string type = TextOf(action, "type");
  const std::lock_guard lock(mutex_);
  told_ = true;
  if (ReplayChecks::Knows(type)) {
    Expected<void> done = checks_.Take(action, Clock());
    if (done) hub_.Publish("checks", checks_.Message().dump());
    return done;
  }
  if (type == "zero") {
    for (int i = 0; i < sleeves_; ++i) {
      if (!IsFor(action, i)) continue;
      zero_wait_[static_cast<std::size_t>(i)] = kZeroMoments;
    }
    return {};
  }
  const Moment moment{Clock(), EveryUp(), static_cast<int>(measured_)};
  if (Expected<void> done = book_.Take(action, moment); !done) return done;
  if (type == "out") Say("info", "Out noted at " + Clock() + ".");
  const bool strikes = type == "void" || type == "restore" || type == "undo";
  for (std::size_t i = 0; strikes && i < measured_; ++i) PublishBite(i);
  return {};
}

}  // namespace masseter
