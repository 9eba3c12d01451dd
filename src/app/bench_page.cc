#include "app/bench_page.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "core/base/text_fields.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr std::size_t kReadingsShown = 12;
constexpr std::size_t kMostWaiting = 16;
constexpr auto kBetween = std::chrono::milliseconds(100);

double Tenth(double value) { return std::round(value * 10.0) / 10.0; }

ordered_json StepJson(const LoadStep& step) {
  return {{"series", step.series},
          {"rising", step.rising},
          {"load", step.load},
          {"x_mm", step.place.x_mm},
          {"y_mm", step.place.y_mm}};
}

// Newest first.
ordered_json ReadingsJson(const BenchSession& session) {
  ordered_json out = ordered_json::array();
  const auto& readings = session.readings();
  for (std::size_t i = readings.size(); i-- > 0;) {
    if (out.size() >= kReadingsShown) break;
    const BenchReading& r = readings[i];
    ordered_json one = {{"number", r.number}};
    one.update(StepJson(session.steps()[r.step]));
    one["settled"] = r.value.settled;
    one["waited_s"] = Tenth(r.value.waited_s);
    one["struck"] = r.struck.empty() ? ordered_json() : ordered_json(r.struck);
    out.push_back(std::move(one));
  }
  return out;
}

// One line: a line break would be a second answer.
std::string OneLine(std::string text) {
  std::replace_if(
      text.begin(), text.end(),
      [](char c) { return static_cast<unsigned char>(c) < 0x20; }, ' ');
  return std::string(Trim(text));
}

}  // namespace

BenchPage::BenchPage(LiveHub& hub, const Rig& rig, std::string title,
                     double patience_s, std::vector<std::string> words)
    : hub_(hub),
      rig_(rig),
      title_(std::move(title)),
      patience_s_(patience_s),
      words_(std::move(words)),
      heard_(Clock::now()) {
  hub_.SetActionHandler(
      [this](const std::string& json) { return Queue(json); });
}

BenchPage::~BenchPage() { hub_.SetActionHandler({}); }

Expected<void> BenchPage::Queue(const std::string& text) {
  const auto j = nlohmann::json::parse(text, nullptr, false);
  const auto word = j.is_object() ? j.find("word") : j.end();
  if (!j.is_object() || j.value("type", ordered_json()) != "desk" ||
      word == j.end() || !word->is_string()) {
    return BadInput("", "the bench does not understand this");
  }
  Word out;
  out.word = word->get<std::string>();
  if (std::find(words_.begin(), words_.end(), out.word) == words_.end()) {
    return BadInput("",
                    "the bench does not know \"" + OneLine(out.word) + "\"");
  }
  if (const auto it = j.find("reason"); it != j.end() && it->is_string()) {
    out.reason = OneLine(it->get<std::string>());
  }
  if (const auto it = j.find("number"); it != j.end() && it->is_number()) {
    const double number = it->get<double>();
    if (number >= 1.0 && number < 1e6) out.number = static_cast<int>(number);
  }
  if (const auto it = j.find("step"); it != j.end() && it->is_number()) {
    const double step = it->get<double>();
    if (step >= 0.0 && step < 1e6) out.step = static_cast<std::size_t>(step);
  }
  if ((out.word == "strike" || out.word == "drop") &&
      (!out.number || out.reason.empty())) {
    return BadInput("", "name the reading and a reason");
  }
  const std::lock_guard lock(mutex_);
  if (queue_.size() >= kMostWaiting) return BadInput("", "too fast");
  queue_.push_back(std::move(out));
  return {};
}

std::optional<std::string> BenchPage::NextLine(const BenchSession& session) {
  Word next;
  {
    const std::lock_guard lock(mutex_);
    if (queue_.empty()) return std::nullopt;
    next = std::move(queue_.front());
    queue_.pop_front();
  }
  if (next.word == "ok" && next.step && next.step != session.asked()) {
    said_ = "That load was read already; the one asked for is another.";
    return std::nullopt;
  }
  std::string line = next.word;
  if (next.number) line += " " + std::to_string(*next.number);
  if (!next.reason.empty()) line += " " + next.reason;
  return line;
}

void BenchPage::Heard(const FeedBlock& block) {
  const std::size_t n = block.samples.size();
  if (n == 0) return;
  heard_ = Clock::now();
  signal_.assign(block.samples.channel.size(), 0.0);
  for (std::size_t c = 0; c < signal_.size(); ++c) {
    for (const double v : block.samples.channel[c]) signal_[c] += v;
    signal_[c] /= static_cast<double>(n);
  }
}

std::string BenchPage::Message(const BenchSession& session) const {
  const auto asked = session.asked();
  const std::chrono::duration<double> silent = Clock::now() - heard_;
  ordered_json channels = ordered_json::array();
  const auto& judged = session.watch().channels();
  const bool settling = session.state() != BenchState::kAsking;
  for (std::size_t c = 0; c < rig_.channels.size(); ++c) {
    ordered_json one = {{"name", rig_.channels[c].name}};
    one["signal"] = c < signal_.size() ? ordered_json(Tenth(signal_[c]))
                                       : ordered_json(nullptr);
    one["still"] = settling && c < judged.size()
                       ? ordered_json(judged[c].slope_ok && judged[c].spread_ok)
                       : ordered_json(nullptr);
    channels.push_back(std::move(one));
  }
  ordered_json places = ordered_json::array();
  for (const Place& p : session.plan().places) {
    places.push_back({p.x_mm, p.y_mm});
  }
  const ordered_json message = {
      {"type", "bench"},
      {"title", title_},
      {"rig", rig_.name},
      {"state", BenchStateWord(session.state())},
      {"step", asked ? ordered_json(*asked) : ordered_json(nullptr)},
      {"steps", session.steps().size()},
      {"read", session.read_count()},
      {"series", session.plan().series},
      {"load_unit", session.plan().by_mass ? "kg" : "N"},
      {"asked",
       asked ? StepJson(session.steps()[*asked]) : ordered_json(nullptr)},
      {"places_mm", places},
      {"waited_s", Tenth(session.watch().waited_s())},
      {"patience_s", patience_s_},
      {"silent_s", Tenth(silent.count())},
      {"channels", channels},
      {"readings", ReadingsJson(session)},
      {"words", words_},
      {"said", said_}};
  return message.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

void BenchPage::Show(const BenchSession& session, const std::string& said) {
  const std::string text = OneLine(said);
  if (!text.empty()) said_ = text;
  const auto now = Clock::now();
  if (text.empty() && now - shown_ < kBetween) return;
  shown_ = now;
  hub_.Publish("bench", Message(session));
}

void BenchPage::End(const std::string& text) {
  const ordered_json message = {{"type", "end"}, {"text", text}};
  hub_.Publish("end", message.dump(-1, ' ', false,
                                   ordered_json::error_handler_t::replace));
}

}  // namespace masseter
