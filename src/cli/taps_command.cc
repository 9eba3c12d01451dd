#include <fmt/format.h>

#include <chrono>

#include "app/book.h"
#include "app/sample_feed.h"
#include "app/tap_json.h"
#include "app/taps_book.h"
#include "cli/answers.h"
#include "cli/command.h"
#include "cli/stop_signal.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::optional<std::string> capture;
  std::optional<std::string> from;
  double seconds = 20.0;
};

nlohmann::ordered_json Answer(const TapsAnswer& a) {
  nlohmann::ordered_json errors = nlohmann::ordered_json::array();
  for (const auto& [hz, error] : a.errors) {
    errors.push_back({{"frequency_hz", hz}, {"amplitude_error", error}});
  }
  nlohmann::ordered_json bites = nlohmann::ordered_json::array();
  for (const BiteDynamics& b : a.bites) {
    bites.push_back({{"id", b.bite}, {"rise_s", b.rise_s}, {"bound", b.bound}});
  }
  nlohmann::ordered_json j = {{"tap_test", a.id}};
  j.update(TapDocument(a.test));
  j["sample_rate_hz"] = a.rate_hz;
  j["flat_within_2_percent_hz"] = a.flat_hz;
  j["bite_band_hz"] = a.bite_band_hz;
  j["amplitude"] = std::move(errors);
  j["bites"] = std::move(bites);
  j["warnings"] = a.test.warnings;
  return j;
}

std::string Words(const TapsAnswer& a) {
  const bool utf8 = TerminalIsUtf8();
  const SecondOrder& s = a.test.system;
  std::string out = fmt::format("Tap test {}: {} used", a.id,
                                CountText(a.test.taps.size(), "tap"));
  if (a.test.not_used > 0) out += fmt::format(", {} not", a.test.not_used);
  out += fmt::format(", {:.0f} samples/s.\n", a.rate_hz);
  TextTable ring;
  ring.AddColumn("", Align::kLeft);
  ring.AddColumn("95 %", Align::kLeft);
  ring.AddRow({"the sleeve rings at",
               FigureText(s.natural_hz, 1.96 * s.natural_u_hz, "Hz")});
  ring.AddRow({"damping, of critical",
               FigureText(100.0 * s.damping, 196.0 * s.damping_u, "%")});
  ring.AddRow({"right within 2 % up to", fmt::format("{:.0f} Hz", a.flat_hz)});
  out += ring.Text(utf8);
  TextTable errors;
  errors.AddColumn("shaking at", Align::kPoint);
  errors.AddColumn("reads too high by", Align::kPoint);
  for (const auto& [hz, error] : a.errors) {
    errors.AddRow(
        {fmt::format("{:.0f} Hz", hz), fmt::format("{:.2f} %", 100.0 * error)});
  }
  out += "\n" + errors.Text(utf8);
  if (!a.bites.empty()) {
    TextTable bites;
    bites.AddColumn("bite", Align::kRight);
    bites.AddColumn("rise", Align::kRight);
    bites.AddColumn("peak off by at most", Align::kPoint);
    for (const BiteDynamics& b : a.bites) {
      bites.AddRow({std::to_string(b.bite), SecondsText(b.rise_s),
                    fmt::format("{:.2f} %", 100.0 * b.bound)});
    }
    out += "\n" + bites.Text(utf8);
  }
  for (const std::string& w : a.test.warnings) {
    out += TerminalText("! " + w, utf8) + "\n";
  }
  return out + "Budgets of bites hold a line \"dynamics\" from now on.\n";
}

Expected<SampleBlock> Listen(const Options& o, std::FILE* words) {
  if (auto ok = CheckLiveSource(*o.from); !ok)
    return tl::unexpected(ok.error());
  const auto book = OpenBook(o.book, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const std::atomic<bool>& stop = WatchStopSignals();
  SampleBlock samples;
  Answers answers;
  const auto start = std::chrono::steady_clock::now();
  FeedEvents events;
  events.on_up = [&](const std::string& text) {
    const std::string told = fmt::format(
        "Listening: {}\nLet the sleeve lie still and tap it with a knuckle or "
        "a "
        "small mallet,\nfive times, a second apart, at different places. Enter "
        "ends (or {:.0f} s).\n",
        text, o.seconds);
    std::fputs(told.c_str(), words);
    std::fflush(words);
  };
  events.on_tick = [&]() -> Expected<bool> {
    const std::chrono::duration<double> elapsed =
        std::chrono::steady_clock::now() - start;
    if (stop || elapsed.count() >= o.seconds) return false;
    return !answers.terminal() || !answers.Next();
  };
  const auto fed = RunFeed({{*o.from, book->rig,
                             [&](const FeedBlock& block) -> Expected<void> {
                               AppendSamples(block.samples, samples);
                               return {};
                             }}},
                           events);
  if (!fed) return tl::unexpected(fed.error());
  return samples;
}

Expected<void> Run(const Options& o, bool json) {
  if (o.capture.has_value() == o.from.has_value()) {
    return BadInput("CAPTURE", "give a capture with taps, or --from SOURCE");
  }
  Expected<TapsAnswer> answer;
  if (o.capture) {
    answer = MeasureTapsInBook(o.book, *o.capture);
  } else {
    const auto samples = Listen(o, json ? stderr : stdout);
    if (!samples) return tl::unexpected(samples.error());
    answer = MeasureTapsInBook(o.book, *samples, *o.from);
  }
  if (!answer) return tl::unexpected(answer.error());
  if (json) return PrintJson(Answer(*answer));
  return Print(Words(*answer));
}

}  // namespace

void AddTaps(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(
      app, "taps",
      "How the sleeve rings after a tap, and what that does to bites");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("CAPTURE", o->capture, "A capture with a few taps");
  command.Add("--from", o->from,
              "The sleeve instead: serial:PATH@BAUD, tcp:HOST:PORT, "
              "udp:PORT");
  command.Add("--seconds", o->seconds, "How long to listen (20)");
  Bind<Options>(command, call, o, "masseter taps day.book taps.csv", Run);
}

}  // namespace masseter::cli
