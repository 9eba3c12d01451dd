#include <fmt/format.h>

#include <cmath>
#include <tuple>

#include "app/check_desk.h"
#include "app/file_io.h"
#include "app/json_values.h"
#include "cli/answers.h"
#include "cli/command.h"
#include "cli/desk_page.h"
#include "core/base/text_fields.h"
#include "core/trust/words.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::optional<double> mass;
  std::optional<double> force;
  std::optional<double> force_u95;
  std::optional<std::string> from;
  std::optional<std::string> reading;
  std::optional<double> x_mm;
  std::optional<double> y_mm;
  std::optional<std::string> tolerance;
  double weight_tolerance_percent = 0.05;
  double window_s = 2.0;
  std::optional<std::string> every;
  std::optional<std::string> valid_for;
  PageOptions page;
};

// "2%" of the load, "5N" or "5".
Expected<Tolerance> ParseTolerance(std::string text) {
  Tolerance out;
  const bool percent = !text.empty() && text.back() == '%';
  if (percent || (!text.empty() && text.back() == 'N')) text.pop_back();
  const auto value = ParseNumber(text);
  if (!value || !(*value > 0.0)) {
    return BadInput("--tolerance",
                    "is a share such as 2% or a force such as 5N");
  }
  (percent ? out.relative : out.newtons) = percent ? *value / 100.0 : *value;
  return out;
}

Expected<CheckRequest> ToRequest(const Options& o) {
  CheckRequest out;
  out.mass_kg = o.mass;
  out.force_n = o.force;
  out.force_u95_n = o.force_u95;
  if (!(o.weight_tolerance_percent >= 0.0 && o.weight_tolerance_percent < 50)) {
    return BadInput("--weight-tolerance", "must lie between 0 and 50 %");
  }
  out.weight_tolerance = o.weight_tolerance_percent / 100.0;
  if (o.x_mm || o.y_mm) {
    out.place = Place{o.x_mm.value_or(0.0), o.y_mm.value_or(0.0)};
  }
  if (o.tolerance) {
    const auto tolerance = ParseTolerance(*o.tolerance);
    if (!tolerance) return tl::unexpected(tolerance.error());
    out.tolerance = *tolerance;
  }
  return out;
}

nlohmann::ordered_json Answer(const CheckAnswer& a) {
  const CheckResult& r = a.result;
  nlohmann::ordered_json j = {{"check", a.id},
                              {"calibration", a.calibration},
                              {"within", r.within},
                              {"load_n", r.load_n},
                              {"load_u95_n", r.load_u95_n},
                              {"sleeve_n", r.sleeve_n},
                              {"sleeve_u95_n", r.sleeve_u95_n},
                              {"difference_n", r.difference_n},
                              {"limit_n", r.limit_n},
                              {"e_n", r.e_n},
                              {"zero_change_n", r.zero_change_n},
                              {"x_mm", nullptr},
                              {"y_mm", nullptr},
                              {"stale_bites", a.stale_bites}};
  if (r.place) {
    j["x_mm"] = r.place->x_mm;
    j["y_mm"] = r.place->y_mm;
  }
  return j;
}

std::string Words(const CheckAnswer& a) {
  const CheckResult& r = a.result;
  std::string out =
      fmt::format("Check load {}, calibration {}: {}.\n", a.id, a.calibration,
                  r.within ? "within tolerance" : "OUT OF TOLERANCE");
  TextTable table;
  table.AddColumn("", Align::kLeft);
  table.AddColumn("with 95 %", Align::kLeft);
  table.AddRow({"the load", FigureText(r.load_n, r.load_u95_n, "N")});
  table.AddRow(
      {"the sleeve read", FigureText(r.sleeve_n, r.sleeve_u95_n, "N")});
  table.AddRow(
      {"difference", fmt::format("{:+.2f} N ({:+.2f} %)", r.difference_n,
                                 100.0 * r.difference_n / r.load_n)});
  table.AddRow({"may differ by", fmt::format("{:.2f} N", r.limit_n)});
  table.AddRow({"over both uncertainties", fmt::format("{:.2f}", r.e_n)});
  if (r.place) {
    table.AddRow({"seen at", InMillimetres(r.place->x_mm) + " along, " +
                                 InMillimetres(r.place->y_mm) + " across"});
  }
  out += table.Text(TerminalIsUtf8());
  if (a.placed && r.place) {
    const double off = std::hypot(a.placed->x_mm - r.place->x_mm,
                                  a.placed->y_mm - r.place->y_mm);
    if (off > 15.0) {
      out += fmt::format(
          "! the load is seen {:.0f} mm from where it was said to stand: is a "
          "cell loose, are channels swapped\n",
          off);
    }
  }
  if (!r.within) {
    out += fmt::format(
        "Bites since the last good check are stale: {} now.\n"
        "Look for something loose or touching, check again; if it stays, "
        "calibrate anew.\n",
        CountText(a.stale_bites, "bite"));
  }
  return out;
}

