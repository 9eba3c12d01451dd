// The parts of the report, in their order. Each writes one or more <section>
// elements; each stands in a file of its own name.
#ifndef MASSETER_REPORT_SECTIONS_H_
#define MASSETER_REPORT_SECTIONS_H_

#include <optional>
#include <string>

#include "report/html_writer.h"
#include "report/report_model.h"

namespace masseter::report {

// section_front.cc: the title, page one's five answers, the verdicts' legend.
void WriteFront(HtmlWriter& writer, const ReportModel& model);
// section_day.cc: every bite of the day in one picture; the table of dogs.
void WriteDay(HtmlWriter& writer, const ReportModel& model);
// section_compared.cc: the dogs beside each other, nothing when there is no
// comparison.
void WriteCompared(HtmlWriter& writer, const ReportModel& model);
// section_dogs.cc: a page a dog, its bites in order of time.
void WriteDogs(HtmlWriter& writer, const ReportModel& model);
// section_calibration.cc: residual pictures, terms, range, warnings.
void WriteCalibration(HtmlWriter& writer, const ReportModel& model);
// section_recordings.cc: what was recorded, gaps, lines that were skipped.
void WriteRecordings(HtmlWriter& writer, const ReportModel& model);
// section_method.cc: method, exclusions, what the figures do not mean,
// cautions.
void WriteMethod(HtmlWriter& writer, const ReportModel& model);

// bite_picture.cc: one bite's trace with its marks. `top_n` is the upper end
// of the force axis, shared by a dog's bites. Returns the caption.
std::string WriteBitePicture(HtmlWriter& writer, const ReportBite& entry,
                             const std::optional<ReportCalibration>& range,
                             double top_n);

// residual_picture.cc: relative error over force, and by position (nothing
// when all readings were taken at one).
void WriteErrorOverForce(HtmlWriter& writer, const ReportCalibration& cal);
void WriteErrorByPosition(HtmlWriter& writer, const ReportCalibration& cal);

// bite_text.cc: the figures and reasons of one bite in words.
// A peak as "shape, figure, kgf beneath, verdict word".
void WritePeak(HtmlWriter& writer, const Bite& bite);
// The shape and the figure only, for a table cell.
void WritePeakShort(HtmlWriter& writer, const Bite& bite);
void WriteMeasures(HtmlWriter& writer, const Bite& bite);
void WriteReasons(HtmlWriter& writer, const Bite& bite);
void WriteBudget(HtmlWriter& writer, const Bite& bite);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_SECTIONS_H_
