#include "report/certificate_html.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "report/certificate_style.h"
#include "report/figure_text.h"
#include "report/page_parts.h"
#include "report/report_style.h"
#include "report/significant.h"
#include "report/utf8.h"

namespace masseter {
namespace {

using report::HtmlWriter;
using report::Scope;

constexpr std::size_t kMostLoads = 8;
constexpr std::size_t kMostPlaces = 11;
constexpr std::size_t kMostLetters = 560;
constexpr std::size_t kLongestTitle = 44;
constexpr std::size_t kLongestName = 26;
constexpr std::size_t kLongestFact = 76;
constexpr std::size_t kLongestClass = 200;

std::string Percent(const std::optional<double>& value) {
  return value ? Typographic(PercentText(*value)) : "–";
}

// In a column whose head says "%".
std::string Bare(const std::optional<double>& value) {
  std::string text = Percent(value);
  return text.substr(0, text.find(' '));
}

std::string Signed(const std::optional<double>& value) {
  if (!value) return "–";
  if (*value == 0.0) return "0";
  return (*value > 0.0 ? "+" : "") + Bare(value);
}

// "u_c" becomes u with a small c: a word's part behind "_" goes down.
void Symbols(HtmlWriter& w, std::string_view text) {
  while (!text.empty()) {
    const std::size_t bar = text.find('_');
    w.Text(text.substr(0, bar));
    if (bar == std::string_view::npos) return;
    text.remove_prefix(bar + 1);
    const std::size_t end = std::min(text.find_first_of(" =,)"), text.size());
    w.Leaf("sub", text.substr(0, end));
    text.remove_prefix(end);
  }
}

void Title(HtmlWriter& w, const CertificateModel& model) {
  const Scope header(w, "header");
  {
    const Scope left(w, "div");
    w.Leaf("p", "Certificate of calibration", {{"class", "kind"}});
    w.Leaf("h1", report::CutTo(model.title, kLongestTitle));
  }
  const Scope right(w, "div", {{"class", "standing"}});
  w.Leaf("strong", model.number);
  if (model.reference_certificate.empty()) {
    w.Leaf("span", "Homemade, not accredited");
  } else {
    w.Leaf("span", "Reference: " + report::CutTo(model.reference_certificate,
                                                 kLongestFact));
    w.Leaf("span", "named by whoever signs; the work itself is not accredited");
  }
}

void Facts(HtmlWriter& w, std::string_view heading,
           const std::vector<std::pair<std::string, std::string>>& facts) {
  const Scope part(w, "section");
  w.Leaf("h2", heading);
  const Scope table(w, "table", {{"class", "facts"}});
  const Scope body(w, "tbody");
  for (const auto& [name, value] : facts) {
    const Scope row(w, "tr");
    w.Leaf("th", name, {{"scope", "row"}});
    w.Leaf("td", report::CutTo(value, kLongestFact));
  }
}

std::string PartsText(const CertificateModel& model) {
  std::string out;
  for (const CertificatePart& part : model.parts) {
    out += fmt::format(
        "{}{} {} ({}{})", out.empty() ? "" : ", ", part.term,
        PercentText(part.standard_u), part.type_a ? "A" : "B",
        part.dof ? ", " + FixedText(*part.dof, 0) + " degrees of freedom" : "");
  }
  return out;
}

// The GUM's own wording (JCGM 100:2008, 7.2.4).
void Uncertainty(HtmlWriter& w, const CertificateModel& model) {
  const Scope part(w, "section", {{"class", "statement"}});
  w.Leaf("h2", fmt::format("Uncertainty: U = {} of the force",
                           Percent(model.expanded_u95)));
  const std::string dof =
      model.dof ? "ν_eff = " + FixedText(std::floor(*model.dof), 0) +
                      " effective degrees of freedom"
                : "infinite effective degrees of freedom";
  std::string text = fmt::format(
      "The reported expanded uncertainty U = k u_c is stated as the combined "
      "standard uncertainty u_c = {} of the force multiplied by the coverage "
      "factor k = {}, which for a t-distribution with {} corresponds to a "
      "coverage probability of approximately 95 %. The standard uncertainty "
      "was evaluated as the GUM (JCGM 100:2008) says: {}.",
      PercentText(model.standard_u), FixedText(model.k, 2), dof,
      PartsText(model));
  if (model.small_load_u_n > 0.0) {
    text += fmt::format(" Small loads: {} N (standard) more.",
                        Significant(model.small_load_u_n, 2));
  }
  text += fmt::format(
      " It holds for a load at rest of {} to {} N at any place among those "
      "loaded{}; a bite’s figure adds zero, noise, creep, sampling and "
      "ringing, listed with each bite.",
      FixedText(model.force_low_n, 0), FixedText(model.force_high_n, 0),
      model.place_seen ? "" : " (this sleeve does not see where)");
  const Scope paragraph(w, "p");
  Symbols(w, text);
}

void Column(HtmlWriter& w, std::string_view name) {
  const Scope head(w, "th", {{"scope", "col"}, {"class", "n"}});
  Symbols(w, name);
}

void Number(HtmlWriter& w, const std::string& text) {
  w.Leaf("td", text, {{"class", "n"}});
}

void Terms(HtmlWriter& w, const CertificateModel& model) {
  const Scope part(w, "section");
  w.Leaf("h2", "Quantities");
  const Scope table(w, "table");
  const Scope body(w, "tbody");
  for (const auto& [name, value] : model.terms) {
    const Scope row(w, "tr");
    w.Leaf("td", name);
    Number(w, Percent(value));
  }
}

// Ten of them at most, the smallest and the largest always.
std::vector<std::size_t> Spread(std::size_t count, std::size_t most) {
  std::vector<std::size_t> out;
  if (count <= most) most = count;
  for (std::size_t i = 0; i < most; ++i) {
    out.push_back(most < 2 ? 0 : i * (count - 1) / (most - 1));
  }
  return out;
}

void Loads(HtmlWriter& w, const CertificateModel& model) {
  const Scope part(w, "section", {{"class", "loads"}});
  const std::vector<std::size_t> shown = Spread(model.loads.size(), kMostLoads);
  w.Leaf("h2",
         shown.size() < model.loads.size()
             ? fmt::format("Loads ({} of {})", shown.size(), model.loads.size())
             : "Loads");
  {
    const Scope wide(w, "div", {{"class", "over"}});
    const Scope table(w, "table");
    {
      const Scope head(w, "thead");
      const Scope row(w, "tr");
      for (const char* name : {"Force, N", "n", "Mean, %", "Worst, %", "b, %",
                               "b′, %", "f_c, %", "v, %", "Class"}) {
        Column(w, name);
      }
    }
    const Scope body(w, "tbody");
    for (const std::size_t i : shown) {
      const CertificateLoad& load = model.loads[i];
      const Scope row(w, "tr");
      Number(w, FixedText(load.force_n, 1));
      Number(w, std::to_string(load.readings));
      Number(w, Signed(load.mean_error));
      Number(w, Signed(load.worst_error));
      Number(w, Bare(load.b));
      Number(w, Bare(load.b_prime));
      Number(w, Signed(load.fc));
      Number(w, Bare(load.v));
      Number(w, load.class_word.empty() ? "–" : load.class_word);
    }
  }
  const Scope note(w, "p", {{"class", "note"}});
  Symbols(w,
          "n readings; mean and worst error over all places. b placed anew, b′ "
          "same placing, f_c interpolation, v reversibility: ISO 376 at the "
          "place nearest to the middle.");
}

std::vector<CertificatePlace> WorstPlaces(std::vector<CertificatePlace> all) {
  if (all.size() <= kMostPlaces) return all;
  const auto size = [](const CertificatePlace& p) { return p.rms.value_or(0); };
  std::stable_sort(all.begin(), all.end(),
                   [&](const CertificatePlace& a, const CertificatePlace& b) {
                     return size(a) > size(b);
                   });
  all.resize(kMostPlaces);
  return all;
}

void Places(HtmlWriter& w, const CertificateModel& model) {
  const Scope part(w, "section");
  const std::vector<CertificatePlace> shown = WorstPlaces(model.places);
  w.Leaf("h2", shown.size() < model.places.size()
                   ? fmt::format("Places (the worst {} of {})", shown.size(),
                                 model.places.size())
                   : "Places");
  const Scope table(w, "table");
  {
    const Scope head(w, "thead");
    const Scope row(w, "tr");
    for (const char* name :
         {"x, mm", "y, mm", "n", "Error, %", "1 factor, %"}) {
      Column(w, name);
    }
  }
  const Scope body(w, "tbody");
  for (const CertificatePlace& place : shown) {
    const Scope row(w, "tr");
    Number(w, Typographic(FixedText(place.x_mm, 0)));
    Number(w, Typographic(FixedText(place.y_mm, 0)));
    Number(w, std::to_string(place.readings));
    Number(w, Signed(place.error));
    Number(w, Signed(place.single_factor_error));
  }
}

void Results(HtmlWriter& w, const CertificateModel& model) {
  const Scope grid(w, "div", {{"class", "results"}});
  {
    const Scope left(w, "div");
    Terms(w, model);
    Places(w, model);
    w.Leaf("p",
           "Error: mean error of the place when it took no part in the fit. "
           "1 factor: what one factor for the whole sleeve would have been off "
           "by. ISO 376: " +
               report::CutTo(model.class_words, kLongestClass),
           {{"class", "note"}});
  }
  const Scope right(w, "div");
  Loads(w, model);
  {
    const Scope pair(w, "div", {{"class", "pictures"}});
    report::WriteCertificateCurve(w, model);
    report::WriteCertificateErrors(w, model);
  }
  report::WriteCertificateMap(w, model);
}

void Warnings(HtmlWriter& w, const CertificateModel& model) {
  const Scope part(w, "section");
  w.Leaf("h2", "Warnings and cautions");
  const Scope list(w, "ul", {{"class", "reasons"}});
  std::size_t letters = 0;
  std::size_t shown = 0;
  for (const std::string& text : model.warnings) {
    letters += text.size();
    if (letters > kMostLetters) break;
    w.Leaf("li", text);
    ++shown;
  }
  if (shown < model.warnings.size()) {
    w.Leaf("li", CountText(model.warnings.size() - shown, "further warning") +
                     ": masseter certificate --json tells them.");
  }
  if (model.warnings.empty()) w.Leaf("li", "The readings gave no warning.");
  w.Leaf("li",
         "This page is about figures, not about safety: a trainer, a "
         "veterinarian and licensed practice decide whether a dog bites this "
         "sleeve. An overloaded, opened or wet sleeve is inspected and "
         "calibrated anew; a damaged lithium cell is not used.",
         {{"class", "quiet"}});
}

void Signature(HtmlWriter& w, const CertificateModel& model) {
  const Scope foot(w, "footer");
  w.Leaf("p", "Place and date", {{"class", "line"}});
  w.Leaf(
      "p",
      model.calibrated_by.empty()
          ? "Calibrated by"
          : "Calibrated by " + report::CutTo(model.calibrated_by, kLongestName),
      {{"class", "line"}});
  w.Leaf("p", "Page made " + model.created, {{"class", "made"}});
}

}  // namespace

std::string CertificateHtml(const CertificateModel& model) {
  HtmlWriter w;
  w.Trusted("<!doctype html>\n");
  w.Open("html", {{"lang", "en"}});
  w.Line();
  report::PageHead(w, model.number + ", " + model.title,
                   report::CertificateStyle());
  w.Open("body", {{"class", "certificate"}});
  w.Line();
  Title(w, model);
  {
    const Scope two(w, "div", {{"class", "two-up"}});
    Facts(w, "Instrument", model.identification);
    Facts(w, "Conditions", model.conditions);
  }
  Uncertainty(w, model);
  Results(w, model);
  {
    const Scope two(w, "div", {{"class", "two-up last"}});
    Facts(w, "Validity", model.validity);
    Warnings(w, model);
  }
  Signature(w, model);
  std::string html = w.Take();
  html += '\n';
  return html;
}

}  // namespace masseter
