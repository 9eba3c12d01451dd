// The guided checks: what a stage looks at, its check load, its end.
#include <sys/stat.h>
#include <sys/statvfs.h>

#include <algorithm>

#include "app/check_book.h"
#include "app/file_io.h"
#include "app/json_values.h"
#include "app/record_session.h"
#include "app/validity.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr auto kLoadWithin = std::chrono::seconds(20);
constexpr auto kLoadFromZero = std::chrono::seconds(60);
// After a load without a stage: it is still to be taken off.
constexpr auto kHandling = std::chrono::seconds(30);
constexpr double kNoLoad = 0.2;  // a sleeve that reads less bears no such load
// What a row takes on the disk while too few are there to see it: bytes a
// column, as four-channel captures at 1 kHz do.
constexpr double kBytesAColumn = 3.0;
constexpr std::uint64_t kRowsToSee = 20000;

ordered_json ItemJson(const StageItem& item) {
  ordered_json j = {{"what", item.what},
                    {"state", item.state},
                    {"text", item.text},
                    {"sleeve", nullptr}};
  if (item.sleeve) j["sleeve"] = *item.sleeve;
  return j;
}

ordered_json ItemsJson(const std::vector<StageItem>& items) {
  ordered_json out = ordered_json::array();
  for (const StageItem& item : items) out.push_back(ItemJson(item));
  return out;
}

ordered_json LoadJson(const std::optional<LoadTaken>& load) {
  if (!load) return nullptr;
  return {{"mass_kg", load->mass_kg},
          {"sleeve_n", load->sleeve_n},
          {"sleeve_u95_n", load->sleeve_u95_n},
          {"difference_n", load->difference_n},
          {"within", load->within}};
}

}  // namespace

void RecordSession::Watch(const std::string& stage) {
  Checks checks;
  checks.stage = stage;
  for (auto& live : sources_) {
    checks.watches.push_back(
        std::make_unique<SleeveWatch>(book_.rig, book_.CalibrationOrNull()));
    live->recording->SetTap([watch = checks.watches.back().get()](
                                const RawBlock& block) { watch->Push(block); });
  }
  checks_ = std::move(checks);
}

void RecordSession::StopWatching() {
  for (auto& live : sources_) live->recording->SetTap({});
  checks_.watches.clear();
  checks_.close.reset();
}

Expected<void> RecordSession::OpenChecks(const OperatorAction& a) {
  Watch(a.stage);
  if (auto ok = LearnBook(); !ok) return ok;
  if (auto ok = NobodyUp(); !ok) return ok;
  JudgeItems();
  TellChecks();
  return {};
}

// Whoever hangs a load on the sleeve is not a dog.
Expected<void> RecordSession::NobodyUp() {
  Done done{"up", "nobody is up"};
  for (auto& live : sources_) {
    if (live->recording->up().empty()) continue;
    const auto mark = live->recording->MarkNow("");
    if (!mark) return tl::unexpected(mark.error());
    if (*mark) done.marks.emplace_back(live->number, **mark);
    publisher_->SetUp(live->number, live->recording->up());
  }
  if (!done.marks.empty()) undo_.push_back(std::move(done));
  TellDay();
  return {};
}

// What holds for the whole stage: the newest moment in the logbook, and what a
// row takes in it.
Expected<void> RecordSession::LearnBook() {
  const auto captures = book_.logbook.Captures();
  if (!captures) return tl::unexpected(captures.error());
  const auto bench = book_.logbook.BenchEntries("");
  if (!bench) return tl::unexpected(bench.error());
  std::uint64_t rows = 0;
  double newest = 0.0;
  for (const CaptureInfo& info : *captures) {
    rows += info.rows;
    newest = std::max(newest, info.created_unix_s);
  }
  for (const BenchEntry& entry : *bench) {
    newest = std::max(newest, entry.created_unix_s);
  }
  for (const DayNote& note : words_.notes) {
    newest = std::max(newest, note.at_unix_s);
  }
  checks_.newest_unix_s = newest;
  checks_.bytes_a_row =
      kBytesAColumn * static_cast<double>(book_.rig.channels.size() + 2);
  struct stat file = {};
  if (rows > kRowsToSee && ::stat(book_.logbook.path().c_str(), &file) == 0) {
    checks_.bytes_a_row =
        static_cast<double>(file.st_size) / static_cast<double>(rows);
  }
  return {};
}

