#include <fmt/format.h>

#include <chrono>
#include <cmath>

#include "app/bench_desk.h"
#include "app/reference_capture.h"
#include "cli/answers.h"
#include "cli/command.h"
#include "cli/desk_page.h"
#include "cli/readings_list.h"
#include "cli/stop_signal.h"
#include "core/base/text_fields.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::optional<std::string> from;
  std::optional<std::string> csv;
  std::optional<std::int64_t> session;
  std::string plan = "full";
  std::optional<std::string> masses;
  std::optional<std::string> forces;
  std::optional<std::string> places;
  std::optional<int> series;
  bool anew = false;
  double window_s = 2.0;
  double patience_s = 60.0;
  std::optional<std::string> reference;
  double factor = 1.0;
  std::string columns = "force";
  double rate_hz = 50.0;
  std::optional<double> x_mm;
  std::optional<double> y_mm;
  int bins = 8;
  std::optional<double> seconds;
  PageOptions page;
};

Expected<std::vector<double>> NumberList(const std::string& text,
                                         const std::string& option) {
  std::vector<double> out;
  for (const std::string& field : SplitFields(text, ',')) {
    const auto value = ParseNumber(field);
    if (!value) {
      return BadInput(option, "is a list such as 5,10,20; \"" + field +
                                  "\" is not a number");
    }
    out.push_back(*value);
  }
  return out;
}

Expected<std::vector<Place>> PlaceList(const std::string& text) {
  std::vector<Place> out;
  for (const std::string& field : SplitFields(text, ';')) {
    const auto xy = NumberList(field, "--places");
    if (!xy || xy->size() != 2) {
      return BadInput("--places",
                      "are x,y in millimetres, as in \"0,0;60,20;-60,20\"");
    }
    out.push_back({(*xy)[0], (*xy)[1]});
  }
  return out;
}

Expected<DeskRequest> ToDesk(const Options& o) {
  DeskRequest request;
  if (o.plan != "full" && o.plan != "short") {
    return BadInput("--plan", "must be full or short, not \"" + o.plan + "\"");
  }
  if (o.masses && o.forces) {
    return BadInput("--masses", "give masses or forces, not both");
  }
  request.plan.brief = o.plan == "short";
  request.plan.by_mass = !o.forces;
  request.plan.series = o.series;
  if (const auto& text = o.forces ? o.forces : o.masses) {
    auto loads = NumberList(*text, o.forces ? "--forces" : "--masses");
    if (!loads) return tl::unexpected(loads.error());
    request.plan.loads = std::move(*loads);
  }
  if (o.places) {
    auto places = PlaceList(*o.places);
    if (!places) return tl::unexpected(places.error());
    request.plan.places = std::move(*places);
  }
  if (!(o.window_s >= 0.2 && o.window_s <= 60.0)) {
    return BadInput("--window", "must lie between 0.2 and 60 seconds");
  }
  request.rule.window_s = o.window_s;
  request.rule.patience_s = o.patience_s;
  request.start_anew = o.anew;
  request.plan_given =
      o.masses || o.forces || o.places || o.series || request.plan.brief;
  return request;
}

std::optional<Place> PlaceOf(const Options& o) {
  if (!o.x_mm && !o.y_mm) return std::nullopt;
  return Place{o.x_mm.value_or(0.0), o.y_mm.value_or(0.0)};
}

// How the session ended, for whoever stands at the bench.
std::string EndOnPage(const BenchDesk& desk, const Expected<void>& fed) {
  const std::string read =
      fmt::format("{} of {} readings are in the logbook.",
                  desk.session().read_count(), desk.session().steps().size());
  if (!fed) {
    return "The sleeve is lost: " + fed.error().Text() + ". " + read +
           " The same command goes on from here.";
  }
  return desk.done()
             ? "The plan is done. " + read
             : "Stopped. " + read + " The same command goes on from here.";
}

