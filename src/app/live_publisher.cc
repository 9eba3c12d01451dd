#include "app/live_publisher.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "app/bite_json.h"
#include "app/bite_spark.h"
#include "app/file_io.h"
#include "app/json_values.h"
#include "app/version.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr double kLateS = 0.5;
constexpr double kLostS = 3.0;

std::string Dump(const ordered_json& j) {
  return j.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

}  // namespace

LivePublisher::LivePublisher(LiveHub& hub, const Book& book,
                             const std::vector<std::string>& sources)
    : hub_(hub), book_(book) {
  for (std::size_t i = 0; i < sources.size(); ++i) {
    sleeves_.push_back({sources[i], LiveTrace(static_cast<int>(i))});
  }
  PublishHello();
}

void LivePublisher::SetRoster(std::vector<RosterEntry> roster) {
  roster_ = std::move(roster);
  PublishHello();
}

void LivePublisher::SetUp(int sleeve, const std::string& dog) {
  if (At(sleeve).up == dog) return;
  At(sleeve).up = dog;
  if (sleeve == 0) PublishHello();
}

void LivePublisher::PublishHello() {
  ordered_json channels = ordered_json::array();
  for (const Channel& c : book_.rig.channels) channels.push_back(c.name);
  ordered_json roster = ordered_json::array();
  for (const RosterEntry& e : roster_) {
    roster.push_back(
        {{"dog", e.dog}, {"breed", e.breed}, {"mass_kg", OrNull(e.mass_kg)}});
  }
  ordered_json sleeves = ordered_json::array();
  for (const Sleeve& sleeve : sleeves_) {
    sleeves.push_back({{"name", sleeve.source}});
  }
  ordered_json range = nullptr;
  if (book_.calibration) {
    range = {book_.calibration->force_low_n, book_.calibration->force_high_n};
  }
  const auto safe = book_.rig.safe_load;
  hub_.Publish("hello", Dump({{"type", "hello"},
                              {"rig",
                               {{"name", book_.rig.name},
                                {"channels", channels},
                                {"sample_rate_hz", book_.rig.sample_rate_hz},
                                {"safe_load_n", safe ? ordered_json(safe->si())
                                                     : ordered_json(nullptr)}}},
                              {"calibrated", book_.calibration.has_value()},
                              {"force_range_n", range},
                              {"roster", roster},
                              {"up", sleeves_.front().up},
                              {"source", sleeves_.front().source},
                              {"sleeves", sleeves},
                              {"trace_span_s", kTraceSpanS},
                              {"version", kProgramVersion}}));
}

void LivePublisher::TakeFrame(int sleeve, const FrameView& frame) {
  At(sleeve).frame = frame;
  At(sleeve).trace.Add(frame);
}

std::string LivePublisher::NowJson(int sleeve) const {
  const Sleeve& s = sleeves_[static_cast<std::size_t>(sleeve)];
  const FrameView f = s.frame.value_or(FrameView{});
  const bool calibrated = book_.calibration.has_value();
  const double relative =
      calibrated ? book_.calibration->expanded_relative_u95 : 0.0;
  const auto u95 = [&](double force) {
    return std::hypot(relative * force, 1.96 * s.noise_n);
  };
  ordered_json bite = nullptr;
  if (f.active && calibrated) {
    bite = {{"start_s", f.bite_start_s},
            {"duration_s", std::max(f.end_s - f.bite_start_s, 0.0)},
            {"peak_n", f.peak_so_far_n},
            {"peak_u95_n", u95(f.peak_so_far_n)},
            {"squeeze_n", OrNull(f.squeeze_so_far_n)},
            {"squeeze_u95_n", f.squeeze_so_far_n
                                  ? ordered_json(u95(*f.squeeze_so_far_n))
                                  : ordered_json(nullptr)}};
  }
  const bool stale = s.lost || s.silence_s > kLateS * 2.0;
  const char* state = stale                        ? "stale"
                      : f.zero == ZeroState::kWait ? "wait"
                      : f.active                   ? "bite"
                                                   : "ready";
  const char* supply = "unknown";
  if (f.supply_mv && book_.rig.supply_minimum_mv) {
    supply = *f.supply_mv < *book_.rig.supply_minimum_mv ? "low" : "ok";
  }
  const char* zero = f.zero == ZeroState::kWait    ? "wait"
                     : f.zero == ZeroState::kMoved ? "moved"
                                                   : "ok";
  const auto count = bites_of_.find(s.up);
  return Dump({{"type", "now"},
               {"sleeve", sleeve},
               {"unix_s", std::round(1000.0 * s.now_unix_s) / 1000.0},
               {"t_s", f.end_s},
               {"force_n", calibrated && s.frame ? ordered_json(f.force_n)
                                                 : ordered_json(nullptr)},
               {"state", state},
               {"up", s.up},
               {"bites_up", count == bites_of_.end() ? 0 : count->second},
               {"lights",
                {{"link", s.lost || s.silence_s > kLostS ? "lost"
                          : s.silence_s > kLateS         ? "late"
                                                         : "ok"},
                 {"supply", supply},
                 {"zero", zero}}},
               {"bite", bite}});
}

void LivePublisher::TakeBite(int sleeve, const Bite& bite,
                             const std::vector<float>& spark,
                             double start_unix_s) {
  const Told told{sleeve, Dump(SparkJson(spark)), LocalClock(start_unix_s)};
  told_[bite.id] = told;
  if (told_.size() > LiveHub::kMostBites) told_.erase(told_.begin());
  PublishBite(bite, told);
}

void LivePublisher::ShowAgain(const Bite& bite) {
  const auto told = told_.find(bite.id);
  if (told != told_.end()) PublishBite(bite, told->second);
}

void LivePublisher::PublishBite(const Bite& bite, const Told& told) {
  hub_.Publish("bite:" + std::to_string(bite.id),
               Dump({{"type", "bite"},
                     {"sleeve", told.sleeve},
                     {"bite", BiteAnswer(bite)},
                     {"squeeze_u95_n", OrNull(bite.squeeze_u95_n)},
                     {"spark", ordered_json::parse(told.spark)},
                     {"clock", told.clock}}));
}

void LivePublisher::Publish(int sleeve, double silence_s, double now_unix_s) {
  Sleeve& s = At(sleeve);
  s.silence_s = silence_s;
  s.now_unix_s = now_unix_s;
  Send(sleeve);
}

void LivePublisher::Send(int sleeve) {
  Sleeve& s = At(sleeve);
  if (s.trace.has_new()) {
    hub_.Keep(SleeveKey("trace", sleeve), s.trace.Whole());
    hub_.Publish("", s.trace.TakeNew());
  }
  hub_.Publish(SleeveKey("now", sleeve), NowJson(sleeve));
}

void LivePublisher::PublishKept(const std::string& key,
                                const std::string& json) {
  std::string& kept = kept_[key];
  if (kept == json) return;
  kept = json;
  hub_.Publish(key, json);
}

void LivePublisher::Say(const std::string& level, const std::string& text) {
  hub_.Publish("", Dump({{"type", "say"}, {"level", level}, {"text", text}}));
}

void LivePublisher::End(const std::string& text) {
  for (std::size_t i = 0; i < sleeves_.size(); ++i) {
    At(static_cast<int>(i)).silence_s = 0.0;
    Send(static_cast<int>(i));
  }
  hub_.Publish("end", Dump({{"type", "end"}, {"text", text}}));
}

}  // namespace masseter
