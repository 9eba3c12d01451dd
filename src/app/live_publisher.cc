#include "app/live_publisher.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "app/bite_json.h"
#include "app/file_io.h"
#include "app/json_values.h"
#include "app/version.h"
#include "report/text_table.h"
#include "report/trace_columns.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr double kColumnS = 0.05;
constexpr double kTraceSpanS = 20.0;
constexpr double kLateS = 0.5;
constexpr double kLostS = 3.0;
constexpr std::size_t kSparkWidth = 60;

std::string Dump(const ordered_json& j) {
  return j.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

double Tenth(double n) { return std::round(10.0 * n) / 10.0; }

TraceColumns TraceOf(const MeasuredBite& b, int columns) {
  std::vector<TraceGap> gaps;
  const ForceSeries& s = b.series;
  for (std::size_t i = 1; i < s.size(); ++i) {
    if (s.before[i] != Break::kNone) gaps.push_back({s.t_s[i - 1], s.t_s[i]});
  }
  return MakeTraceColumns(s.t_s, s.raw_n, gaps, b.bite.start_s - 0.1,
                          b.bite.end_s + 0.1, columns);
}

}  // namespace

LivePublisher::LivePublisher(LiveHub& hub, const Book& book, std::string source)
    : hub_(hub), book_(book), source_(std::move(source)) {
  PublishHello();
}

void LivePublisher::SetRoster(std::vector<RosterEntry> roster) {
  roster_ = std::move(roster);
  PublishHello();
}

void LivePublisher::SetUp(std::string dog) {
  up_ = std::move(dog);
  PublishHello();
}

void LivePublisher::PublishHello() {
  ordered_json channels = ordered_json::array();
  for (const Channel& c : book_.rig.channels) channels.push_back(c.name);
  ordered_json roster = ordered_json::array();
  for (const RosterEntry& e : roster_) {
    roster.push_back(
        {{"dog", e.dog}, {"breed", e.breed}, {"mass_kg", OrNull(e.mass_kg)}});
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
                              {"up", up_},
                              {"source", source_},
                              {"trace_span_s", kTraceSpanS},
                              {"version", kProgramVersion}}));
}

void LivePublisher::AddColumn(const FrameView& frame) {
  const long index = std::lround(std::floor(frame.start_s / kColumnS));
  if (!columns_.empty() && index < columns_.back().index) columns_.clear();
  while (!columns_.empty() && columns_.back().index + 1 < index &&
         index - columns_.back().index < 4000) {
    columns_.push_back({columns_.back().index + 1, 0.0, 0.0, true});
    ++unsent_;
  }
  if (columns_.empty() || columns_.back().index != index) {
    columns_.push_back({index, frame.low_n, frame.high_n, frame.broken});
    ++unsent_;
  } else {
    Column& last = columns_.back();
    last.low_n = std::min(last.low_n, frame.low_n);
    last.high_n = std::max(last.high_n, frame.high_n);
    last.missing = last.missing || frame.broken;
    unsent_ = std::max<std::size_t>(unsent_, 1);
  }
  const auto most = static_cast<std::size_t>(kTraceSpanS / kColumnS);
  while (columns_.size() > most) columns_.pop_front();
  unsent_ = std::min(unsent_, columns_.size());
}

void LivePublisher::TakeFrame(const FrameView& frame) {
  frame_ = frame;
  AddColumn(frame);
}

std::string LivePublisher::TraceJson(std::size_t from, bool whole) const {
  ordered_json low = ordered_json::array();
  ordered_json high = ordered_json::array();
  for (std::size_t i = from; i < columns_.size(); ++i) {
    const Column& c = columns_[i];
    low.push_back(c.missing ? ordered_json(nullptr)
                            : ordered_json(Tenth(c.low_n)));
    high.push_back(c.missing ? ordered_json(nullptr)
                             : ordered_json(Tenth(c.high_n)));
  }
  const double start =
      from < columns_.size()
          ? static_cast<double>(columns_[from].index) * kColumnS
          : 0.0;
  return Dump({{"type", "trace"},
               {"whole", whole},
               {"start_s", start},
               {"column_s", kColumnS},
               {"low_n", low},
               {"high_n", high}});
}

std::string LivePublisher::NowJson(double silence_s) const {
  const FrameView f = frame_.value_or(FrameView{});
  const bool calibrated = book_.calibration.has_value();
  const double relative =
      calibrated ? book_.calibration->expanded_relative_u95 : 0.0;
  const auto u95 = [&](double force) {
    return std::hypot(relative * force, 1.96 * noise_n_);
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
  const bool stale = lost_ || silence_s > kLateS * 2.0;
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
  const auto count = bites_of_.find(up_);
  return Dump({{"type", "now"},
               {"t_s", f.end_s},
               {"force_n", calibrated && frame_ ? ordered_json(f.force_n)
                                                : ordered_json(nullptr)},
               {"state", state},
               {"up", up_},
               {"bites_up", count == bites_of_.end() ? 0 : count->second},
               {"lights",
                {{"link", lost_ || silence_s > kLostS ? "lost"
                          : silence_s > kLateS        ? "late"
                                                      : "ok"},
                 {"supply", supply},
                 {"zero", zero}}},
               {"bite", bite}});
}

void LivePublisher::TakeBite(const MeasuredBite& b, double now_unix_s,
                             double now_s) {
  ++bites_of_[b.bite.dog];
  const auto heights =
      SparkHeights(TraceOf(b, static_cast<int>(kSparkWidth)), kSparkWidth);
  ordered_json spark = ordered_json::array();
  for (const float h : heights) {
    spark.push_back(std::isfinite(h)
                        ? ordered_json(std::round(h * 100.0F) / 100.0F)
                        : ordered_json(nullptr));
  }
  const double at =
      now_unix_s > 0.0 ? now_unix_s - (now_s - b.bite.start_s) : 0.0;
  hub_.Publish("bite:" + std::to_string(b.bite.id),
               Dump({{"type", "bite"},
                     {"bite", BiteAnswer(b.bite)},
                     {"squeeze_u95_n", OrNull(b.bite.squeeze_u95_n)},
                     {"spark", spark},
                     {"clock", LocalClock(at)}}));
}

void LivePublisher::Publish(double silence_s) {
  if (unsent_ > 0) {
    hub_.Keep("trace", TraceJson(0, true));
    hub_.Publish("", TraceJson(columns_.size() - unsent_, false));
    unsent_ = 0;
  }
  hub_.Publish("now", NowJson(silence_s));
}

void LivePublisher::Say(const std::string& level, const std::string& text) {
  hub_.Publish("", Dump({{"type", "say"}, {"level", level}, {"text", text}}));
}

void LivePublisher::End(const std::string& text) {
  Publish(0.0);
  hub_.Publish("end", Dump({{"type", "end"}, {"text", text}}));
}

}  // namespace masseter
