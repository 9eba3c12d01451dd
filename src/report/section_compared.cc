#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "report/compare_pictures.h"
#include "report/figure_text.h"
#include "report/sections.h"
#include "report/significant.h"
#include "report/study_pictures.h"

namespace masseter::report {
namespace {

// Rows of a picture that fit an A4 page.
constexpr std::size_t kMostOnPage = 20;
constexpr std::size_t kMostPairs = 12;  // in words

std::string Share(double v) { return FixedText(v, 2); }

std::string Percent(double ratio) {
  return Significant(100.0 * (ratio - 1.0), 2) + " %";
}

void Cell(HtmlWriter& w, const std::string& text) {
  w.Leaf("td", text.empty() ? "–" : text, {{"class", "n"}});
}

// The mean, or the highest bound where a dog has no more than bounds.
std::string MeanOf(const ComparedDog& d) {
  if (std::isfinite(d.mean_n)) return Significant(d.mean_n, 3);
  double highest = 0.0;
  for (const ComparedBite& b : d.bites) {
    if (b.at_least) highest = std::max(highest, b.force_n);
  }
  return highest > 0.0 ? "≥ " + Significant(highest, 3) : "";
}

void DogLine(HtmlWriter& w, const ComparedDog& d, bool means, bool ranked) {
  const Scope row(w, "tr");
  w.Leaf("th", d.name, {{"class", "who"}, {"scope", "row"}});
  std::size_t counted = 0;
  std::size_t bounds = 0;
  for (const ComparedBite& b : d.bites) {
    if (b.verdict == Verdict::kVoid) continue;
    ++counted;
    if (b.at_least) ++bounds;
  }
  Cell(w, fmt::format("{}", counted));
  Cell(w, bounds == 0 ? "" : fmt::format("{}", bounds));
  Cell(w, MeanOf(d));
  w.Line();
  if (!means) return;
  const bool interval = std::isfinite(d.lo_n) && std::isfinite(d.hi_n);
  Cell(w, interval ? Significant(d.lo_n, 3) + " to " + Significant(d.hi_n, 3)
                   : "");
  Cell(w, std::isfinite(d.own_n) ? Significant(d.own_n, 3) : "");
  if (ranked) {
    Cell(w, d.rank_probability.empty() ? "" : Share(d.rank_probability[0]));
  }
  w.Line();
}

bool Ranked(const ComparePicture& p) {
  return !p.dogs.empty() && !p.dogs[0].rank_probability.empty();
}

void DogTable(HtmlWriter& w, const ReportComparison& c) {
  const Scope wide(w, "div", {{"class", "wide"}});
  const Scope table(w, "table");
  w.Leaf("caption",
         c.means ? "Mean peaks in N. A dog of few bites is drawn towards the "
                   "others, so that a lucky bite does not win; what its own "
                   "bites alone would say stands beside."
                 : "Peaks in N. There is no mean that could be compared.");
  {
    const Scope head(w, "thead");
    const Scope row(w, "tr");
    w.Leaf("th", "Dog", {{"scope", "col"}});
    const auto column = [&w](std::string_view text) {
      w.Leaf("th", text, {{"scope", "col"}, {"class", "n"}});
    };
    column("Bites");
    column("of them ≥");
    column(c.means ? "Mean" : "Mean of its bites");
    if (c.means) {
      column("95 % interval");
      column("Own bites alone");
    }
    if (c.means && Ranked(c.picture)) column("Strongest, probability");
  }
  const Scope body(w, "tbody");
  for (const ComparedDog& d : c.picture.dogs) {
    DogLine(w, d, c.means, Ranked(c.picture));
  }
}

void Pairs(HtmlWriter& w, const ReportComparison& c) {
  if (c.pairs == 0) return;
  const std::size_t told = c.told_apart.size();
  w.Leaf("li",
         told == 0
             ? fmt::format("No dog can be told from another: none of {}.",
                           CountText(c.pairs, "pair"))
             : fmt::format("{} of {} can be told apart, with intervals that "
                           "hold for all pairs together:",
                           told, CountText(c.pairs, "pair")));
  for (std::size_t i = 0; i < std::min(told, kMostPairs); ++i) {
    const ReportPair& p = c.told_apart[i];
    w.Leaf("li", fmt::format("{} bites harder than {}, by {} (95 % {} to {}).",
                             p.stronger, p.than, Percent(p.ratio),
                             Percent(p.lo), Percent(p.hi)));
  }
  if (told > kMostPairs) {
    w.Leaf("li",
           fmt::format("And {} more.", CountText(told - kMostPairs, "pair")));
  }
}

void Reliability(HtmlWriter& w, const ReportComparison& c) {
  if (c.icc) {
    std::string text =
        "Reliability of one bite (ICC; 0 says nothing about "
        "the dog, 1 all): " +
        Share(*c.icc);
    if (c.icc_lo && c.icc_hi) {
      text +=
          fmt::format(", 95 % {} to {}", Share(*c.icc_lo), Share(*c.icc_hi));
    }
    text += c.bites_for_0_9 ? fmt::format(". The mean of {} reaches 0.9.",
                                          CountText(*c.bites_for_0_9, "bite"))
                            : ". No number of bites is known to reach 0.9.";
    w.Leaf("li", text);
  }
  if (c.one_bite_ratio) {
    w.Leaf("li",
           fmt::format("Two single bites less than {} apart may be the same "
                       "dog’s.",
                       Percent(*c.one_bite_ratio)));
  }
}

void Words(HtmlWriter& w, const ReportComparison& c) {
  const Scope list(w, "ul", {{"class", "says"}});
  Pairs(w, c);
  Reliability(w, c);
  for (const std::string& note : c.notes) w.Leaf("li", note);
  w.Leaf("li",
         "What it does not mean: the order of the means is no order of the "
         "dogs where a pair cannot be told apart. It is about this sleeve and "
         "these bites, not about a dog’s worth or training.");
  w.Leaf("li",
         "Nothing here is a claim about a breed: the dogs are compared one by "
         "one, and a few of a breed do not stand for it.");
  w.Line();
}

void Picture(HtmlWriter& w, const std::string& plot, std::string_view caption) {
  const Scope figure(w, "figure", {{"class", "study"}});
  w.Trusted(plot);
  w.Leaf("figcaption", caption);
}

void Pictures(HtmlWriter& w, const ReportComparison& c) {
  ComparePicture p = c.picture;
  p.most = kMostOnPage;
  Picture(w, ComparedBitesPlot(p),
          "Every bite, in the shape of its verdict; five heights in turn keep "
          "one from hiding another.");
  if (!c.means) return;
  Picture(w, ComparedMeansPlot(p),
          "The means in order. Where the lines of two dogs overlap, look at "
          "the pairs above before believing the order.");
  if (Ranked(p)) {
    Picture(w, ComparedRanksPlot(p),
            "How probable each rank is: a row of many squares is a dog whose "
            "place is not known.");
  }
}

}  // namespace

void WriteCompared(HtmlWriter& w, const ReportModel& model) {
  if (!model.comparison) return;
  const ReportComparison& c = *model.comparison;
  const Scope section(w, "section", {{"class", "page"}, {"id", "compared"}});
  w.Leaf("h2", "The dogs compared");
  if (!c.picture.dogs.empty()) DogTable(w, c);
  Words(w, c);
  if (!c.picture.dogs.empty()) Pictures(w, c);
  if (c.mass) {
    Picture(w, MassForcePlot(*c.mass),
            "Mean peak of each dog against its body mass, both on logarithmic "
            "axes. What others published was measured in other ways: a "
            "backdrop, not part of this day.");
  }
  w.Line();
}

}  // namespace masseter::report
