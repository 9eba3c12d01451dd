// Pictures of studies as SVG files: two ways of measuring by their differences,
// and force against body mass on logarithmic axes. Colours that the colour-
// blind tell apart, and shapes beside them. Pure functions of their models.
#ifndef MASSETER_REPORT_STUDY_PICTURES_H_
#define MASSETER_REPORT_STUDY_PICTURES_H_

#include <optional>
#include <string>
#include <vector>

#include "core/study/allometry.h"
#include "core/study/bland_altman.h"

namespace masseter::report {

struct BlandAltmanPicture {
  BlandAltman result;
  std::string first;
  std::string second;
  std::string of;    // "peak_n"
  bool log = false;  // values are logarithms: the axes show ratios and newtons
};
std::string BlandAltmanSvg(const BlandAltmanPicture& picture);

struct MassForceDog {
  std::string name;
  double mass_kg = 0.0;
  double force_n = 0.0;
  bool unusual = false;
};

struct MassForcePicture {
  std::vector<MassForceDog> dogs;
  std::optional<AllometricFit> fit;
  bool published = true;  // ranges of others behind the own data
};
// One <svg> element, for a page with the report's style sheet.
std::string MassForcePlot(const MassForcePicture& picture);
// The same as a file of its own.
std::string MassForceSvg(const MassForcePicture& picture);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_STUDY_PICTURES_H_
