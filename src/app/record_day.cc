#include <algorithm>
#include <map>

#include "app/file_io.h"
#include "app/record_session.h"

namespace masseter {
namespace {

constexpr auto kDayEvery = std::chrono::seconds(1);

using Withdrawn = std::map<std::int64_t, std::string>;

// Bites of which something else is said.
std::set<std::int64_t> Changed(const Withdrawn& before, const Withdrawn& now) {
  std::set<std::int64_t> out;
  for (const auto& [bite, reason] : before) {
    const auto found = now.find(bite);
    if (found == now.end() || found->second != reason) out.insert(bite);
  }
  for (const auto& [bite, reason] : now) {
    if (!before.contains(bite)) out.insert(bite);
  }
  return out;
}

}  // namespace

Expected<void> RecordSession::LoadDay() {
  auto earlier = ReadEarlier(book_.logbook, NowUnixS(), {});
  if (!earlier) return tl::unexpected(earlier.error());
  earlier_ = std::move(*earlier);
  if (auto ok = RefreshRoster(); !ok) return ok;
  if (auto ok = RefreshDay(); !ok) return ok;
  TellChecks();
  return {};
}

Expected<void> RecordSession::RefreshRoster() {
  auto roster = book_.logbook.Roster();
  if (!roster) return tl::unexpected(roster.error());
  roster_ = std::move(*roster);
  // The call's own dogs are stored with the first sleeve that comes up, and are
  // there before.
  if (!roster_put_) {
    for (const RosterEntry& dog : request_.roster) {
      const auto known = std::find_if(
          roster_.begin(), roster_.end(),
          [&](const RosterEntry& entry) { return entry.dog == dog.dog; });
      if (known == roster_.end()) {
        roster_.push_back(dog);
      } else {
        *known = dog;
      }
    }
  }
  publisher_->SetRoster(roster_);
  return {};
}

Expected<void> RecordSession::RefreshDay() {
  const auto last = book_.logbook.LastDayEntry();
  if (!last) return tl::unexpected(last.error());
  auto words = ReadDayWords(book_.logbook, NowUnixS());
  if (!words) return tl::unexpected(words.error());
  const DayWords before = std::exchange(words_, std::move(*words));
  last_entry_ = *last;
  for (const std::int64_t bite : Changed(before.withdrawn, words_.withdrawn)) {
    ShowAgain(bite);
  }
  TellDay();
  return {};
}

void RecordSession::ShowAgain(std::int64_t id) {
  for (const auto& live : sources_) {
    if (!live->recording) continue;
    for (const Recording::Stored& stored : live->recording->stored()) {
      if (stored.bite.id != id) continue;
      Bite bite = stored.bite;
      LayOver(words_, bite);
      publisher_->ShowAgain(bite);
    }
  }
}

// Once a second: how long dogs are up, and whether somebody else wrote into
// the logbook (`masseter amend`).
void RecordSession::TickDay() {
  if (Clock::now() < next_day_) return;
  next_day_ = Clock::now() + kDayEvery;
  const auto last = book_.logbook.LastDayEntry();
  TickChecks();
  // What cannot be read now is read the next time; samples matter more.
  if (last && *last != last_entry_ && RefreshDay()) return;
  TellDay();
}

void RecordSession::TellDay() {
  Today today = earlier_;
  for (const auto& live : sources_) {
    if (!live->recording || !live->recording->begun()) continue;
    const Recording& r = *live->recording;
    const auto spans = SpansOf(r.marks(), r.begin_unix_s(), r.last_s());
    today.spans.insert(today.spans.end(), spans.begin(), spans.end());
    for (const Recording::Stored& s : r.stored()) {
      today.bites.push_back({s.bite.id, s.bite.dog, s.end_unix_s});
    }
  }
  const auto order = RunningOrder(roster_, words_);
  const auto dogs = TallyDay(today, words_, order);
  std::map<std::string, int> bites;
  for (const DogToday& d : dogs) bites[d.dog] = d.bites;
  publisher_->SetBitesToday(std::move(bites));
  std::optional<std::string> undo;
  if (!undo_.empty()) undo = undo_.back().words;
  publisher_->PublishKept("day",
                          DayMessage(order, dogs, words_, undo, NowUnixS()));
  MindLimits(dogs);
}

void RecordSession::MindLimits(const std::vector<DogToday>& dogs) {
  for (const LimitReached& limit : LimitsReached(dogs, words_)) {
    if (warned_.insert(limit.key).second) Tell("warn", limit.text);
  }
}

}  // namespace masseter