Expected<void> Tell(const CheckAnswer& answer, bool json) {
  if (auto ok = json ? PrintJson(Answer(answer)) : Print(Words(answer)); !ok) {
    return ok;
  }
  if (answer.result.within) return {};
  return AnswerNo("", "the check load is out of tolerance");
}

std::string EndOnPage(const Expected<CheckAnswer>& answer) {
  if (!answer) return answer.error().Text();
  const CheckResult& r = answer->result;
  return fmt::format("{}: the sleeve reads {} N, the load is {} N.",
                     r.within ? "Within tolerance" : "OUT OF TOLERANCE",
                     FixedText(r.sleeve_n, 1), FixedText(r.load_n, 1));
}

struct CheckSetup {
  CheckDesk desk;
  Rig rig;
};

// Asks for nothing before the question itself can be answered.
Expected<CheckSetup> SetUp(const Options& o, const CheckRequest& request) {
  const auto book = OpenBook(o.book, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  if (!book->calibration) {
    return BadInput(o.book, "has no calibration to check; calibrate first");
  }
  const auto load = LoadOf(request, *book->calibration);
  if (!load) return tl::unexpected(load.error());
  SettleRule rule;
  rule.window_s = o.window_s;
  return CheckSetup{CheckDesk(request, book->rig, rule), book->rig};
}

Expected<void> ByHand(const Options& o, const CheckRequest& request,
                      bool json) {
  if (auto ok = CheckLiveSource(*o.from); !ok) return ok;
  auto setup = SetUp(o, request);
  if (!setup) return tl::unexpected(setup.error());
  CheckDesk& desk = setup->desk;
  std::FILE* words = json ? stderr : stdout;
  std::fputs(desk.Greeting().c_str(), words);
  std::fflush(words);
  DeskCalls calls = CallsOf(desk);
  DeskPageRequest page_request;
  page_request.page = o.page;
  page_request.title = "Check load";
  page_request.words = {"ok", "again", "take", "stop"};
  auto page = DeskPage::Open(
      page_request, setup->rig,
      [&desk]() -> const BenchSession& { return desk.session(); }, words,
      calls);
  if (!page) return tl::unexpected(page.error());
  auto fed = RunDesk(calls, *o.from, setup->rig, words);
  if (fed && !desk.done()) {
    fed = BadInput("", "stopped before the check was done");
  }
  if (!fed) {
    if (*page) (*page)->End(fed.error().Text() + "; nothing was stored.");
    return fed;
  }
  const auto answer = CheckFromReadings(o.book, request, desk.zero(),
                                        desk.loaded(), desk.zero_after());
  if (*page) (*page)->End(EndOnPage(answer));
  if (!answer) return tl::unexpected(answer.error());
  return Tell(*answer, json);
}

Expected<void> History(const Options& o, bool json) {
  const auto history = ChecksOf(o.book);
  if (!history) return tl::unexpected(history.error());
  if (json) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const CheckLine& c : history->checks) {
      list.push_back({{"check", c.id},
                      {"at_unix_s", c.at_unix_s},
                      {"calibration", c.calibration},
                      {"load_n", c.load_n},
                      {"sleeve_n", c.sleeve_n},
                      {"difference_n", c.difference_n},
                      {"limit_n", c.limit_n},
                      {"e_n", c.e_n},
                      {"within", c.within}});
    }
    return PrintJson(
        {{"checks", list},
         {"check_every_s", OrNull(history->limits.check_every_s)},
         {"calibration_for_s", OrNull(history->limits.calibration_for_s)},
         {"stale_bites", history->stale_bites}});
  }
  std::string out;
  if (history->checks.empty()) {
    out = "No check loads yet: masseter check " + o.book +
          " --mass 10 --from SOURCE\n";
  } else {
    TextTable table;
    table.AddColumn("check", Align::kRight);
    table.AddColumn("when", Align::kLeft);
    table.AddColumn("calibration", Align::kRight);
    table.AddColumn("load N", Align::kPoint);
    table.AddColumn("sleeve N", Align::kPoint);
    table.AddColumn("off N", Align::kPoint);
    table.AddColumn("limit N", Align::kPoint);
    table.AddColumn("", Align::kLeft);
    for (const CheckLine& c : history->checks) {
      table.AddRow({std::to_string(c.id), LocalTime(c.at_unix_s),
                    std::to_string(c.calibration), FixedText(c.load_n, 2),
                    FixedText(c.sleeve_n, 2), FixedText(c.difference_n, 2),
                    FixedText(c.limit_n, 2), c.within ? "within" : "out"});
    }
    out = table.Text(TerminalIsUtf8());
  }
  const auto limit = [](const std::optional<double>& s) {
    return s ? AgeText(*s) : std::string("no limit");
  };
  out += fmt::format(
      "A calibration holds for: {}. A check load is due every: "
      "{}.\n",
      limit(history->limits.calibration_for_s),
      limit(history->limits.check_every_s));
  if (history->stale_bites > 0) {
    out += CountText(history->stale_bites, "bite") + " stale.\n";
  }
  return Print(out);
}

