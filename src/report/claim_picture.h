// One force on a narrow heel and on a snowshoe, as an SVG file: the same push,
// two pressures far apart. The feet are assumptions and say so.
#ifndef MASSETER_REPORT_CLAIM_PICTURE_H_
#define MASSETER_REPORT_CLAIM_PICTURE_H_

#include <string>

#include "core/quantity/quantity.h"

namespace masseter::report {

struct ClaimPicture {
  Force force;           // the force that both feet carry
  std::string force_is;  // "measured", "claimed", ...
};

// A whole file, without anything from outside.
std::string ClaimSvg(const ClaimPicture& picture);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_CLAIM_PICTURE_H_
