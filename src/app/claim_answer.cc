#include "app/claim_answer.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "app/study_rows.h"
#include "core/quantity/units.h"
#include "core/signal/robust.h"
#include "report/claim_picture.h"
#include "report/significant.h"

namespace masseter {
namespace {

std::string ForceWords(const RangeOf<Force>& f) {
  const auto in = [&](Force unit_force) {
    const std::string low = Significant(ValueIn(f.low, unit_force));
    const std::string high = Significant(ValueIn(f.high, unit_force));
    return f.single() ? low : low + " to " + high;
  };
  return fmt::format("{} N ({} kgf, {} lbf)", in(unit::kNewton),
                     in(unit::kKilogramForce), in(unit::kPoundForce));
}

std::string NewtonWords(const RangeOf<Force>& f) {
  if (f.single()) return Significant(f.low.si()) + " N";
  return Significant(f.low.si()) + " to " + Significant(f.high.si()) + " N";
}

std::string AreaWords(Area a) {
  if (a.si() < 1e-4) {
    return Significant(ValueIn(a, unit::kSquareMillimetre), 3) + " mm2";
  }
  return Significant(ValueIn(a, unit::kSquareCentimetre), 3) + " cm2";
}

std::string SquareWords(Area a) {
  const std::string side = Significant(1000.0 * std::sqrt(a.si()), 2);
  return fmt::format("a square of {} mm by {} mm", side, side);
}

std::string FitWords(const ClaimAnswer& a) {
  const RangeOf<Area>& f = *a.fitting;
  const std::string on =
      f.single()
          ? fmt::format("on {}, {}", AreaWords(f.low), SquareWords(f.low))
          : fmt::format("on {} to {}, {} up to {}", AreaWords(f.low),
                        AreaWords(f.high), SquareWords(f.low),
                        SquareWords(f.high));
  return fmt::format("It would be the measured {} {}.",
                     NewtonWords(a.measured->range), on);
}

std::string VerdictWords(const ClaimAnswer& a) {
  switch (*a.fit) {
    case ClaimFit::kTooLarge:
      return "On the area given, the claim lies above everything measured.";
    case ClaimFit::kTooSmall:
      return "On the area given, the claim lies below everything measured.";
    case ClaimFit::kFits:
      break;
  }
  return "On the area given, the claim agrees with what was measured.";
}

std::string WhyWords(const RangeOf<Pressure>& p) {
  const auto& areas = PicturedAreas();
  const Force small = p.middle() * areas.front().area;
  const Force large = p.middle() * areas.back().area;
  return fmt::format(
      "A pressure is force over area, and nobody measures the area of a bite: "
      "the same pressure is {} N on {} and {} N on {}. So it says nothing "
      "about how hard a dog bites; compare dogs by their force.",
      Significant(small.si()), areas.front().what, Significant(large.si()),
      areas.back().what);
}

void AddWords(ClaimAnswer& a) {
  if (a.pressure && a.force) {
    a.words.push_back(fmt::format("{} on {} is {}.", a.question.pressure,
                                  a.question.area, ForceWords(*a.force)));
  } else if (a.force) {
    a.words.push_back(
        fmt::format("{} is {}.", a.question.force, ForceWords(*a.force)));
  } else {
    a.words.push_back(
        fmt::format("{} without an area is no force. See what it would be:",
                    a.question.pressure));
  }
  if (a.measured && a.measured->bites > 0) {
    a.words.push_back(fmt::format(
        "{} sound {} in {}: {}, half of them above {} N.", a.measured->bites,
        a.measured->bites == 1 ? "bite" : "bites", a.measured->from,
        NewtonWords(a.measured->range), Significant(a.measured->middle.si())));
  }
  if (a.fitting) a.words.push_back(FitWords(a));
  if (a.fit && a.pressure) a.words.push_back(VerdictWords(a));
  if (a.fit && !a.pressure) {
    a.words.push_back(
        *a.fit == ClaimFit::kFits       ? "It lies within what was measured."
        : *a.fit == ClaimFit::kTooLarge ? "It lies above everything measured."
                                        : "It lies below everything measured.");
  }
  if (a.pressure) a.words.push_back(WhyWords(*a.pressure));
}

Expected<ClaimMeasured> MeasuredInBook(const std::string& book) {
  const auto rows = ReadStudyBook(book);
  if (!rows) return tl::unexpected(rows.error());
  const auto figures = FiguresOf(*rows, "peak_n", {}, false);
  if (!figures) return tl::unexpected(figures.error());
  const std::size_t verdict = *rows->Find("verdict");
  std::vector<double> peaks;
  for (const StudyFigure& f : figures->figures) {
    if (f.at_least || f.value <= 0.0) continue;
    if (rows->rows[f.row][verdict] == "sound") peaks.push_back(f.value);
  }
  if (peaks.empty()) return BadInput(rows->file, "holds no sound bite");
  const auto [low, high] = std::minmax_element(peaks.begin(), peaks.end());
  return ClaimMeasured{{Force(*low), Force(*high)},
                       Force(Median(peaks)),
                       peaks.size(),
                       rows->file};
}

Expected<void> CheckQuestion(const ClaimQuestion& q) {
  if (q.pressure.empty() && q.force.empty()) {
    return BadInput("", "give the claim: --pressure with --area, or --force");
  }
  if (!q.pressure.empty() && !q.force.empty()) {
    return BadInput("", "--pressure and --force are two claims; give one");
  }
  if (!q.area.empty() && q.pressure.empty()) {
    return BadInput("--area", "goes with --pressure; a force needs no area");
  }
  if (!q.measured.empty() && !q.book.empty()) {
    return BadInput("--measured", "and a logbook both say what was measured");
  }
  return {};
}

template <class Q, class Read>
Expected<void> Take(const std::string& text, const char* option, Read read,
                    std::optional<Q>& out) {
  if (text.empty()) return {};
  const auto value = read(text, option);
  if (!value) return tl::unexpected(value.error());
  out = *value;
  return {};
}

Expected<void> ReadQuestion(const ClaimQuestion& q, ClaimAnswer& a) {
  if (auto ok = Take(q.pressure, "--pressure", ReadPressure, a.pressure); !ok) {
    return ok;
  }
  if (auto ok = Take(q.area, "--area", ReadArea, a.area); !ok) return ok;
  if (auto ok = Take(q.force, "--force", ReadForce, a.force); !ok) return ok;
  std::optional<RangeOf<Force>> typed;
  if (auto ok = Take(q.measured, "--measured", ReadForce, typed); !ok) {
    return ok;
  }
  if (typed) a.measured = ClaimMeasured{*typed, typed->middle(), 0, "given"};
  if (!q.book.empty()) {
    const auto book = MeasuredInBook(q.book);
    if (!book) return tl::unexpected(book.error());
    a.measured = *book;
  }
  return {};
}

nlohmann::ordered_json ForceJson(const std::optional<RangeOf<Force>>& f,
                                 Force unit_force) {
  if (!f) return nullptr;
  return ValueIn(f->middle(), unit_force);
}

template <class Q>
nlohmann::ordered_json EndsJson(const std::optional<RangeOf<Q>>& r, Q in) {
  if (!r) return nullptr;
  return {ValueIn(r->low, in), ValueIn(r->high, in)};
}

nlohmann::ordered_json ByAreaJson(const RangeOf<Pressure>& p) {
  nlohmann::ordered_json out = nlohmann::ordered_json::array();
  for (const PicturedArea& a : PicturedAreas()) {
    const RangeOf<Force> f = ClaimedForce(p, {a.area, a.area});
    out.push_back({{"what", a.what},
                   {"area_mm2", ValueIn(a.area, unit::kSquareMillimetre)},
                   {"force_n", f.middle().si()},
                   {"force_lo_n", f.low.si()},
                   {"force_hi_n", f.high.si()}});
  }
  return out;
}

}  // namespace

Expected<ClaimAnswer> AnswerClaim(const ClaimQuestion& question) {
  if (auto ok = CheckQuestion(question); !ok) return tl::unexpected(ok.error());
  ClaimAnswer a;
  a.question = question;
  if (auto ok = ReadQuestion(question, a); !ok) {
    return tl::unexpected(ok.error());
  }
  if (a.pressure && a.area) a.force = ClaimedForce(*a.pressure, *a.area);
  if (a.measured && a.pressure) {
    a.fitting = FittingAreas(a.measured->range, *a.pressure);
  }
  if (a.measured && a.force) a.fit = CompareClaim(*a.force, a.measured->range);
  AddWords(a);
  return a;
}

nlohmann::ordered_json ClaimJson(const ClaimAnswer& a) {
  nlohmann::ordered_json j;
  j["pressure_pa"] = EndsJson(a.pressure, unit::kPascal);
  j["area_mm2"] = EndsJson(a.area, unit::kSquareMillimetre);
  j["force_n"] = ForceJson(a.force, unit::kNewton);
  j["force_lo_n"] = nullptr;
  j["force_hi_n"] = nullptr;
  if (a.force) {
    j["force_lo_n"] = a.force->low.si();
    j["force_hi_n"] = a.force->high.si();
  }
  j["force_kgf"] = ForceJson(a.force, unit::kKilogramForce);
  j["force_lbf"] = ForceJson(a.force, unit::kPoundForce);
  j["by_area"] = nullptr;
  if (a.pressure) j["by_area"] = ByAreaJson(*a.pressure);
  j["measured"] = nullptr;
  if (a.measured) {
    j["measured"] = {{"from", a.measured->from},
                     {"bites", a.measured->bites},
                     {"middle_n", a.measured->middle.si()},
                     {"lo_n", a.measured->range.low.si()},
                     {"hi_n", a.measured->range.high.si()}};
  }
  j["fit_area_mm2"] = EndsJson(a.fitting, unit::kSquareMillimetre);
  j["fit"] = nullptr;
  if (a.fit) j["fit"] = ClaimFitWord(*a.fit);
  j["words"] = a.words;
  return j;
}

std::string ClaimSvg(const ClaimAnswer& a) {
  report::ClaimPicture picture;
  if (a.measured) {
    picture.force = a.measured->middle;
    picture.force_is = "measured";
  } else if (a.force) {
    picture.force = a.force->middle();
    picture.force_is = a.pressure ? "claimed" : "given";
  } else {
    // A person of 70 kg stands on one foot.
    picture.force = 70.0 * unit::kKilogramForce;
    picture.force_is = "a person's weight";
  }
  return report::ClaimSvg(picture);
}

}  // namespace masseter
