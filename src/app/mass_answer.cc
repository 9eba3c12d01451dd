#include "app/mass_answer.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/text_fields.h"
#include "core/study/published_ranges.h"

namespace masseter {
namespace {

// A dog's bites on their way to a geometric mean.
struct Gathered {
  MassDog dog;
  double sum_ln = 0.0;
};

Expected<void> Gather(const StudyRows& rows, MassAnswer& a,
                      std::vector<Gathered>& out) {
  const auto mass = rows.Need(a.question.mass);
  if (!mass) return tl::unexpected(mass.error());
  // A table without dogs is one of single animals.
  const auto dog = rows.Find("dog");
  const auto breed = rows.Find("breed");
  std::vector<std::size_t> needed = {*mass};
  if (dog) needed.push_back(*dog);
  auto figures = FiguresOf(rows, a.question.of, needed, true);
  if (!figures) return tl::unexpected(figures.error());
  a.figures = std::move(*figures);
  for (const StudyFigure& f : a.figures.figures) {
    const std::vector<std::string>& row = rows.rows[f.row];
    const auto kg = ParseNumber(row[*mass]);
    if (!kg || *kg <= 0.0) {
      return BadInput(
          rows.PlaceOf(f.row),
          a.question.mass + " is not a mass: \"" + row[*mass] + "\"");
    }
    if (f.at_least) {
      ++a.at_least;
      continue;
    }
    const std::string name = dog ? row[*dog] : fmt::format("row {}", f.row + 1);
    auto it = std::find_if(out.begin(), out.end(), [&](const Gathered& g) {
      return g.dog.name == name;
    });
    if (it == out.end()) {
      Gathered g;
      g.dog.name = name;
      if (breed) g.dog.breed = row[*breed];
      g.dog.point.mass = *kg;
      it = out.insert(out.end(), std::move(g));
    } else if (it->dog.point.mass != *kg) {
      return BadInput(rows.PlaceOf(f.row),
                      "\"" + name + "\" has two masses; a dog counts once");
    }
    it->sum_ln += std::log(f.value);
    ++it->dog.bites;
  }
  return {};
}

void AddNotes(MassAnswer& a) {
  if (a.fit.heaviest / a.fit.lightest < 1.5) {
    a.notes.push_back(
        "The masses differ by less than half; such a slope says little.");
  }
  if (a.fit.dogs < 10) {
    a.notes.push_back(fmt::format(
        "{} dogs: the interval of the slope is the message, not the slope.",
        a.fit.dogs));
  }
  a.notes.push_back(
      "What is published was measured in other ways and is a backdrop only.");
}

}  // namespace

Expected<MassAnswer> AnswerMass(const MassQuestion& question) {
  MassAnswer a;
  a.question = question;
  if (!(question.reference_kg > 0.0) || question.reference_kg > 1000.0) {
    return BadInput("--at", "must be a mass in kg above zero");
  }
  const auto rows =
      ReadStudy(question.book.empty() ? std::vector<std::string>{}
                                      : std::vector<std::string>{question.book},
                question.table);
  if (!rows) return tl::unexpected(rows.error());
  std::vector<Gathered> gathered;
  if (auto ok = Gather(*rows, a, gathered); !ok) {
    return tl::unexpected(ok.error());
  }
  std::vector<MassPoint> points;
  for (Gathered& g : gathered) {
    g.dog.point.force = std::exp(g.sum_ln / static_cast<double>(g.dog.bites));
    points.push_back(g.dog.point);
    a.dogs.push_back(std::move(g.dog));
  }
  const auto fit = FitAllometry(points);
  if (!fit) return BadInput(rows->file, fit.error().what);
  a.fit = *fit;
  a.two_thirds = TestMajorAxisSlope(points, 2.0 / 3.0);
  for (MassDog& d : a.dogs) {
    d.adjusted = AdjustForSize(a.fit, d.point, question.reference_kg);
  }
  std::stable_sort(a.dogs.begin(), a.dogs.end(),
                   [](const MassDog& x, const MassDog& y) {
                     return x.adjusted.ratio > y.adjusted.ratio;
                   });
  AddNotes(a);
  return a;
}

nlohmann::ordered_json MassJson(const MassAnswer& a) {
  const AllometricFit& f = a.fit;
  nlohmann::ordered_json j;
  j["of"] = a.figures.of;
  j["dogs"] = nlohmann::ordered_json::array();
  for (const MassDog& d : a.dogs) {
    j["dogs"].push_back(
        {{"dog", d.name},
         {"breed", d.breed},
         {"bites", d.bites},
         {"mass_kg", d.point.mass},
         {"force_n", d.point.force},
         {"ratio_for_size", d.adjusted.ratio},
         {"force_at_reference_n", d.adjusted.force_at_reference},
         {"unusual", d.adjusted.unusual}});
  }
  j["reference_kg"] = a.question.reference_kg;
  j["least_squares"] = {{"slope", f.least_squares.slope},
                        {"slope_lo", f.least_squares.slope_lo},
                        {"slope_hi", f.least_squares.slope_hi},
                        {"slope_se", f.slope_se},
                        {"ln_force_at_1_kg", f.least_squares.intercept},
                        {"residual_sd", f.residual_sd},
                        {"lognormal_factor", f.lognormal_factor}};
  j["major_axis"] = {{"slope", f.major_axis.slope},
                     {"slope_lo", f.major_axis.slope_lo},
                     {"slope_hi", f.major_axis.slope_hi},
                     {"ln_force_at_1_kg", f.major_axis.intercept},
                     {"p_two_thirds", a.two_thirds.p}};
  j["r"] = f.r;
  const ForceAtMass at = PredictForce(f, a.question.reference_kg);
  j["at_reference"] = {{"force_n", at.force},
                       {"mean_lo_n", at.mean_lo},
                       {"mean_hi_n", at.mean_hi},
                       {"dog_lo_n", at.dog_lo},
                       {"dog_hi_n", at.dog_hi}};
  j["left_out"] = LeftOutJson(a.figures);
  j["left_out"]["at_least"] = a.at_least;
  j["published"] = nlohmann::ordered_json::array();
  for (const PublishedRange& r : PublishedRanges()) {
    j["published"].push_back({{"what", r.what},
                              {"method", r.method},
                              {"low_n", r.low_n},
                              {"high_n", r.high_n},
                              {"range_means", r.range_means},
                              {"dogs", r.dogs},
                              {"source", r.source},
                              {"seen", r.seen}});
  }
  j["notes"] = a.notes;
  return j;
}

report::MassForcePicture MassPictureOf(const MassAnswer& a) {
  report::MassForcePicture p;
  for (const MassDog& d : a.dogs) {
    p.dogs.push_back({d.name, d.point.mass, d.point.force, d.adjusted.unusual});
  }
  p.fit = a.fit;
  return p;
}

std::string MassSvg(const MassAnswer& a) {
  return report::MassForceSvg(MassPictureOf(a));
}

}  // namespace masseter