SleeveFacts RecordSession::FactsOf(const Live& live) const {
  const auto number = static_cast<std::size_t>(live.number);
  SleeveFacts out;
  out.sleeve = live.number;
  out.begun = live.recording->begun() && live.recording->samples() > 0;
  out.lost = live.loss.has_value() || live.recording->ended();
  out.silence_s = Silence(live);
  out.health = checks_.watches[number]->Health();
  out.wander = checks_.watches[number]->Zero();
  out.frame = publisher_->frame(live.number);
  out.clocks = live.recording->clocks();
  return out;
}

BookFacts RecordSession::FactsOfBook() const {
  BookFacts out;
  if (!book_.calibration) return out;
  out.calibrated = true;
  out.expanded_relative_u95 = book_.calibration->expanded_relative_u95;
  out.force_low_n = book_.calibration->force_low_n;
  out.force_high_n = book_.calibration->force_high_n;
  CaptureInfo now;
  now.created_unix_s = NowUnixS();
  const auto in_force = CalibrationFor(book_.logbook, now);
  if (!in_force) return out;
  const auto validity = ValidityOf(book_.logbook, *in_force);
  if (validity) out.validity = *validity;
  return out;
}

HostFacts RecordSession::FactsOfHost() const {
  HostFacts out;
  out.now_unix_s = NowUnixS();
  out.newest_unix_s = checks_.newest_unix_s;
  struct statvfs disk = {};
  if (::statvfs(book_.logbook.path().c_str(), &disk) == 0) {
    out.free_bytes =
        static_cast<double>(disk.f_bavail) * static_cast<double>(disk.f_frsize);
  }
  for (const auto& live : sources_) {
    const double period_s = live->recording->timeline().period_s;
    if (live->recording->begun() && period_s > 0.0) {
      out.bytes_per_s += checks_.bytes_a_row / period_s;
    }
  }
  return out;
}

void RecordSession::JudgeItems() {
  checks_.items.clear();
  if (checks_.stage == "none") {
    checks_.items.push_back(LoadItem(checks_.load, FactsOfBook()));
    return;
  }
  for (const auto& live : sources_) {
    for (StageItem& item : SleeveItems(FactsOf(*live), book_.rig)) {
      checks_.items.push_back(std::move(item));
    }
  }
  const BookFacts book = FactsOfBook();
  const HostFacts host = FactsOfHost();
  checks_.items.push_back(CalibrationItem(book, host.now_unix_s));
  checks_.items.push_back(LoadItem(checks_.load, book));
  checks_.items.push_back(DiskItem(host));
  checks_.items.push_back(ClockItem(host));
}

void RecordSession::TickChecks() {
  if (checks_.watches.empty()) return;
  if (checks_.close && Clock::now() > *checks_.close) return StopWatching();
  if (checks_.load.waiting) {
    const auto tried = TryLoad();
    if (!tried) Tell("warn", tried.error().Text());
  }
  JudgeItems();
  TellChecks();
}

Expected<void> RecordSession::AskLoad(const OperatorAction& a) {
  if (!book_.calibration) {
    return BadInput("", "there is no calibration to check; calibrate first");
  }
  const bool staged = checks_.stage != "none";
  if (!staged) {
    Watch("none");
    if (auto ok = NobodyUp(); !ok) return ok;
  }
  checks_.load = {};
  checks_.load.waiting = true;
  checks_.load.from_zero = !staged;
  checks_.mass_kg = *a.mass_kg;
  checks_.sleeves.clear();
  for (const Live* live : SleevesOf(a)) {
    checks_.sleeves.push_back(live->number);
  }
  checks_.give_up = Clock::now() + (staged ? kLoadWithin : kLoadFromZero);
  if (auto ok = TryLoad(); !ok) return ok;
  JudgeItems();
  TellChecks();
  return {};
}

