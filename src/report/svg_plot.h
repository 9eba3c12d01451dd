// The parts that every picture of the report is made of, as inline SVG. The
// colours are classes of the style sheet (report_style.h), so that paper and
// screen can differ. Coordinates are picture units; the page scales them.
#ifndef MASSETER_REPORT_SVG_PLOT_H_
#define MASSETER_REPORT_SVG_PLOT_H_

#include <string>
#include <string_view>
#include <vector>

#include "core/bite/bite.h"
#include "report/html_writer.h"
#include "report/report_model.h"
#include "report/svg_axis.h"

namespace masseter::report {

// Width of every full picture; at 180 mm of paper a unit is 0.28 mm.
inline constexpr double kPictureWidth = 640.0;

// A picture with a frame for data. Margins leave room for tick labels that the
// style sheet enlarges on a phone.
class SvgPlot {
 public:
  // Opens <svg>; `title` is read out in place of the picture.
  SvgPlot(HtmlWriter& writer, double height, std::string_view title, Axis x,
          Axis y, double width = kPictureWidth);
  ~SvgPlot();
  SvgPlot(const SvgPlot&) = delete;
  SvgPlot& operator=(const SvgPlot&) = delete;

  const Axis& x() const { return x_; }
  const Axis& y() const { return y_; }

  // Grid lines, tick labels and titles with units. The zero line is drawn
  // stronger when zero is in view.
  void XAxis(std::string_view title, int ticks);
  void YAxis(std::string_view title, int ticks);

  // A filled box in data coordinates, clipped to the frame.
  void Box(double x0, double x1, double y0, double y1, std::string_view cls);
  // The box's full height, hatched: samples are missing here.
  void Hatch(double x0, double x1);
  void Segment(double x0, double y0, double x1, double y1,
               std::string_view cls);
  void Label(double x, double y, double dx, double dy, std::string_view text,
             std::string_view cls, std::string_view anchor = "start");
  // Min/max columns as a closed band; runs with values only, so a gap is never
  // bridged. Runs above `solid_to` get the class "beyond" and are dashed.
  void Trace(const TraceColumns& trace, double shift_s, double solid_to);

  HtmlWriter& writer() { return writer_; }

 private:
  void Run(const TraceColumns& trace, double shift_s, std::size_t from,
           std::size_t to, bool beyond);

  HtmlWriter& writer_;
  Axis x_;
  Axis y_;
};

// The verdict's shape around (x, y): a filled disc, a half disc, an open ring
// with a bar, an arrow up for a lower bound. `r` in picture units.
void VerdictShape(HtmlWriter& writer, double x, double y, double r,
                  Verdict verdict, bool at_least);

// The shape as a picture of its own, one line of text high.
void InlineShape(HtmlWriter& writer, Verdict verdict, bool at_least);

// "sound", "doubtful", "void", or "at least".
std::string_view VerdictName(Verdict verdict, bool at_least);
// The class that colours it: "v-sound", "v-doubtful", "v-void".
std::string_view VerdictClass(Verdict verdict);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_SVG_PLOT_H_
