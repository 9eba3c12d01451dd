#include <fmt/format.h>

#include <algorithm>
#include <span>
#include <string>
#include <vector>

#include "report/figure_text.h"
#include "report/report_summary.h"
#include "report/sections.h"
#include "report/svg_plot.h"
#include "report/utf8.h"

namespace masseter::report {
namespace {

constexpr double kTop = 14.0;
constexpr double kBottom = 44.0;
constexpr double kNameHeight = 24.0;
constexpr double kFrameLeft = 46.0;  // void bites stand left of zero
constexpr double kTallest = 820.0;   // what an A4 page holds
constexpr std::size_t kNameColumns = 34;

// Height of one bite's line: generous for a few, closer for many, so that a
// day of 200 bites still fits.
double LineHeight(std::size_t bites) {
  const double room = (kTallest - kTop - kBottom - kNameHeight);
  return std::clamp(room / static_cast<double>(std::max<std::size_t>(bites, 1)),
                    2.5, 13.0);
}

double RowHeight(const ReportDog& dog, double line) {
  return kNameHeight + line * static_cast<double>(dog.bites.size()) + 6.0;
}

double DayTop(const ReportModel& model) {
  double top = 0.0;
  for (const ReportDog& dog : model.dogs) {
    for (const ReportBite& entry : dog.bites) {
      if (!PeakLow(entry.bite)) continue;
      const double high =
          PeakHigh(entry.bite).value_or(*entry.bite.peak_n * 1.05);
      // A huge interval may run out of the picture; the dot may not.
      top = std::max({top, *entry.bite.peak_n * 1.05,
                      std::min(high, *entry.bite.peak_n * 1.5)});
    }
  }
  return NiceTop(top, 8);
}

void BiteLine(SvgPlot& plot, const Bite& bite, double at, double r) {
  HtmlWriter& w = plot.writer();
  if (!PeakLow(bite)) {
    VerdictShape(w, kFrameLeft - 18.0, at, r, bite.verdict, false);
    return;
  }
  const std::string cls = "whisker " + std::string(VerdictClass(bite.verdict));
  const double high = PeakHigh(bite).value_or(*bite.peak_n);
  plot.Segment(*PeakLow(bite), at, high, at, cls);
  VerdictShape(w, plot.x().At(*bite.peak_n), at, r, bite.verdict,
               bite.at_least);
}

void DogRow(SvgPlot& plot, const ReportDog& dog, double y, double line) {
  HtmlWriter& w = plot.writer();
  const VerdictCounts counts = CountVerdicts(dog.bites);
  w.Shape("line", {{"class", "rule"},
                   {"x1", "2"},
                   {"x2", Coordinate(kPictureWidth - 2.0)},
                   {"y1", Coordinate(y)},
                   {"y2", Coordinate(y)}});
  {
    const Scope text(
        w, "text",
        {{"class", "name"}, {"x", "2"}, {"y", Coordinate(y + 16.0)}});
    w.Text(CutTo(DogTitle(dog), kNameColumns));
    std::string count = "  " + CountText(counts.all(), "bite");
    if (counts.no_figure > 0)
      count += fmt::format(", {} void", counts.no_figure);
    w.Leaf("tspan", count, {{"class", "count"}});
  }
  const double r = std::clamp(line * 0.36, 1.6, 4.4);
  double at = y + kNameHeight + line / 2.0;
  for (const ReportBite& entry : dog.bites) {
    BiteLine(plot, entry.bite, at, r);
    at += line;
  }
  w.Line();
}

void DayPicture(HtmlWriter& w, std::span<const ReportDog* const> dogs,
                double top_n, double line,
                const std::optional<ReportCalibration>& cal) {
  double height = kTop + kBottom;
  for (const ReportDog* dog : dogs) height += RowHeight(*dog, line);
  const double floor = height - kBottom;
  // The y axis is the picture itself: rows are placed by hand.
  const Axis x = {0.0, top_n, kFrameLeft, kPictureWidth - 14.0};
  const Axis y = {kTop, floor, kTop, floor};
  SvgPlot plot(w, height, "Peak force of every bite, dog by dog", x, y);
  if (cal) {
    plot.Box(cal->force_low_n, cal->force_high_n, kTop, floor, "range");
  }
  plot.XAxis("Peak force (N)", 8);
  double at = kTop;
  for (const ReportDog* dog : dogs) {
    DogRow(plot, *dog, at, line);
    at += RowHeight(*dog, line);
  }
}

// As many pictures as pages are needed; dogs stay whole.
void Pictures(HtmlWriter& w, const ReportModel& model) {
  std::size_t most = 0;
  std::vector<const ReportDog*> dogs;
  for (const ReportDog& dog : model.dogs) {
    if (dog.bites.empty()) continue;
    dogs.push_back(&dog);
    most += dog.bites.size();
  }
  const double line = LineHeight(most);
  const double top_n = DayTop(model);
  for (std::size_t i = 0; i < dogs.size();) {
    double height = kTop + kBottom;
    std::size_t end = i;
    while (end < dogs.size() &&
           (end == i || height + RowHeight(*dogs[end], line) <= kTallest)) {
      height += RowHeight(*dogs[end++], line);
    }
    const Scope figure(w, "figure");
    DayPicture(w, std::span(dogs).subspan(i, end - i), top_n, line,
               model.calibration);
    std::string caption =
        "Every bite of the day, in order of time within each dog: the shape is "
        "the verdict, the line through it the 95 % interval of the peak. Void "
        "bites stand left of zero.";
    if (model.calibration) {
      caption += " The faint band is the calibrated range.";
    }
    caption +=
        " Bites of one dog scatter widely; look at the overlap of dogs "
        "before the order of dogs.";
    w.Leaf("figcaption", caption);
    i = end;
  }
}

void Cell(HtmlWriter& w, const std::string& text) {
  w.Leaf("td", text, {{"class", "n"}});
}

void DogLine(HtmlWriter& w, const ReportModel& model, const ReportDog& dog) {
  const Scope row(w, "tr");
  const VerdictCounts n = CountVerdicts(dog.bites);
  {
    const Scope name(w, "th", {{"class", "who"}, {"scope", "row"}});
    if (dog.bites.empty()) {
      w.Text(DogTitle(dog));
    } else {
      w.Leaf("a", DogTitle(dog), {{"href", "#" + DogAnchor(model, dog)}});
    }
    std::string about = dog.breed;
    if (dog.mass_kg) {
      about += fmt::format("{}{} kg", about.empty() ? "" : ", ",
                           FixedText(*dog.mass_kg, 1));
    }
    if (!about.empty()) w.Leaf("small", about);
  }
  for (const std::size_t count :
       {n.all(), n.sound, n.doubtful, n.at_least, n.no_figure}) {
    Cell(w, count == 0 ? "–" : fmt::format("{}", count));
  }
  {
    const Scope cell(w, "td", {{"class", "f"}});
    const ReportBite* best = StrongestOf(dog);
    if (best != nullptr) {
      WritePeakShort(w, best->bite);
    } else {
      w.Text(dog.bites.empty() ? "no bite" : "no figure");
    }
  }
  const ReportBite* squeeze = StrongestSqueezeOf(dog);
  w.Leaf("td",
         squeeze == nullptr ? "–"
                            : FigureText(*squeeze->bite.squeeze_n,
                                         squeeze->bite.squeeze_u95_n, "N"),
         {{"class", "f"}});
  w.Line();
}

void DogTable(HtmlWriter& w, const ReportModel& model) {
  const Scope wide(w, "div", {{"class", "wide"}});
  const Scope table(w, "table");
  w.Leaf("caption",
         "The strongest bite is the highest figure that is not void. The "
         "strongest of a few bites says little about a dog; the page of each "
         "dog shows them all.");
  {
    const Scope head(w, "thead");
    const Scope row(w, "tr");
    w.Leaf("th", "Dog", {{"scope", "col"}});
    for (const char* text :
         {"Bites", "Sound", "Doubtful", "At least", "Void"}) {
      w.Leaf("th", text, {{"scope", "col"}, {"class", "n"}});
    }
    w.Leaf("th", "Strongest bite", {{"scope", "col"}, {"class", "f"}});
    w.Leaf("th", "Strongest squeeze", {{"scope", "col"}, {"class", "f"}});
  }
  const Scope body(w, "tbody");
  for (const ReportDog& dog : model.dogs) DogLine(w, model, dog);
}

}  // namespace

void WriteDay(HtmlWriter& w, const ReportModel& model) {
  const Scope section(w, "section", {{"id", "day"}});
  w.Leaf("h2", "The day");
  const ReportSummary sum = Summarize(model);
  if (sum.counts.all() == 0) {
    w.Leaf("p", "No bite was found in what was recorded.");
  } else {
    Pictures(w, model);
  }
  if (!model.dogs.empty()) DogTable(w, model);
  w.Line();
}

}  // namespace masseter::report
