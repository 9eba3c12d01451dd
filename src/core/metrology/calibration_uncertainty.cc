#include "core/metrology/calibration_uncertainty.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/metrology/student_t.h"
#include "core/metrology/unknown_place.h"

namespace masseter {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

class Parts {
 public:
  void TypeA(const std::string& term, const std::optional<double>& u,
             double dof) {
    if (u) list_.push_back({term, *u, std::max(dof, 1.0), true});
  }
  void TypeB(const std::string& term, const std::optional<double>& u) {
    if (u) list_.push_back({term, *u, kInfinity, false});
  }
  std::vector<CalibrationPart> Take() { return std::move(list_); }

 private:
  std::vector<CalibrationPart> list_;
};

double LoadedPlaces(const Calibration& c) {
  double n = 0.0;
  for (const PositionFacts& p : c.position_map) n += p.rows > 0 ? 1.0 : 0.0;
  return n;
}

// Without left-out places the single figures count one by one.
void AddSingleFigures(const Calibration& c, Parts& parts) {
  parts.TypeB("place", kUnknownPlaceU);
  parts.TypeA("reproducibility", c.relative.reproducibility, c.series - 1.0);
  const double levels =
      c.iso376 ? static_cast<double>(c.iso376->levels.size()) : 0.0;
  parts.TypeA("interpolation", c.relative.interpolation, levels - 1.0);
  if (c.relative.reversibility) {
    parts.TypeB("reversibility", *c.relative.reversibility / std::sqrt(12.0));
  }
}

}  // namespace

CalibrationUncertainty UncertaintyOf(const Calibration& c) {
  Parts parts;
  if (c.left_out_rms) {
    parts.TypeA("place", c.left_out_rms, LoadedPlaces(c) - 1.0);
  } else {
    AddSingleFigures(c, parts);
  }
  parts.TypeB("reference", c.relative.reference);
  parts.TypeB("resolution", c.relative.resolution);
  parts.TypeB("temperature", c.relative.temperature);
  CalibrationUncertainty out;
  out.parts = parts.Take();
  std::vector<UncertaintyTerm> terms;
  for (const CalibrationPart& part : out.parts) {
    terms.push_back({part.standard_u, part.dof});
  }
  const CombinedUncertainty combined = CombineUncertainties(terms);
  out.standard_u = combined.standard_uncertainty;
  out.dof = combined.dof;
  // GUM G.4.1, note 1: down to the next whole number.
  const double whole =
      std::isfinite(out.dof) ? std::max(1.0, std::floor(out.dof)) : kInfinity;
  out.k = CoverageFactor(0.95, whole);
  out.expanded_u95 = out.k * out.standard_u;
  return out;
}

}  // namespace masseter