Expected<void> Run(const Options& o, bool json) {
  ValidityLimits change;
  for (const auto& [text, name, slot] :
       {std::tuple{&o.every, "--every", &change.check_every_s},
        std::tuple{&o.valid_for, "--valid-for", &change.calibration_for_s}}) {
    if (!*text) continue;
    const auto span = ParseSpan(**text, name);
    if (!span) return tl::unexpected(span.error());
    *slot = *span;
  }
  const auto request = ToRequest(o);
  if (!request) return tl::unexpected(request.error());
  if (o.from && o.reading) {
    return BadInput("--reading", "give a source or a capture, not both");
  }
  const bool asks = o.mass || o.force;
  if (!o.from && o.page.given()) return NoSleeve(o.page);
  if ((o.from || o.reading) && !asks) {
    return BadInput("--mass", "say how heavy the load is, as in --mass 10");
  }
  if (asks && !o.from && !o.reading) {
    return BadInput("--from",
                    "name the sleeve, as in --from serial:/dev/ttyUSB0, or a "
                    "capture with --reading");
  }
  if (change.check_every_s || change.calibration_for_s) {
    const auto limits = ChangeLimits(o.book, change);
    if (!limits) return tl::unexpected(limits.error());
  }
  if (!asks) return History(o, json);
  if (o.from) return ByHand(o, *request, json);
  const auto answer = CheckFromCapture(o.book, *request, *o.reading);
  if (!answer) return tl::unexpected(answer.error());
  return Tell(*answer, json);
}

}  // namespace

void AddCheck(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(
      app, "check",
      "A known load: does the calibrated sleeve still read it right?");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("--mass", o->mass, "The load's mass, kg");
  command.Add("--force", o->force, "The load's force, N, instead");
  command.Add("--force-u95", o->force_u95,
              "Its expanded uncertainty, N (0.24 % of it)");
  command.Add("--from", o->from,
              "The sleeve: serial:PATH@BAUD, tcp:HOST:PORT, udp:PORT");
  command.Add("--reading", o->reading,
              "A capture instead: nothing on, then the load");
  command.Add("--x", o->x_mm, "Where the load stands, mm along");
  command.Add("--y", o->y_mm, "Where the load stands, mm across");
  command.Add("--tolerance", o->tolerance,
              "What it may differ by, 2% or 5N (both expanded "
              "uncertainties together)");
  command.Add("--weight-tolerance", o->weight_tolerance_percent,
              "Of the weight, per cent (0.05, OIML class M3)");
  command.Add("--window", o->window_s,
              "Seconds that a reading must stand still (2)");
  AddPageOptions(command, o->page,
                 "Serve the bench page too, as on 127.0.0.1:8600");
  command.Add("--every", o->every,
              "From now on a check load is due every 30d (12h, ...; 0: "
              "no limit)");
  command.Add("--valid-for", o->valid_for,
              "From now on a calibration holds for 180d (0: no limit)");
  Bind<Options>(command, call, o,
                "masseter check day.book --mass 10 --from "
                "serial:/dev/ttyUSB0@921600",
                Run);
}

}  // namespace masseter::cli
