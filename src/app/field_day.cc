#include "app/field_day.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "app/bite_list.h"
#include "app/capture_notes.h"
#include "app/file_io.h"
#include "app/json_values.h"
#include "app/validity.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr std::size_t kMostNotes = 200;

// Seconds that the spans cover together.
double Covered(std::vector<UpSpan> spans) {
  std::sort(spans.begin(), spans.end(), [](const UpSpan& a, const UpSpan& b) {
    return a.from_unix_s < b.from_unix_s;
  });
  double total = 0.0;
  double end = -1e300;
  for (const UpSpan& span : spans) {
    const double from = std::max(span.from_unix_s, end);
    if (span.to_unix_s > from) {
      total += span.to_unix_s - from;
      end = span.to_unix_s;
    }
  }
  return total;
}

// How far a recording came; of one whose recorder died as its rows tell.
double LengthOf(const CaptureInfo& info, double bites_end_s, double rate_hz) {
  const CaptureNotes notes = ParseNotes(info.notes);
  if (notes.last_s > 0.0) return notes.last_s;
  return std::max(bites_end_s, rate_hz > 0.0
                                   ? static_cast<double>(info.rows) / rate_hz
                                   : 0.0);
}

double RateOf(const std::vector<CaptureInfo>& captures) {
  for (const CaptureInfo& info : captures) {
    const double rate = ParseNotes(info.notes).rate_hz;
    if (rate > 0.0) return rate;
  }
  return 0.0;
}

ordered_json DogJson(const DogToday& d, const DayWords& words) {
  const auto limit = words.limits.find(d.dog);
  ordered_json j = {{"dog", d.dog},
                    {"bites", d.bites},
                    {"up_s", std::floor(d.up_s)},
                    {"last_end_unix_s", OrNull(d.last_end_unix_s)},
                    {"limit_bites", nullptr},
                    {"limit_minutes", nullptr}};
  if (limit != words.limits.end()) {
    if (limit->second.bites) j["limit_bites"] = *limit->second.bites;
    j["limit_minutes"] = OrNull(limit->second.minutes);
  }
  return j;
}

ordered_json NotesJson(const DayWords& words, double now_unix_s) {
  ordered_json notes = ordered_json::array();
  for (auto n = words.notes.rbegin(); n != words.notes.rend(); ++n) {
    if (notes.size() >= kMostNotes || !SameDay(n->at_unix_s, now_unix_s)) break;
    notes.push_back({{"id", n->id},
                     {"clock", LocalClock(n->at_unix_s)},
                     {"dog", n->dog},
                     {"bite", nullptr},
                     {"text", n->text}});
    if (n->bite) notes.back()["bite"] = *n->bite;
  }
  return notes;
}

}  // namespace

std::vector<UpSpan> SpansOf(const std::vector<Mark>& marks, double begin_unix_s,
                            double last_s) {
  std::vector<Mark> dogs;
  for (const Mark& mark : marks) {
    if (!mark.dog.starts_with("!") && mark.t_s <= last_s) dogs.push_back(mark);
  }
  std::stable_sort(dogs.begin(), dogs.end(),
                   [](const Mark& a, const Mark& b) { return a.t_s < b.t_s; });
  std::vector<UpSpan> out;
  for (std::size_t i = 0; i < dogs.size(); ++i) {
    const double to = i + 1 < dogs.size() ? dogs[i + 1].t_s : last_s;
    if (dogs[i].dog.empty()) continue;
    out.push_back({dogs[i].dog, begin_unix_s + dogs[i].t_s, begin_unix_s + to});
  }
  return out;
}

void CountBite(const std::string& dog, double end_unix_s, BitesOfDogs& bites) {
  BitesMade& made = bites[dog];
  ++made.count;
  made.last_end_unix_s = std::max(made.last_end_unix_s, end_unix_s);
}

void Today::Add(const std::vector<UpSpan>& more_spans,
                const BitesOfDogs& more_bites) {
  spans.insert(spans.end(), more_spans.begin(), more_spans.end());
  for (const auto& [dog, more] : more_bites) {
    BitesMade& made = bites[dog];
    made.count += more.count;
    made.last_end_unix_s = std::max(made.last_end_unix_s, more.last_end_unix_s);
  }
}

Expected<Today> ReadEarlier(const Logbook& logbook, double now_unix_s,
                            const OnEarlierBite& on_bite) {
  const auto captures = logbook.Captures();
  if (!captures) return tl::unexpected(captures.error());
  const double rate_hz = RateOf(*captures);
  Today out;
  for (const CaptureInfo& info : *captures) {
    if (!HasWallTime(info) || !SameDay(info.created_unix_s, now_unix_s)) {
      continue;
    }
    double end_s = 0.0;
    BitesOfDogs bites;
    const auto read =
        VisitBites(logbook, info.id, 0.0, [&](const StoredBite& b) {
          end_s = std::max(end_s, b.bite.end_s);
          CountBite(b.bite.dog, WallTime(info, b.bite.end_s), bites);
          if (on_bite) on_bite(info, b, WallTime(info, b.bite.start_s));
        });
    if (!read) return tl::unexpected(read.error());
    const auto marks = logbook.Marks(info.id);
    if (!marks) return tl::unexpected(marks.error());
    out.captures.insert(info.id);
    out.Add(
        SpansOf(*marks, info.created_unix_s, LengthOf(info, end_s, rate_hz)),
        bites);
  }
  return out;
}

