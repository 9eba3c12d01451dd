#include "app/preflight.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "app/file_io.h"

namespace masseter {
namespace {

constexpr double kLateS = 1.0;
constexpr double kLostS = 3.0;
constexpr double kBackwardsS = 60.0;  // the host's clock may be set by as much
constexpr double kDriftPpm = 1000.0;  // a resonator's worst; a crystal has 100
constexpr double kDayS = 86400.0;

std::string StateOf(HealthLevel level) {
  return level == HealthLevel::kGo      ? "ok"
         : level == HealthLevel::kWatch ? "look"
                                        : "bad";
}

const HealthLine* Find(const CaptureHealth& health, std::string_view what) {
  for (const HealthLine& line : health.lines) {
    if (line.what == what) return &line;
  }
  return nullptr;
}

// The worse of two lines, the first of equals; either may be null.
const HealthLine* Worse(const HealthLine* a, const HealthLine* b) {
  if (a == nullptr || b == nullptr) return a == nullptr ? b : a;
  return b->level > a->level ? b : a;
}

std::string Words(const HealthLine& line, const std::string& of = "") {
  std::string out = (of.empty() ? "" : of + " ") + line.found;
  if (!line.advice.empty()) out += "; " + line.advice;
  return out;
}

StageItem Item(const char* what, std::string state, std::string text,
               std::optional<int> sleeve) {
  return {what, std::move(state), std::move(text), sleeve};
}

StageItem Waiting(const char* what, const SleeveFacts& f) {
  return Item(what, "waiting", "counting for a few seconds", f.sleeve);
}

StageItem LinkItem(const SleeveFacts& f) {
  const auto item = [&](const char* state, std::string text) {
    return Item("link", state, std::move(text), f.sleeve);
  };
  if (f.lost) {
    return item("bad",
                "the connection is lost; look at switch, battery and cable, "
                "or bring the receiver nearer");
  }
  if (!f.begun) return item("waiting", "no sample has come yet");
  if (f.silence_s > kLateS) {
    return item(f.silence_s > kLostS ? "bad" : "look",
                fmt::format("nothing has come for {:.0f} s; look at switch, "
                            "battery and cable",
                            f.silence_s));
  }
  if (!f.health) return Waiting("link", f);
  const HealthLine* lost =
      Worse(Find(*f.health, "losses"), Find(*f.health, "restarts"));
  if (lost == nullptr || lost->level == HealthLevel::kGo) {
    return item("ok", lost == nullptr || lost->found == "none"
                          ? "samples arrive, none missing"
                          : "samples arrive, " + lost->found);
  }
  return item(StateOf(lost->level).c_str(), Words(*lost));
}

StageItem SupplyItem(const SleeveFacts& f, const Rig& rig) {
  const HealthLine* line = f.health ? Find(*f.health, "supply") : nullptr;
  if (line == nullptr) return Waiting("supply", f);
  if (!line->value) {
    return Item("supply", "unknown", "the sleeve does not tell its supply",
                f.sleeve);
  }
  if (!rig.supply_minimum_mv) {
    return Item(
        "supply", "unknown",
        fmt::format("{:.0f} mV; the rig file names no minimum", *line->value),
        f.sleeve);
  }
  std::string text = fmt::format("{:.0f} mV; the sleeve needs {:.0f} mV",
                                 *line->value, *rig.supply_minimum_mv);
  if (line->level != HealthLevel::kGo) text += "; " + line->advice;
  return Item("supply", StateOf(line->level), std::move(text), f.sleeve);
}

StageItem RateItem(const SleeveFacts& f) {
  if (!f.health) return Waiting("rate", f);
  const HealthLine* line =
      Worse(Worse(Find(*f.health, "rate"), Find(*f.health, "clock")),
            Worse(Find(*f.health, "fresh values"), Find(*f.health, "strike")));
  if (line == nullptr) return Waiting("rate", f);
  return Item("rate", StateOf(line->level), Words(*line), f.sleeve);
}

StageItem ZeroItem(const SleeveFacts& f) {
  const auto item = [&](std::string state, std::string text) {
    return Item("zero", std::move(state), std::move(text), f.sleeve);
  };
  if (f.frame && f.frame->active) {
    return item("waiting", "the sleeve is under load; take everything off");
  }
  if (!f.frame || f.frame->zero == ZeroState::kWait || !f.wander) {
    return item("waiting", "leave the sleeve alone for ten seconds");
  }
  const ZeroWander& w = *f.wander;
  const std::string text = fmt::format(
      "found; it moved by {} in {:.0f} s",
      w.in_newtons ? fmt::format("{:.2f} N", w.wander)
                   : fmt::format("{:.3f} % of the scale", 100.0 * w.wander),
      w.seconds);
  if (w.wander > w.limit) {
    return item("look", text +
                            "; let the sleeve warm up, look for a wedged "
                            "cover, and take the zero anew");
  }
  if (f.frame->zero == ZeroState::kMoved) {
    return item("look",
                "the zero has moved; take it anew with nothing on the "
                "sleeve");
  }
  return item("ok", text);
}

// Noise, stuck and loose channels: what a single channel has.
StageItem NoiseItem(const SleeveFacts& f, const Rig& rig) {
  if (!f.health) return Waiting("noise", f);
  const HealthLine* worst = nullptr;
  const HealthLine* loudest = nullptr;
  for (const HealthLine& line : f.health->lines) {
    if (line.what == "noise") {
      return Item("noise", "waiting", "leave the sleeve alone", f.sleeve);
    }
    const bool of_noise = line.what.starts_with("noise of ");
    if (!of_noise && rig.ChannelIndex(line.what) < 0) continue;
    worst = Worse(worst, &line);
    if (of_noise && line.value &&
        (loudest == nullptr || *line.value > *loudest->value)) {
      loudest = &line;
    }
  }
  if (worst == nullptr) return Waiting("noise", f);
  if (worst->level == HealthLevel::kGo && loudest != nullptr) {
    return Item(
        "noise", "ok",
        fmt::format("at most {}, {}", loudest->found, loudest->what.substr(6)),
        f.sleeve);
  }
  return Item("noise", StateOf(worst->level), Words(*worst, worst->what + ":"),
              f.sleeve);
}

}  // namespace

std::vector<StageItem> SleeveItems(const SleeveFacts& f, const Rig& rig) {
  std::vector<StageItem> out = {LinkItem(f)};
  if (!f.begun || f.lost) return out;
  out.push_back(SupplyItem(f, rig));
  out.push_back(RateItem(f));
  out.push_back(ZeroItem(f));
  out.push_back(NoiseItem(f, rig));
  if (f.clocks && std::abs(f.clocks->drift_ppm) > kDriftPpm) {
    out.push_back(
        Item("clock", "look",
             fmt::format("the sleeve's clock runs {:.2f} % {}; forces "
                         "hold, times are off by as much",
                         1e-4 * std::abs(f.clocks->drift_ppm),
                         f.clocks->drift_ppm > 0.0 ? "slow" : "fast"),
             f.sleeve));
  }
  return out;
}

StageItem CalibrationItem(const BookFacts& book, double now_unix_s) {
  const auto item = [](const char* state, std::string text) {
    return Item("calibration", state, std::move(text), std::nullopt);
  };
  if (!book.calibrated || !book.validity) {
    return item("look",
                "none: bites are recorded, but have no figure before the "
                "sleeve is calibrated");
  }
  const Validity& v = *book.validity;
  const double age_s = std::max(now_unix_s - v.calibrated_unix_s, 0.0);
  std::string text = fmt::format(
      "{} old, {:.1f} % of the force, {:.0f} N to {:.0f} N", AgeText(age_s),
      100.0 * book.expanded_relative_u95, book.force_low_n, book.force_high_n);
  if (v.calibration_for_s && age_s > *v.calibration_for_s) {
    return item("look", text + "; it holds for " +
                            AgeText(*v.calibration_for_s) +
                            ": calibrate anew, else bites are stale");
  }
  return item("ok", std::move(text));
}

StageItem LoadItem(const LoadFacts& load, const BookFacts& book) {
  const auto item = [&](const char* state, std::string text) {
    return Item(
        "load", state, std::move(text),
        load.taken ? std::optional<int>(load.taken->sleeve) : std::nullopt);
  };
  if (!book.calibrated) {
    return item("unknown", "a check load needs a calibration");
  }
  if (load.waiting) {
    return item("waiting",
                load.from_zero
                    ? "take everything off for three seconds, then hang the "
                      "load and keep it still; keep feet and hands from under "
                      "it"
                    : "keep the load still for some seconds");
  }
  if (!load.why_not.empty()) return item("todo", load.why_not);
  if (!load.taken) {
    return item("todo",
                "take everything off for three seconds, hang a known mass on "
                "the sleeve, let it rest, then measure it; keep feet and hands "
                "from under it");
  }
  const LoadTaken& t = *load.taken;
  const std::string text = fmt::format(
      "{:g} kg read {:.1f} ± {:.1f} N, {:.1f} N {}; {:.1f} N are allowed",
      t.mass_kg, t.sleeve_n, t.sleeve_u95_n, std::abs(t.difference_n),
      t.difference_n < 0.0 ? "too little" : "too much", t.limit_n);
  if (t.within) return item("ok", text);
  return item("bad", text +
                         "; look at mounts and plugs, take it again, else "
                         "calibrate anew");
}

StageItem DiskItem(const HostFacts& host) {
  const auto item = [](const char* state, std::string text) {
    return Item("disk", state, std::move(text), std::nullopt);
  };
  if (!host.free_bytes) {
    return item("unknown", "the disk does not say how much is free");
  }
  const double megabytes = 1e-6 * *host.free_bytes;
  std::string text = megabytes < 1000.0
                         ? fmt::format("{:.0f} MB are free", megabytes)
                         : fmt::format("{:.1f} GB are free", 1e-3 * megabytes);
  if (host.bytes_per_s <= 0.0) {
    return item(megabytes < 100.0 ? "look" : "ok", std::move(text));
  }
  const double hours = *host.free_bytes / host.bytes_per_s / 3600.0;
  text += hours > 100.0 ? ", more than 100 hours at this rate"
                        : fmt::format(", {:.1f} hours at this rate", hours);
  if (hours < 2.0 || megabytes < 50.0) {
    return item("bad", text + "; make room first");
  }
  return item(hours < 10.0 ? "look" : "ok", std::move(text));
}

StageItem ClockItem(const HostFacts& host) {
  const auto item = [](const char* state, std::string text) {
    return Item("clock", state, std::move(text), std::nullopt);
  };
  const std::string now = LocalTime(host.now_unix_s);
  if (host.now_unix_s < kProgramUnixS) {
    return item("bad", "this machine's clock says " + now + "; set it");
  }
  if (host.now_unix_s < host.newest_unix_s - kBackwardsS) {
    return item("bad", "this machine's clock says " + now +
                           ", but the logbook holds something of " +
                           LocalTime(host.newest_unix_s) + "; set the clock");
  }
  if (host.newest_unix_s > 0.0 &&
      host.now_unix_s > host.newest_unix_s + 5.0 * 365.0 * kDayS) {
    return item("look", "this machine's clock says " + now +
                            ", years after anything in the logbook");
  }
  return item("ok", now);
}

const std::vector<std::string>& CautionsOf(const std::string& stage) {
  static const std::vector<std::string> kBefore = {
      "Dogs: only healthy, warmed-up dogs that already work on a sleeve, led "
      "by "
      "their trainer; stop at any sign of pain, a bleeding mouth, fatigue or "
      "heat, and ask a veterinarian when in doubt.",
      "Helper: the protection that you would wear without electronics; the "
      "sleeve comes off quickly, no cable loops around arm or neck, none runs "
      "to a mains-powered laptop.",
      "Lithium cells: out of the bite area, in a stiff case, with a fuse; none "
      "that is swollen, dented or wet.",
      "Where your trainer, your veterinarian or the rules of your club and "
      "country say otherwise, they are right."};
  static const std::vector<std::string> kAfter = {
      "Dogs: look at every mouth; what bleeds, limps or hurts goes to a "
      "veterinarian.",
      "Sleeve: look for cracks, edges and loose screws before anybody wears it "
      "again.",
      "Lithium cells: out of the sleeve to be charged; one that was bitten, "
      "bent or wet is kept away from anything that burns and disposed of by "
      "your local rules."};
  static const std::vector<std::string> kNone;
  return stage == "before" ? kBefore : stage == "after" ? kAfter : kNone;
}

const StageItem* FirstBad(const std::vector<StageItem>& items) {
  for (const StageItem& item : items) {
    if (item.state == "bad") return &item;
  }
  return nullptr;
}

}  // namespace masseter
