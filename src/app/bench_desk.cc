#include "app/bench_desk.h"

#include <fmt/format.h>

#include <cmath>

#include "app/bench_json.h"
#include "app/file_io.h"
#include "app/json_values.h"
#include "core/base/text_fields.h"
#include "report/figure_text.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr const char* kWords =
    "  Enter            the load is in place and nothing touches it\n"
    "  again [reason]   strike out the last reading and take it again\n"
    "  strike N reason  strike out reading N and take it again\n"
    "  drop N reason    strike out reading N for good\n"
    "  skip             leave this load out\n"
    "  take             take the reading although it has not settled\n"
    "  stop             end here; the same command goes on from here\n";

constexpr const char* kCautions =
    "Weights fall: keep feet and hands from under them, lift heavy ones with "
    "two people,\nand put a stop under the plate. No dog and no helper's arm "
    "on the bench.\n";

std::string LoadText(const LoadPlan& plan, double load) {
  return fmt::format("{:g} {}", load, plan.by_mass ? "kg" : "N");
}

// "strike 3 it leaned" -> "strike", "3 it leaned".
std::pair<std::string, std::string> FirstWord(const std::string& text) {
  const std::string line(Trim(text));
  const std::size_t blank = line.find_first_of(" \t");
  if (blank == std::string::npos) return {line, ""};
  return {line.substr(0, blank), std::string(Trim(line.substr(blank)))};
}

ordered_json StepJson(const LoadPlan& plan, const LoadStep& step) {
  ordered_json j = {{"series", step.series},
                    {"direction", step.rising ? "up" : "down"}};
  j[plan.by_mass ? "mass_kg" : "force_n"] = step.load;
  j["x_mm"] = step.place.x_mm;
  j["y_mm"] = step.place.y_mm;
  return j;
}

// Feeds what the logbook holds of one session to a new machine.
void Replay(const std::vector<BenchEntry>& entries, std::int64_t id,
            std::size_t channels, BenchSession& session) {
  for (const BenchEntry& entry : entries) {
    const auto j = nlohmann::json::parse(entry.document, nullptr, false);
    if (!j.is_object() || j.value("session", std::int64_t{0}) != id) continue;
    if (entry.kind == "reading") {
      if (const auto r = ParseBenchReading(j, channels)) session.Restore(*r);
    } else if (entry.kind == "strike") {
      session.RestoreStrike(j.value("number", 0), j.value("reason", ""),
                            j.value("ask_again", true));
    } else if (entry.kind == "skip") {
      session.RestoreSkip(j.value("step", std::size_t{0}));
    }
  }
}

}  // namespace

Expected<std::vector<StoredSession>> SessionsOf(const Book& book,
                                                const SettleRule& rule) {
  const auto entries = book.logbook.BenchEntries("");
  if (!entries) return tl::unexpected(entries.error());
  const std::size_t channels = book.rig.channels.size();
  std::vector<StoredSession> out;
  for (const BenchEntry& entry : *entries) {
    if (entry.kind != "plan") continue;
    const auto plan =
        ParsePlan(nlohmann::json::parse(entry.document, nullptr, false));
    if (!plan) {
      return BadInput(
          book.logbook.path(),
          "bench plan " + std::to_string(entry.id) + " cannot be read");
    }
    StoredSession stored{entry.id, entry.created_unix_s,
                         BenchSession(*plan, channels, rule)};
    Replay(*entries, entry.id, channels, stored.session);
    out.push_back(std::move(stored));
  }
  return out;
}