Expected<std::unique_ptr<DeskPage>> OpenPage(const Options& o,
                                             const BenchDesk& desk,
                                             std::FILE* words,
                                             DeskCalls& calls) {
  DeskPageRequest request;
  request.page = o.page;
  request.title = fmt::format("Bench session {}", desk.id());
  request.patience_s = o.patience_s;
  request.words = {"ok", "again", "strike", "drop", "skip", "take", "stop"};
  return DeskPage::Open(
      request, desk.rig(),
      [&desk]() -> const BenchSession& { return desk.session(); }, words,
      calls);
}

Expected<void> RunAtDesk(const Options& o, bool json) {
  if (auto ok = CheckLiveSource(*o.from); !ok) return ok;
  const auto request = ToDesk(o);
  if (!request) return tl::unexpected(request.error());
  auto desk = BenchDesk::Open(o.book, *request);
  if (!desk) return tl::unexpected(desk.error());
  // Words go to standard output; beside a JSON answer, to standard error.
  std::FILE* words = json ? stderr : stdout;
  std::fputs(desk->Greeting().c_str(), words);
  std::fflush(words);
  DeskCalls calls = CallsOf(*desk);
  auto page = OpenPage(o, *desk, words, calls);
  if (!page) return tl::unexpected(page.error());
  auto fed = RunDesk(calls, *o.from, desk->rig(), words);
  if (*page) (*page)->End(EndOnPage(*desk, fed));
  if (o.csv && desk->session().read_count() > 0) {
    if (auto ok = WriteReadings(*o.csv, desk->Csv()); !ok) return ok;
    if (!json) std::printf("Wrote %s.\n", o.csv->c_str());
  }
  // What was read is in the logbook, however the source ended.
  if (!fed) return fed;
  if (json) return PrintJson(desk->Snapshot());
  std::string end =
      fmt::format("{} of {} readings are in the logbook.\n",
                  desk->session().read_count(), desk->session().steps().size());
  if (desk->done()) {
    end += o.csv
               ? fmt::format("Next: masseter calibrate {} {}\n", o.book, *o.csv)
               : fmt::format("Next: masseter readings {} --csv readings.csv\n",
                             o.book);
  }
  return Print(end);
}

std::string ReferenceWords(const ReferenceAnswer& a) {
  const PairedReadings& p = a.paired;
  std::size_t zeros = 0;
  for (const PairRow& row : p.rows) zeros += row.force_n == 0.0 ? 1U : 0U;
  std::string out = fmt::format(
      "{:.0f} s, {} passes up to {:.0f} N: {} readings and {} zeros.\n"
      "The reference shows a force {:.1f} ms {} the sleeve",
      a.seconds, p.passes, p.largest_n, p.rows.size() - zeros, zeros,
      1000.0 * std::abs(p.lag_s), p.lag_s >= 0.0 ? "after" : "before");
  out += p.lag_drift != 0.0
             ? fmt::format("; the clocks run apart by {:.0f} ppm.\n",
                           1e6 * p.lag_drift)
             : std::string(".\n");
  for (const std::string& w : p.warnings) out += "! " + w + "\n";
  return out;
}