Expected<std::map<std::string, int>> StruckOutOf(
    const Logbook& logbook, const std::set<std::int64_t>& captures,
    const DayWords& words) {
  std::map<std::string, int> out;
  for (const auto& [id, reason] : words.withdrawn) {
    const auto stored = FindStoredBite(logbook, id);
    if (!stored) return tl::unexpected(stored.error());
    if (!*stored || !captures.contains((*stored)->provenance.capture)) continue;
    ++out[(*stored)->bite.dog];
  }
  return out;
}

std::vector<DogToday> TallyDay(const Today& today,
                               const std::vector<std::string>& order) {
  std::vector<DogToday> out;
  for (const std::string& dog : order) out.push_back({dog, 0, 0, 0.0, {}});
  const auto of = [&out](const std::string& dog) -> DogToday& {
    for (DogToday& d : out) {
      if (d.dog == dog) return d;
    }
    out.push_back({dog, 0, 0, 0.0, {}});
    return out.back();
  };
  for (const UpSpan& span : today.spans) of(span.dog);
  for (const auto& [dog, made] : today.bites) {
    if (dog.empty() || made.count == 0) continue;
    DogToday& d = of(dog);
    const auto struck = today.struck_out.find(dog);
    d.struck_out = struck == today.struck_out.end() ? 0 : struck->second;
    d.bites = made.count - d.struck_out;
    d.last_end_unix_s = made.last_end_unix_s;
  }
  for (DogToday& d : out) {
    std::vector<UpSpan> own;
    std::copy_if(today.spans.begin(), today.spans.end(),
                 std::back_inserter(own),
                 [&](const UpSpan& span) { return span.dog == d.dog; });
    d.up_s = Covered(std::move(own));
  }
  return out;
}

std::vector<std::string> RunningOrder(const std::vector<RosterEntry>& roster,
                                      const DayWords& words) {
  const auto known = [&](const std::string& dog) {
    return std::any_of(roster.begin(), roster.end(),
                       [&](const RosterEntry& e) { return e.dog == dog; });
  };
  std::vector<std::string> out;
  for (const std::string& dog : words.order) {
    if (known(dog)) out.push_back(dog);
  }
  for (const RosterEntry& e : roster) {
    if (std::find(out.begin(), out.end(), e.dog) == out.end()) {
      out.push_back(e.dog);
    }
  }
  return out;
}

std::string DayMessage(const std::vector<std::string>& order,
                       const std::vector<DogToday>& dogs, const DayWords& words,
                       const std::optional<std::string>& undo,
                       double now_unix_s) {
  ordered_json list = ordered_json::array();
  for (const DogToday& d : dogs) list.push_back(DogJson(d, words));
  ordered_json j = {{"type", "day"},
                    {"order", order},
                    {"dogs", list},
                    {"notes", NotesJson(words, now_unix_s)},
                    {"undo", nullptr}};
  if (undo) j["undo"] = *undo;
  return j.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

std::vector<LimitReached> LimitsReached(const std::vector<DogToday>& dogs,
                                        const DayWords& words) {
  std::vector<LimitReached> out;
  for (const DogToday& d : dogs) {
    const auto limit = words.limits.find(d.dog);
    if (limit == words.limits.end()) continue;
    const int made = d.bites + d.struck_out;
    if (limit->second.bites && made >= *limit->second.bites) {
      std::string text = fmt::format(
          "{} has had {} {}{}, the limit set for today.", d.dog, made,
          made == 1 ? "bite" : "bites",
          d.struck_out > 0 ? fmt::format(" ({} struck out)", d.struck_out)
                           : "");
      if (made > *limit->second.bites) {
        text =
            fmt::format("{} has had {} bites; the limit set for today is {}.",
                        d.dog, made, *limit->second.bites);
      }
      out.push_back({fmt::format("{}\nbites\n{}", d.dog, *limit->second.bites),
                     made, text});
    }
    if (limit->second.minutes && d.up_s >= 60.0 * *limit->second.minutes) {
      out.push_back(
          {fmt::format("{}\nminutes\n{}", d.dog, *limit->second.minutes), 0,
           fmt::format("{} has been up for {:g} minutes, the limit set for "
                       "today.",
                       d.dog, *limit->second.minutes)});
    }
  }
  return out;
}

}  // namespace masseter