Expected<BenchDesk> BenchDesk::Open(const std::string& book_path,
                                    const DeskRequest& request) {
  auto book = OpenBook(book_path, Access::kWrite);
  if (!book) return tl::unexpected(book.error());
  auto sessions = SessionsOf(*book, request.rule);
  if (!sessions) return tl::unexpected(sessions.error());
  BenchDesk desk(std::move(*book));
  const bool unfinished = !sessions->empty() &&
                          sessions->back().session.state() != BenchState::kDone;
  if (unfinished && !request.start_anew) {
    if (request.plan_given) {
      return BadInput("--plan",
                      "a bench session is unfinished; leave the plan's options "
                      "out to go on with it, or say --anew to begin another");
    }
    desk.id_ = sessions->back().id;
    desk.created_unix_s_ = sessions->back().created_unix_s;
    desk.session_ =
        std::make_unique<BenchSession>(std::move(sessions->back().session));
    desk.resumed_ = true;
    return desk;
  }
  const auto plan = MakeLoadPlan(desk.book_.rig, request.plan);
  if (!plan) return tl::unexpected(plan.error());
  SleeveGuess guess;
  if (desk.book_.calibration &&
      desk.book_.calibration->relative.reproducibility)
    guess.placing = *desk.book_.calibration->relative.reproducibility;
  const PlanPromise promise = PromiseOf(desk.book_.rig, *plan, guess);
  desk.cost_ = fmt::format(
      "About {:.0f} minutes; at best {:.2g} % of the force (95 %).\n",
      std::max(1.0, promise.minutes), 100.0 * promise.expanded_u95);
  if (request.plan.brief) {
    if (const auto full = MakeLoadPlan(desk.book_.rig, PlanRequest{})) {
      desk.cost_ +=
          CostInWords(promise, PromiseOf(desk.book_.rig, *full, guess)) + "\n";
    }
  }
  desk.created_unix_s_ = NowUnixS();
  const auto id = desk.book_.logbook.AddBenchEntry(
      {0, "plan", desk.created_unix_s_, PlanDocument(*plan).dump()});
  if (!id) return tl::unexpected(id.error());
  desk.id_ = *id;
  desk.session_ = std::make_unique<BenchSession>(
      *plan, desk.book_.rig.channels.size(), request.rule);
  return desk;
}

std::string BenchDesk::Greeting() const {
  const LoadPlan& plan = session_->plan();
  std::string out = fmt::format(
      "{} {}: {}, {}, {} up to {}, {}; {}.\n",
      resumed_ ? "Going on with bench session" : "Bench session", id_,
      CountText(plan.places.size(), "place"),
      CountText(static_cast<std::size_t>(plan.series), "series", "series"),
      CountText(plan.loads.size(), "load"), LoadText(plan, plan.loads.back()),
      plan.falling ? "rising and falling" : "rising only",
      CountText(session_->steps().size(), "reading"));
  if (resumed_) {
    out += CountText(session_->read_count(), "reading") +
           " in the logbook already.\n";
  }
  return out + cost_ + kCautions +
         "Before the first series, load to the maximum three times.\n" + kWords;
}

std::string BenchDesk::StepText(const LoadStep& step) const {
  const LoadPlan& plan = session_->plan();
  const std::string what = step.load == 0.0
                               ? "take everything off"
                               : (plan.by_mass ? "put on " : "bring it to ") +
                                     LoadText(plan, step.load) +
                                     (step.rising ? "" : ", coming down");
  return fmt::format("series {}, place {:g} along, {:g} across (mm): {}",
                     step.series, step.place.x_mm, step.place.y_mm, what);
}

std::string BenchDesk::Prompt() const {
  const auto asked = session_->asked();
  if (stopped_ || !asked || session_->state() != BenchState::kAsking) return "";
  return fmt::format("[{}/{}] {} > ", *asked + 1, session_->steps().size(),
                     StepText(session_->steps()[*asked]));
}

bool BenchDesk::done() const { return session_->state() == BenchState::kDone; }

Expected<void> BenchDesk::Store(const std::string& kind,
                                ordered_json document) {
  document["session"] = id_;
  const auto stored =
      book_.logbook.AddBenchEntry({0, kind, NowUnixS(), document.dump()});
  if (!stored) return tl::unexpected(stored.error());
  return {};
}

Expected<std::string> BenchDesk::Strike(const std::string& number,
                                        const std::string& reason,
                                        bool ask_again) {
  const auto n = ParseNumber(number);
  if (!n) return std::string("Which reading? Say: strike 12 it leaned\n");
  if (reason.empty()) {
    return std::string("A reason is needed: it is kept with the reading.\n");
  }
  const int which = static_cast<int>(*n);
  if (!session_->Strike(which, reason, ask_again)) {
    return fmt::format("There is no reading {} that counts.\n", which);
  }
  auto ok =
      Store("strike",
            {{"number", which}, {"reason", reason}, {"ask_again", ask_again}});
  if (!ok) return tl::unexpected(ok.error());
  return fmt::format("Reading {} is struck out: {}.\n", which, reason);
}

