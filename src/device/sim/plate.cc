#include "device/sim/plate.h"

#include <cassert>
#include <cmath>
#include <cstddef>

namespace masseter::sim {

Plate::Plate(std::span<const Support> supports)
    : supports_(supports.begin(), supports.end()) {
  assert(!supports_.empty());
  for (const Support& s : supports_) {
    k_sum_ += s.stiffness_n_per_mm;
    xc_ += s.stiffness_n_per_mm * s.x_mm;
    yc_ += s.stiffness_n_per_mm * s.y_mm;
  }
  xc_ /= k_sum_;
  yc_ /= k_sum_;
  for (const Support& s : supports_) {
    const double dx = s.x_mm - xc_;
    const double dy = s.y_mm - yc_;
    sxx_ += s.stiffness_n_per_mm * dx * dx;
    sxy_ += s.stiffness_n_per_mm * dx * dy;
    syy_ += s.stiffness_n_per_mm * dy * dy;
  }
}

void Plate::Reactions(double force_n, double moment_x_nmm, double moment_y_nmm,
                      std::span<double> reactions_n) const {
  const double trace = sxx_ + syy_;
  const double det = sxx_ * syy_ - sxy_ * sxy_;
  double tx = 0.0;
  double ty = 0.0;
  if (det > 1e-9 * trace * trace) {
    tx = (syy_ * moment_x_nmm - sxy_ * moment_y_nmm) / det;
    ty = (sxx_ * moment_y_nmm - sxy_ * moment_x_nmm) / det;
  } else if (trace > 0.0) {
    // Cells on one line with direction u: only the moment along it counts.
    double ux = sxx_ >= syy_ ? sxx_ : sxy_;
    double uy = sxx_ >= syy_ ? sxy_ : syy_;
    const double length = std::sqrt(ux * ux + uy * uy);
    ux /= length;
    uy /= length;
    const double along = (ux * moment_x_nmm + uy * moment_y_nmm) / trace;
    tx = ux * along;
    ty = uy * along;
  }
  for (std::size_t i = 0; i < supports_.size(); ++i) {
    const Support& s = supports_[i];
    reactions_n[i] =
        s.stiffness_n_per_mm *
        (force_n / k_sum_ + tx * (s.x_mm - xc_) + ty * (s.y_mm - yc_));
  }
}

void Plate::ReactionsAt(double force_n, double x_mm, double y_mm,
                        std::span<double> reactions_n) const {
  Reactions(force_n, force_n * (x_mm - xc_), force_n * (y_mm - yc_),
            reactions_n);
}

}  // namespace masseter::sim
