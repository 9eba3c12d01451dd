#include <algorithm>
#include <map>

#include "app/bite_list.h"
#include "app/file_io.h"
#include "app/measure_capture.h"
#include "app/record_session.h"
#include "app/validity.h"

namespace masseter {
namespace {

constexpr auto kDayEvery = std::chrono::seconds(1);
// A quarter of a second.
constexpr std::uint64_t kMostRowsToMeasure = 2'000'000;

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

// A recorder that died today left its last bite unmeasured. A long recording
// is left to whoever asks for its bites: samples that come now matter more.
void RecordSession::MeasureTheDead() {
  const auto captures = book_.logbook.Captures();
  if (!captures) return;
  for (const CaptureInfo& info : *captures) {
    if (!info.open || info.rows > kMostRowsToMeasure || !HasWallTime(info) ||
        !SameDay(info.created_unix_s, NowUnixS())) {
      continue;
    }
    const auto done = MeasureCapture(book_, info);
    if (!done) {
      Say("An earlier recording is not measured: " + done.error().Text());
    }
  }
}

Expected<void> RecordSession::LoadDay() {
  MeasureTheDead();
  auto words = ReadDayWords(book_.logbook, NowUnixS());
  if (!words) return tl::unexpected(words.error());
  // What the day brought before this recording is on the pages from the start.
  auto earlier = ReadEarlier(
      book_.logbook, NowUnixS(),
      [&](const CaptureInfo& info, const StoredBite& stored, double at) {
        Bite bite = stored.bite;
        LayOver(*words, bite);
        publisher_->TakeBite(SleeveOf(info), bite, stored.spark, at);
      });
  if (!earlier) return tl::unexpected(earlier.error());
  earlier_ = std::move(*earlier);
  if (auto ok = RefreshRoster(); !ok) return ok;
  if (auto ok = RefreshDay(); !ok) return ok;
  TellChecks();
  return {};
}

// The sleeve that an earlier recording was of, by its source; the first where
// it is not among these.
int RecordSession::SleeveOf(const CaptureInfo& info) const {
  for (const auto& live : sources_) {
    if (live->name.text == info.source) return live->number;
  }
  return 0;
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
  auto struck_out = StruckOutOf(book_.logbook, CapturesOfToday(), *words);
  if (!struck_out) return tl::unexpected(struck_out.error());
  const DayWords before = std::exchange(words_, std::move(*words));
  struck_out_ = std::move(*struck_out);
  last_entry_ = *last;
  for (const std::int64_t bite : Changed(before.withdrawn, words_.withdrawn)) {
    if (auto ok = ShowAgain(bite); !ok) return ok;
  }
  TellDay();
  return {};
}

std::set<std::int64_t> RecordSession::CapturesOfToday() const {
  std::set<std::int64_t> out = earlier_.captures;
  for (const auto& live : sources_) {
    if (live->recording && live->recording->begun()) {
      out.insert(live->recording->capture());
    }
  }
  return out;
}

Expected<void> RecordSession::ShowAgain(std::int64_t id) {
  auto stored = FindStoredBite(book_.logbook, id);
  if (!stored) return tl::unexpected(stored.error());
  if (!*stored) return {};
  LayOver(words_, (*stored)->bite);
  publisher_->ShowAgain((*stored)->bite);
  return {};
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
    today.Add(SpansOf(r.marks(), r.begin_unix_s(), r.last_s()), r.bites_of());
  }
  today.struck_out = struck_out_;
  const auto order = RunningOrder(roster_, words_);
  const auto dogs = TallyDay(today, order);
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
    const auto told = warned_.find(limit.key);
    if (told != warned_.end() && told->second == limit.made) continue;
    warned_[limit.key] = limit.made;
    Tell("warn", limit.text);
  }
}

}  // namespace masseter