Expected<void> RunReference(const Options& o, bool json) {
  if (o.page.given()) {
    return BadInput(o.page.share ? "--share" : "--listen",
                    "speaks of the page of a plan; with --reference there is "
                    "none");
  }
  if (o.masses || o.forces || o.places) {
    return BadInput("--reference",
                    "takes no plan; move the load by hand and say where it "
                    "stands with --x and --y");
  }
  const std::atomic<bool>& stop = WatchStopSignals();
  Answers answers;
  std::FILE* words = json ? stderr : stdout;
  ReferenceRequest request;
  request.book_path = o.book;
  request.source = *o.from;
  request.reference = *o.reference;
  request.factor = o.factor;
  request.columns = o.columns;
  request.rate_hz = o.rate_hz;
  request.place = PlaceOf(o);
  request.pair.bins = o.bins;
  request.say = [&](const std::string& text) {
    std::fprintf(words, "Listening: %s\n", text.c_str());
    std::fflush(words);
  };
  const auto start = std::chrono::steady_clock::now();
  request.go_on = [&] {
    const std::chrono::duration<double> elapsed =
        std::chrono::steady_clock::now() - start;
    if (o.seconds && elapsed.count() >= *o.seconds) return false;
    return !stop && (!answers.terminal() || !answers.Next());
  };
  std::fputs(
      "Begin with nothing on the sleeve; then load and unload slowly, three "
      "times or more,\nand let go in between. Enter or Ctrl-C ends. Keep "
      "fingers out of the load's way.\n",
      words);
  std::fflush(words);
  const auto answer = CaptureReference(request);
  if (!answer) return tl::unexpected(answer.error());
  if (o.csv) {
    if (auto ok = WriteReadings(*o.csv, answer->csv); !ok) return ok;
  }
  if (json) {
    return PrintJson({{"session", answer->session},
                      {"rows", answer->paired.rows.size()},
                      {"passes", answer->paired.passes},
                      {"lag_s", answer->paired.lag_s},
                      {"lag_drift", answer->paired.lag_drift},
                      {"reference_zero_n", answer->paired.reference_zero_n},
                      {"largest_n", answer->paired.largest_n},
                      {"warnings", answer->paired.warnings}});
  }
  std::string out = ReferenceWords(*answer);
  out += o.csv ? fmt::format("Next: masseter calibrate {} {}\n", o.book, *o.csv)
               : fmt::format(
                     "All recordings as one readings file: masseter "
                     "readings {} --references --csv readings.csv\n",
                     o.book);
  return Print(out);
}

}  // namespace

void AddReadings(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  auto references = std::make_shared<bool>(false);
  Command command(app, "readings",
                  "Bench capture: asks for load after load and reads them");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("--from", o->from,
              "The sleeve: serial:PATH@BAUD, tcp:HOST:PORT, udp:PORT; "
              "without it, lists what the bench has");
  command.Add("--csv", o->csv, "Write the readings into this file");
  command.Add("--session", o->session, "Which session (the newest)");
  command.Add("--plan", o->plan, "full or short");
  command.Add("--masses", o->masses, "Loads in kg, as 5,10,20");
  command.Add("--forces", o->forces, "Loads in newtons instead");
  command.Add("--places", o->places, "Where loads stand, mm: \"0,0;60,20\"");
  command.Add("--series", o->series, "How often all of it, placed anew");
  command.AddFlag("--anew", o->anew, "Begin a new session");
  command.Add("--window", o->window_s,
              "Seconds that a reading must stand still (2)");
  command.Add("--patience", o->patience_s,
              "Seconds until it is said that nothing settles (60)");
  command.Add("--reference", o->reference,
              "A calibrated transducer in series: its source, or "
              "column:NAME of the sleeve's own text");
  command.Add("--reference-factor", o->factor,
              "Newtons in one unit of the reference's figure (1)");
  command.Add("--reference-columns", o->columns,
              "How the reference prints a line (force)");
  command.Add("--reference-rate", o->rate_hz,
              "Its lines a second, where it prints no clock (50)");
  command.Add("--x", o->x_mm, "Where the load stands, mm along");
  command.Add("--y", o->y_mm, "Where the load stands, mm across");
  command.Add("--bins", o->bins, "Steps of force with a reference (8)");
  command.Add("--seconds", o->seconds, "With a reference: end after this time");
  AddPageOptions(command, o->page,
                 "Serve the bench page too, as on 127.0.0.1:8600");
  command.AddFlag("--references", *references,
                  "All recordings with a reference as one readings file");
  Bind<Options>(
      command, call, o,
      "masseter readings day.book --from serial:/dev/ttyUSB0@921600 "
      "--masses 5,10,20,40",
      [references](const Options& options, bool json) {
        if (!options.from && options.page.given())
          return NoSleeve(options.page);
        if (!options.from) {
          return ListReadings(
              {options.book, options.csv, options.session, *references}, json);
        }
        return options.reference ? RunReference(options, json)
                                 : RunAtDesk(options, json);
      });
}

}  // namespace masseter::cli
