#include <utility>
// After <utility>, which Boost 1.74's Asio misses with g++ 12.
#include <algorithm>
#include <boost/asio/post.hpp>
#include <future>

#include "app/dog_files.h"
#include "app/file_io.h"
#include "app/record_session.h"

namespace masseter {
namespace {

using nlohmann::json;

constexpr auto kAnswerWithin = std::chrono::seconds(2);

// "Juno is up", "Juno is up on sleeve 2".
std::string MarkWords(const OperatorAction& a) {
  std::string out =
      a.type == "up" ? a.dog + " is up" : std::string("the out command");
  if (a.sleeve) out += " on sleeve " + std::to_string(*a.sleeve + 1);
  return out;
}

}  // namespace

Expected<void> RecordSession::Queue(const std::string& text) {
  auto action = ParseAction(text, sources_.size());
  if (!action) return tl::unexpected(action.error());
  auto answer = std::make_shared<std::promise<Expected<void>>>();
  auto future = answer->get_future();
  boost::asio::post(io_, [this, answer, a = std::move(*action)] {
    answer->set_value(Do(a));
  });
  if (future.wait_for(kAnswerWithin) != std::future_status::ready) {
    return MachineFailure("",
                          "the recorder is busy; look whether it was done "
                          "before you try again");
  }
  return future.get();
}

Expected<void> RecordSession::Do(const OperatorAction& a) {
  if (done_) return BadInput("", "nothing is being recorded now");
  if (a.type == "dog") return PutDog(a);
  if (a.type == "order") return SetOrder(a);
  if (a.type == "limit") return SetLimit(a);
  if (a.type == "note") return Note(a);
  if (a.type == "void" || a.type == "restore") return StrikeOutOrBack(a);
  if (a.type == "undo") return Undo();
  if (a.type == "checks") return OpenChecks(a);
  if (a.type == "load") return AskLoad(a);
  if (a.type == "passed") return Pass(a);
  return MarkSleeves(a);
}

std::vector<RecordSession::Live*> RecordSession::SleevesOf(
    const OperatorAction& action) {
  std::vector<Live*> out;
  for (auto& live : sources_) {
    if (!action.sleeve || *action.sleeve == live->number) {
      out.push_back(live.get());
    }
  }
  return out;
}

Moment RecordSession::Now() const {
  Moment out{NowUnixS(), 0, std::nullopt};
  for (const auto& live : sources_) {
    if (!live->recording->begun()) continue;
    out.capture = live->recording->capture();
    out.t_s = live->recording->last_s();
    return out;
  }
  return out;
}

std::string RecordSession::DogUpNow() const {
  for (const auto& live : sources_) {
    if (std::string up = live->recording->up(); !up.empty()) return up;
  }
  return "";
}

bool RecordSession::KnowsDog(const std::string& dog) const {
  return std::any_of(roster_.begin(), roster_.end(),
                     [&](const RosterEntry& e) { return e.dog == dog; });
}

// up, out, zero
Expected<void> RecordSession::MarkSleeves(const OperatorAction& a) {
  const std::string what = a.type == "up"    ? a.dog
                           : a.type == "out" ? std::string(kOutMark)
                                             : std::string(kZeroMark);
  Done done{a.type, MarkWords(a)};
  for (Live* live : SleevesOf(a)) {
    const auto mark = live->recording->MarkNow(what);
    if (!mark) return tl::unexpected(mark.error());
    if (*mark) done.marks.emplace_back(live->number, **mark);
  }
  if (done.marks.empty()) {
    return BadInput("", "this sleeve's recording has ended");
  }
  if (a.type != "zero") undo_.push_back(std::move(done));
  for (auto& live : sources_) {
    publisher_->SetUp(live->number, live->recording->up());
  }
  TellDay();
  return {};
}

Expected<void> RecordSession::PutDog(const OperatorAction& a) {
  Done done{"dog", a.dog + " on the roster"};
  done.dog = a.dog;
  for (const RosterEntry& e : roster_) {
    if (e.dog == a.dog) done.dog_before = e;
  }
  auto put = book_.logbook.PutRoster({{a.dog, a.breed, a.mass_kg}});
  if (!put) return put;
  undo_.push_back(std::move(done));
  if (auto ok = RefreshRoster(); !ok) return ok;
  TellDay();
  return {};
}

// Stores an entry that can be taken back.
Expected<void> RecordSession::Say(const char* kind, const json& document,
                                  Done done) {
  const Moment now = Now();
  const auto entry = book_.logbook.AddDayEntry(
      {0, kind, now.unix_s, now.capture, now.t_s,
       document.dump(-1, ' ', false, json::error_handler_t::replace)});
  if (!entry) return tl::unexpected(entry.error());
  done.entry = *entry;
  undo_.push_back(std::move(done));
  return RefreshDay();
}

Expected<void> RecordSession::SetOrder(const OperatorAction& a) {
  for (const std::string& dog : a.dogs) {
    if (!KnowsDog(dog)) return BadInput("", dog + " is not on the roster");
  }
  return Say("order", {{"dogs", a.dogs}}, {"order", "the new running order"});
}

Expected<void> RecordSession::SetLimit(const OperatorAction& a) {
  if (!KnowsDog(a.dog)) return BadInput("", a.dog + " is not on the roster");
  json j = {{"dog", a.dog}, {"bites", nullptr}, {"minutes", nullptr}};
  if (a.bites) j["bites"] = *a.bites;
  if (a.minutes) j["minutes"] = *a.minutes;
  return Say("limit", j, {"limit", "the limit of " + a.dog});
}

Expected<void> RecordSession::Note(const OperatorAction& a) {
  const auto entry = AddNote(book_.logbook, a.bite, DogUpNow(), a.text, Now());
  if (!entry) return tl::unexpected(entry.error());
  undo_.push_back({"note", "the note \"" + a.text + "\"", *entry});
  return RefreshDay();
}

Expected<void> RecordSession::StrikeOutOrBack(const OperatorAction& a) {
  const bool out = a.type == "void";
  const auto entry = out ? StrikeOut(book_.logbook, *a.bite, a.reason, Now())
                         : GiveBack(book_.logbook, *a.bite, Now());
  if (!entry) return tl::unexpected(entry.error());
  const std::string bite = "bite " + std::to_string(*a.bite);
  undo_.push_back(
      {a.type, bite + (out ? " is struck out" : " counts again"), *entry});
  return RefreshDay();
}

Expected<void> RecordSession::Undo() {
  if (undo_.empty()) return BadInput("", "there is nothing to take back");
  Done& done = undo_.back();
  const Moment now = Now();
  if (done.entry != 0) {
    const auto entry = TakeBack(book_.logbook, done.entry, now);
    if (!entry) return tl::unexpected(entry.error());
  } else if (done.what == "dog") {
    if (auto ok = TakeDogBack(done); !ok) return ok;
  } else {
    if (auto ok = TakeMarksBack(done); !ok) return ok;
  }
  undo_.pop_back();
  return RefreshDay();
}

Expected<void> RecordSession::TakeDogBack(const Done& done) {
  const Moment now = Now();
  const json document = {{"took_back", "dog"}, {"dog", done.dog}};
  const auto ok = book_.logbook.Transact([&]() -> Expected<void> {
    auto back = done.dog_before ? book_.logbook.PutRoster({*done.dog_before})
                                : book_.logbook.RemoveDog(done.dog);
    if (!back) return back;
    const auto entry = book_.logbook.AddDayEntry(
        {0, "undo", now.unix_s, now.capture, now.t_s, document.dump()});
    if (!entry) return tl::unexpected(entry.error());
    return {};
  });
  return ok ? RefreshRoster() : ok;
}

Expected<void> RecordSession::TakeMarksBack(Done& done) {
  json gone = json::array();
  std::set<std::int64_t> changed;
  // One that fails stays, with those before it, to be tried again.
  while (!done.marks.empty()) {
    const auto& [number, mark] = done.marks.back();
    Recording& recording =
        *sources_[static_cast<std::size_t>(number)]->recording;
    const auto bites = recording.TakeBack(mark);
    if (!bites) return tl::unexpected(bites.error());
    changed.insert(bites->begin(), bites->end());
    gone.push_back({{"capture", recording.capture()},
                    {"t_s", mark.t_s},
                    {"dog", mark.dog}});
    done.marks.pop_back();
  }
  const Moment now = Now();
  const auto entry = book_.logbook.AddDayEntry(
      {0, "undo", now.unix_s, now.capture, now.t_s,
       json{{"took_back", done.what}, {"marks", gone}}.dump()});
  if (!entry) return tl::unexpected(entry.error());
  for (auto& live : sources_) {
    publisher_->SetUp(live->number, live->recording->up());
  }
  for (const std::int64_t bite : changed) {
    if (auto ok = ShowAgain(bite); !ok) return ok;
  }
  return {};
}

}  // namespace masseter