Expected<std::string> BenchDesk::Answer(const std::string& line) {
  const auto [word, rest] = FirstWord(line);
  if (word == "stop") {
    stopped_ = true;
    return std::string("Stopped; the same command goes on from here.\n");
  }
  if (word == "?" || word == "help") return std::string(kWords);
  if (word == "again") {
    const auto last = session_->last_number();
    if (!last) return std::string("Nothing has been read yet.\n");
    return Strike(std::to_string(*last), rest.empty() ? "taken again" : rest,
                  true);
  }
  if (word == "strike" || word == "drop") {
    const auto [number, reason] = FirstWord(rest);
    return Strike(number, reason, word == "strike");
  }
  if (word == "skip") {
    const auto step = session_->asked();
    if (!step) return std::string();
    session_->Skip();
    if (auto ok = Store("skip", {{"step", *step}}); !ok) {
      return tl::unexpected(ok.error());
    }
    return std::string("Left out.\n");
  }
  if (word == "take") {
    const auto reading = session_->TakeAsItIs();
    if (!reading) return std::string("There is no full window yet.\n");
    return Keep(*reading);
  }
  if (word == "wait") return std::string();
  if (!word.empty() && word != "ok") {
    return fmt::format("\"{}\" is not understood; ? lists the words.\n", word);
  }
  if (session_->state() == BenchState::kAsking) {
    session_->Placed();
    told_impatient_ = false;
  }
  return std::string();
}

std::string BenchDesk::ReadingText(const BenchReading& reading) const {
  std::string out = fmt::format(
      "  reading {}{} after {:.1f} s:", reading.number,
      reading.value.settled ? "" : " (not settled)", reading.value.waited_s);
  for (std::size_t c = 0; c < reading.value.mean.size(); ++c) {
    // The standard error's second digit is enough to look at.
    const double u = reading.value.sd[c] /
                     std::sqrt(static_cast<double>(reading.value.samples));
    const int decimals =
        u > 0.0
            ? std::clamp(1 - static_cast<int>(std::floor(std::log10(u))), 0, 6)
            : 1;
    out += fmt::format("  {} {:.{}f}", book_.rig.channels[c].name,
                       reading.value.mean[c], decimals);
  }
  if (reading.value.temp_c) {
    out += fmt::format("  {:.1f} degC", *reading.value.temp_c);
  }
  return out + "\n";
}

Expected<std::string> BenchDesk::Keep(const BenchReading& reading) {
  if (auto ok = Store("reading", ReadingDocument(reading)); !ok) {
    return tl::unexpected(ok.error());
  }
  std::string out = ReadingText(reading);
  if (done()) out += "The plan is done.\n";
  return out;
}

Expected<std::string> BenchDesk::Take(const FeedBlock& block) {
  if (!offset_s_ && block.samples.size() > 0) {
    offset_s_ = NowUnixS() - created_unix_s_ - block.samples.t_s.back();
  }
  std::string out;
  std::vector<double> v(block.samples.channel.size());
  for (std::size_t i = 0; i < block.samples.size(); ++i) {
    for (std::size_t c = 0; c < v.size(); ++c) {
      v[c] = block.samples.channel[c][i];
    }
    const auto reading =
        session_->Add(block.samples.t_s[i] + *offset_s_, v,
                      block.samples.before[i] != Break::kNone, block.temp_c);
    if (!reading) continue;
    auto text = Keep(*reading);
    if (!text) return text;
    out += *text;
  }
  if (session_->state() == BenchState::kImpatient && !told_impatient_) {
    told_impatient_ = true;
    out +=
        "  It does not settle: does something touch or swing? \"take\" takes "
        "it as it is, or wait.\n";
  }
  return out;
}

std::string BenchDesk::Csv() const {
  std::vector<std::string> names;
  for (const Channel& c : book_.rig.channels) names.push_back(c.name);
  return ReadingsCsv(*session_, names);
}

ordered_json SessionJson(const BenchSession& session, std::int64_t id,
                         const Rig& rig) {
  const LoadPlan& plan = session.plan();
  ordered_json channels = ordered_json::array();
  for (const Channel& c : rig.channels) channels.push_back(c.name);
  ordered_json j = {{"session", id},
                    {"state", BenchStateWord(session.state())},
                    {"steps", session.steps().size()},
                    {"read", session.read_count()},
                    {"channels", channels},
                    {"plan", PlanDocument(plan)}};
  const auto asked = session.asked();
  j["asked"] = asked ? StepJson(plan, session.steps()[*asked]) : ordered_json();
  if (asked) j["asked"]["step"] = *asked;
  j["waited_s"] = session.watch().waited_s();
  ordered_json readings = ordered_json::array();
  for (const BenchReading& r : session.readings()) {
    ordered_json one = StepJson(plan, session.steps()[r.step]);
    one.update(ReadingDocument(r));
    one["struck"] = r.struck.empty() ? ordered_json() : ordered_json(r.struck);
    readings.push_back(std::move(one));
  }
  j["readings"] = std::move(readings);
  return j;
}

ordered_json BenchDesk::Snapshot() const {
  return SessionJson(*session_, id_, book_.rig);
}

}  // namespace masseter