Expected<void> RecordSession::TryLoad() {
  std::string why_not;
  for (const int sleeve : checks_.sleeves) {
    const auto windows =
        checks_.watches[static_cast<std::size_t>(sleeve)]->Load();
    if (windows) return TakeLoad(sleeve, *windows);
    why_not = windows.error().what;
  }
  if (Clock::now() < checks_.give_up) return {};
  checks_.load.waiting = false;
  if (checks_.stage == "none") checks_.close = Clock::now();
  checks_.load.why_not = "no load was seen: " + why_not +
                         "; take everything off for three seconds, hang the "
                         "load, let it rest, measure again";
  return {};
}

Expected<void> RecordSession::TakeLoad(int sleeve,
                                       const CheckWindows& windows) {
  checks_.load.waiting = false;
  if (checks_.stage == "none") checks_.close = Clock::now() + kHandling;
  CheckRequest request;
  request.mass_kg = checks_.mass_kg;
  const auto load = LoadOf(request, *book_.calibration);
  if (!load) return tl::unexpected(load.error());
  const CheckResult r = JudgeCheck(
      *book_.calibration, *load, windows.zero, windows.loaded,
      windows.zero_after ? &*windows.zero_after : nullptr, std::nullopt);
  if (r.sleeve_n < kNoLoad * r.load_n) {
    checks_.load.why_not =
        "the sleeve bears far less than that; take everything off for three "
        "seconds, hang the load, let it rest, measure again";
    return {};
  }
  const auto stored = StoreCheck(book_, request, r);
  if (!stored) return tl::unexpected(stored.error());
  checks_.load.taken =
      LoadTaken{checks_.mass_kg, r.sleeve_n, r.sleeve_u95_n, r.difference_n,
                r.limit_n,       r.within,   sleeve};
  checks_.watches[static_cast<std::size_t>(sleeve)]->LoadTaken();
  return {};
}

Expected<void> RecordSession::Pass(const OperatorAction& a) {
  if (checks_.stage == "none") return BadInput("", "no checks are open");
  JudgeItems();
  const StageItem* bad = FirstBad(checks_.items);
  if (bad != nullptr && !a.anyway) {
    return BadInput("", bad->what + ": " + bad->text +
                            " (or say why you go on all the same)");
  }
  ordered_json document = {{"stage", checks_.stage},
                           {"items", ItemsJson(checks_.items)},
                           {"load", LoadJson(checks_.load.taken)},
                           {"anyway", nullptr}};
  if (bad != nullptr) document["anyway"] = *a.anyway;
  const Moment now = Now();
  const auto entry = book_.logbook.AddDayEntry(
      {0, "stage", now.unix_s, now.capture, now.t_s,
       document.dump(-1, ' ', false, ordered_json::error_handler_t::replace)});
  if (!entry) return tl::unexpected(entry.error());
  StopWatching();
  checks_ = Checks{};
  if (auto ok = RefreshDay(); !ok) return ok;
  TellChecks();
  return {};
}

void RecordSession::TellChecks() {
  const double now_unix_s = NowUnixS();
  ordered_json passed = nullptr;
  for (const StageRecord& stage : words_.stages) {
    const bool this_one =
        checks_.stage == "none" || stage.stage == checks_.stage;
    if (!this_one || !SameDay(stage.at_unix_s, now_unix_s)) continue;
    passed = LocalClock(stage.at_unix_s);
  }
  const ordered_json j = {{"type", "checks"},
                          {"stage", checks_.stage},
                          {"items", ItemsJson(checks_.items)},
                          {"load", LoadJson(checks_.load.taken)},
                          {"cautions", CautionsOf(checks_.stage)},
                          {"passed", passed}};
  publisher_->PublishKept(
      "checks", j.dump(-1, ' ', false, ordered_json::error_handler_t::replace));
}

void RecordSession::Bitten(const Bite& measured) {
  Bite bite = measured;
  if (!checks_.watches.empty() && bite.dog.empty()) {
    // Best effort: a bite of nobody counts for no dog anyway.
    const auto entry = StrikeOut(book_.logbook, bite.id,
                                 "handled while it was checked", Now());
    if (!entry) Tell("warn", entry.error().Text());
    if (const auto ok = RefreshDay(); !ok) Tell("warn", ok.error().Text());
    LayOver(words_, bite);
  }
  TellDay();
  if (request_.on_bite) request_.on_bite(bite);
}

}  // namespace masseter
