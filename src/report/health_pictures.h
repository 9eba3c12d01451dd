// The pictures of a capture's health. Each writes a <figure> with a caption,
// or nothing where there is nothing to show.
#ifndef MASSETER_REPORT_HEALTH_PICTURES_H_
#define MASSETER_REPORT_HEALTH_PICTURES_H_

#include "core/trust/health_pictures.h"
#include "report/html_writer.h"

namespace masseter::report {

// Full width: seconds, thinned to as many columns as the picture can show.
void WriteHealthForce(HtmlWriter& w, const HealthPictures& p);
void WriteHealthZero(HtmlWriter& w, const HealthPictures& p);
// A third of the width.
void WriteHealthSteps(HtmlWriter& w, const HealthPictures& p);
void WriteHealthNoise(HtmlWriter& w, const HealthPictures& p);
void WriteHealthSupply(HtmlWriter& w, const HealthPictures& p);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_HEALTH_PICTURES_H_
