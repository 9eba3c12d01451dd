#include "core/bench/bench_session.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace masseter {
namespace {

// Shortest text that reads back as the same double; `digits` > 0 limits it.
std::string NumberText(double value, int digits = 0) {
  std::array<char, 64> text{};
  const auto end =
      digits > 0 ? std::to_chars(text.data(), text.data() + text.size(), value,
                                 std::chars_format::general, digits)
                 : std::to_chars(text.data(), text.data() + text.size(), value);
  return {text.data(), end.ptr};
}

std::string CsvRow(const LoadStep& step, const BenchReading& reading,
                   bool temperature) {
  std::string row = std::to_string(step.series);
  row += step.rising ? ",up," : ",down,";
  row += NumberText(step.load) + "," + NumberText(step.place.x_mm) + "," +
         NumberText(step.place.y_mm) + ",";
  if (temperature) {
    if (reading.value.temp_c) row += NumberText(*reading.value.temp_c, 6);
    row += ",";
  }
  row += NumberText(reading.value.t_s, 10);
  for (const double mean : reading.value.mean) {
    row += "," + NumberText(mean, 12);
  }
  return row + "\n";
}

// A reason is one line of a comment, whatever somebody typed.
std::string OneLine(std::string text) {
  std::replace_if(
      text.begin(), text.end(), [](char c) { return c == '\n' || c == '\r'; },
      ' ');
  return text;
}

}  // namespace

std::string_view BenchStateWord(BenchState state) {
  static constexpr std::array<std::string_view, 4> kWords = {
      "asking", "settling", "impatient", "done"};
  return kWords[static_cast<std::size_t>(state)];
}

BenchSession::BenchSession(const LoadPlan& plan, std::size_t channels,
                           const SettleRule& rule)
    : plan_(plan),
      steps_(StepsOf(plan)),
      watch_(channels, rule),
      closed_(steps_.size(), false),
      full_(channels, 0.0) {
  Next();
}

std::optional<std::size_t> BenchSession::asked() const {
  const auto open = std::find(closed_.begin(), closed_.end(), false);
  if (open == closed_.end()) return std::nullopt;
  return static_cast<std::size_t>(open - closed_.begin());
}

std::size_t BenchSession::read_count() const {
  return static_cast<std::size_t>(
      std::count_if(readings_.begin(), readings_.end(),
                    [](const BenchReading& r) { return r.struck.empty(); }));
}

void BenchSession::Next() {
  state_ = asked() ? BenchState::kAsking : BenchState::kDone;
}

void BenchSession::Placed() {
  if (state_ == BenchState::kDone) return;
  watch_.Begin();
  state_ = BenchState::kSettling;
}

void BenchSession::Back() { Next(); }

std::optional<BenchReading> BenchSession::Add(double t_s,
                                              std::span<const double> values,
                                              bool broken,
                                              std::optional<double> temp_c) {
  if (state_ != BenchState::kSettling && state_ != BenchState::kImpatient) {
    return std::nullopt;
  }
  watch_.Add(t_s, values, broken, temp_c);
  if (watch_.settled()) return Keep(*watch_.Take());
  if (watch_.impatient()) state_ = BenchState::kImpatient;
  return std::nullopt;
}

std::optional<BenchReading> BenchSession::TakeAsItIs() {
  if (state_ != BenchState::kSettling && state_ != BenchState::kImpatient) {
    return std::nullopt;
  }
  auto window = watch_.Take();
  if (!window) return std::nullopt;
  window->settled = false;
  return Keep(std::move(*window));
}

BenchReading BenchSession::Keep(SettledReading value) {
  BenchReading reading{static_cast<int>(readings_.size()) + 1, *asked(),
                       std::move(value), ""};
  Restore(reading);
  return reading;
}

void BenchSession::Restore(const BenchReading& reading) {
  if (reading.step >= steps_.size()) return;
  readings_.push_back(reading);
  closed_[reading.step] = true;
  LearnFullSignal(reading);
  Next();
}

void BenchSession::LearnFullSignal(const BenchReading& reading) {
  if (first_zero_.empty()) {
    if (steps_[reading.step].load == 0.0) first_zero_ = reading.value.mean;
    return;
  }
  for (std::size_t c = 0; c < full_.size(); ++c) {
    full_[c] =
        std::max(full_[c], std::abs(reading.value.mean[c] - first_zero_[c]));
  }
  // A cell far from the load moves little; what it adds to the sum is judged
  // by what the others move.
  const double most = *std::max_element(full_.begin(), full_.end());
  std::vector<double> scale(full_.size());
  for (std::size_t c = 0; c < full_.size(); ++c) {
    scale[c] = std::max(full_[c], 0.25 * most);
  }
  watch_.SetFullSignal(scale);
}

std::optional<int> BenchSession::last_number() const {
  for (auto r = readings_.rbegin(); r != readings_.rend(); ++r) {
    if (r->struck.empty()) return r->number;
  }
  return std::nullopt;
}

bool BenchSession::Strike(int number, const std::string& reason,
                          bool ask_again) {
  if (number < 1 || static_cast<std::size_t>(number) > readings_.size() ||
      reason.empty()) {
    return false;
  }
  BenchReading& reading = readings_[static_cast<std::size_t>(number - 1)];
  if (!reading.struck.empty()) return false;
  reading.struck = reason;
  if (ask_again) closed_[reading.step] = false;
  Next();
  return true;
}

void BenchSession::RestoreStrike(int number, const std::string& reason,
                                 bool ask_again) {
  Strike(number, reason, ask_again);
}

void BenchSession::Skip() {
  if (const auto step = asked()) RestoreSkip(*step);
}

void BenchSession::RestoreSkip(std::size_t step) {
  if (step < closed_.size()) closed_[step] = true;
  Next();
}

std::string ReadingsCsv(const BenchSession& session,
                        const std::vector<std::string>& channels) {
  std::vector<const BenchReading*> order;
  bool temperature = false;
  for (const BenchReading& r : session.readings()) {
    order.push_back(&r);
    temperature = temperature || r.value.temp_c.has_value();
  }
  std::stable_sort(order.begin(), order.end(),
                   [](const BenchReading* a, const BenchReading* b) {
                     return a->step < b->step;
                   });
  std::string out = "series,direction,";
  out += session.plan().by_mass ? "mass_kg" : "force_n";
  out += ",x_mm,y_mm,";
  if (temperature) out += "temp_c,";
  out += "t_s";
  for (const std::string& name : channels) out += "," + name;
  out += "\n";
  for (const BenchReading* r : order) {
    const std::string row = CsvRow(session.steps()[r->step], *r, temperature);
    if (r->struck.empty()) {
      out += row;
    } else {
      out += "# reading " + std::to_string(r->number) +
             " struck out: " + OneLine(r->struck) + "\n# " + row;
    }
  }
  return out;
}

}  // namespace masseter
