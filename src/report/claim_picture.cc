#include "report/claim_picture.h"

#include <fmt/format.h>

#include "core/quantity/units.h"
#include "core/study/claim.h"
#include "report/html_writer.h"
#include "report/significant.h"
#include "report/svg_axis.h"
#include "report/svg_file.h"

namespace masseter::report {
namespace {

constexpr double kGround = 196.0;  // where the feet stand, picture units
// Both areas are drawn to one scale below the ground, units per metre.
constexpr double kScale = 290.0;

std::string C(double v) { return Coordinate(v); }

void Text(HtmlWriter& w, double x, double y, std::string_view text,
          std::string_view cls, std::string_view anchor = "middle") {
  w.Leaf("text", text,
         {{"class", std::string(cls)},
          {"x", C(x)},
          {"y", C(y)},
          {"text-anchor", std::string(anchor)}});
  w.Line();
}

void Path(HtmlWriter& w, std::string_view cls, const std::string& d) {
  w.Shape("path", {{"class", std::string(cls)}, {"d", d}});
}

// The push from above, the same on both sides.
void Push(HtmlWriter& w, double x, double to) {
  Path(w, "push", fmt::format("M{} {}V{}", C(x), C(to - 62), C(to - 12)));
  Path(w, "head", fmt::format("M{} {}l-11 -16h22z", C(x), C(to)));
}

// A shoe seen from the side, its heel narrow.
void Heel(HtmlWriter& w, double x) {
  Path(w, "foot",
       fmt::format("M{} 196V152C{} 140 {} 132 {} 128C{} 124 {} 132 {} 136"
                   "C{} 150 {} 168 {} 184C{} 188 {} 192 {} 192H{}"
                   "C{} 184 {} 170 {} 158L{} 196Z",
                   C(x - 2), C(x - 9), C(x - 8), C(x + 2), C(x + 14), C(x + 22),
                   C(x + 30), C(x + 48), C(x + 66), C(x + 86), C(x + 104),
                   C(x + 110), C(x + 110), C(x + 62), C(x + 44), C(x + 28),
                   C(x + 4), C(x + 2)));
}

// A snowshoe seen from the side: a long flat frame with turned-up ends.
void Snowshoe(HtmlWriter& w, double x) {
  Path(w, "foot",
       fmt::format("M{} 196H{}C{} 196 {} 186 {} 178L{} 175C{} 182 {} 188 {} "
                   "188H{}Z",
                   C(x - 100), C(x + 78), C(x + 96), C(x + 104), C(x + 108),
                   C(x + 103), C(x + 98), C(x + 90), C(x + 78), C(x - 100)));
  Path(w, "foot",
       fmt::format("M{} 188V150H{}V168C{} 170 {} 172 {} 188Z", C(x - 18),
                   C(x + 6), C(x + 18), C(x + 30), C(x + 34)));
}

void HeelFromBelow(HtmlWriter& w, double x, double y) {
  const double side = kScale * 0.01;
  w.Shape("rect", {{"class", "area"},
                   {"x", C(x - side / 2.0)},
                   {"y", C(y - side / 2.0)},
                   {"width", C(side)},
                   {"height", C(side)}});
}

void SnowshoeFromBelow(HtmlWriter& w, double x, double y) {
  const double half = kScale * 0.75 / 2.0;
  const double tall = kScale * 0.20 / 2.0;
  w.Shape("rect", {{"class", "area"},
                   {"x", C(x - half)},
                   {"y", C(y - tall)},
                   {"width", C(2.0 * half)},
                   {"height", C(2.0 * tall)},
                   {"rx", C(tall)}});
}

void Numbers(HtmlWriter& w, double x, Force force, Area area,
             std::string_view what) {
  const Pressure p = force / area;
  const std::string kpa = Significant(ValueIn(p, unit::kKilopascal), 3);
  const std::string psi = Significant(ValueIn(p, unit::kPoundPerSquareInch), 3);
  Text(w, x, 308, what, "");
  Text(w, x, 338, fmt::format("{} psi", psi), "big");
  Text(w, x, 361, fmt::format("{} kPa", kpa), "ink");
}

}  // namespace

std::string ClaimSvg(const ClaimPicture& picture) {
  HtmlWriter w;
  w.Open("svg",
         {{"class", "plot"},
          {"viewBox", "0 0 640 430"},
          {"role", "img"},
          {"aria-label", "One force on a narrow heel and on a snowshoe"}});
  w.Line();
  const std::string newtons = Significant(picture.force.si()) + " N";
  Text(w, 320, 28, fmt::format("One force, {} ({})", newtons, picture.force_is),
       "title");
  constexpr double kLeft = 165.0;
  constexpr double kRight = 475.0;
  Push(w, kLeft, 122);
  Push(w, kRight - 6, 146);
  Text(w, kLeft - 18, 90, newtons, "ink", "end");
  Text(w, kRight - 24, 114, newtons, "ink", "end");
  Heel(w, kLeft);
  Snowshoe(w, kRight);
  w.Shape("line", {{"class", "zero"},
                   {"x1", "30"},
                   {"x2", "610"},
                   {"y1", C(kGround)},
                   {"y2", C(kGround)}});
  w.Line();
  Text(w, 320, 220, "where each touches the ground, one scale", "");
  HeelFromBelow(w, kLeft, 258);
  SnowshoeFromBelow(w, kRight, 258);
  Numbers(w, kLeft, picture.force, kHeelArea, "narrow heel, 1 cm × 1 cm");
  Numbers(w, kRight, picture.force, kSnowshoeArea, "snowshoe, 20 × 75 cm");
  Text(w, 320, 404, "A pressure tells a force only with its area.", "ink");
  w.Close();
  return SvgFile(w.Take());
}

}  // namespace masseter::report
