// The force estimator: from zero-corrected channel signals to the total force
// on the sleeve, wherever it is gripped (docs/method.md section 2).
#ifndef MASSETER_CORE_METROLOGY_ESTIMATOR_H_
#define MASSETER_CORE_METROLOGY_ESTIMATOR_H_

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace masseter {

// The nested family, simplest first. S = sum_k p_k is the load by channel
// gains alone, (u, w) its centre in units of the cells' spread.
enum class EstimatorForm {
  kSum,      // one factor for the sum of all channels
  kGains,    // a factor a channel: F = sum a_i v_i
  kSurface,  // S (1, u, w, u^2, u w, w^2): the shell's share over the area
  kCentre,   // kGains + S (u^2, u w, w^2)
  kPairs,    // + p_i p_j / S for i < j: equation (1)
  kQuartic,  // kCentre + S (cubic and quartic terms of u and w)
  kCurve,    // one channel: inverse of v = b0 + b1 F + b2 F^2 + ...
};
std::string_view EstimatorFormWord(EstimatorForm form);

inline constexpr std::size_t kMaxChannels = 16;

// A point of the sleeve's plane, millimetres.
struct Place {
  double x_mm = 0.0;
  double y_mm = 0.0;
  bool operator==(const Place&) const = default;
};

// Plain data; every member is part of the calibration's stored document.
struct Estimator {
  EstimatorForm form = EstimatorForm::kSum;
  bool curvature = false;      // + p_i |p_i| / force_scale_n a channel
  std::vector<double> gain;    // a_i: p_i = a_i v_i, N per signal unit
  std::vector<double> coeffs;  // of the terms, in the order of Terms()
  std::vector<Place> cells;    // empty when the rig has no positions
  double spread_mm = 1.0;      // unit of u and w: largest |x| or |y| of a cell
  double force_scale_n = 1.0;  // largest calibrated force
  double floor_n = 1.0;        // below it S in denominators is held
  std::vector<double> curve;   // b0, b1, ... of kCurve

  std::size_t channels() const { return gain.size(); }
  std::size_t TermCount() const;

  // The terms, each in newtons and linear in the coefficients, for one
  // zero-corrected reading; writes TermCount() values.
  void Terms(std::span<const double> v, std::span<double> out) const;

  // Estimated total force, newtons.
  double Force(std::span<const double> v) const;

  // The same, to the bit, for kTogether readings at a time: v[c][k] is channel
  // c of reading k.
  static constexpr std::size_t kTogether = 8;
  using Together = std::array<double, kTogether>;
  void Forces(std::span<const Together> v, Together& out) const;

  // Centre of force by channel gains; nullopt without cell positions or below
  // `floor_n`, where noise would decide.
  std::optional<Place> Centre(std::span<const double> v) const;

  // dF/dv_i at `v`, newtons per signal unit, by central differences of a
  // thousandth of the load; used to carry noise and zero errors into force.
  std::vector<double> Sensitivity(std::span<const double> v) const;
};

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_ESTIMATOR_H_
