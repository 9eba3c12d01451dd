// The health of a capture as one HTML file that needs nothing else: no script,
// no request, every picture inline SVG. A4 first, screen and phone second.
//
// The answer stands first, one word with its shape; then what to do, then
// every line with what was found and from where on it is watched, then the
// pictures: the force over time with the breaks hatched, the zero of every
// channel, the steps of the clock, noise, supply.
#ifndef MASSETER_REPORT_HEALTH_HTML_H_
#define MASSETER_REPORT_HEALTH_HTML_H_

#include <string>

#include "core/trust/capture_health.h"

namespace masseter {

struct HealthModel {
  std::string title;    // the rig's name
  std::string capture;  // "Recording 3", or a file's name
  std::string created;  // when the page was made, local time
  CaptureHealth health;
};

std::string HealthHtml(const HealthModel& model);

// "Go: nothing stands against a field day." The answer in a sentence.
std::string HealthConclusion(const CaptureHealth& health);

}  // namespace masseter

#endif  // MASSETER_REPORT_HEALTH_HTML_H_
