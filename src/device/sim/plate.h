// A rigid plate on elastic cells: which cell carries how much.
//
// The plate sinks by w(x, y) = w0 + tx (x - xc) + ty (y - yc), cell i pushes
// back with R_i = k_i w(x_i, y_i), and force and moments balance. About the
// stiffness-weighted centre (xc, yc) the three unknowns separate:
//   w0 = F / sum k,   [Sxx Sxy; Sxy Syy] [tx; ty] = [Mx; My],
//   Sxx = sum k (x - xc)^2, ...,   Mx = F (x - xc), My = F (y - yc).
// Four equal cells at the corners of a rectangle give
//   R_i = F (1/4 + x x_i / sum x^2 + y y_i / sum y^2).
// One cell, or cells on one line, leave a moment without a counterpart; a
// guide carries it then and the cells do not see it. Cells are bolted: they
// pull as well as push. Units: N, mm, N/mm.
#ifndef MASSETER_DEVICE_SIM_PLATE_H_
#define MASSETER_DEVICE_SIM_PLATE_H_

#include <span>
#include <vector>

namespace masseter::sim {

struct Support {
  double x_mm = 0.0;
  double y_mm = 0.0;
  double stiffness_n_per_mm = 0.0;
};

class Plate {
 public:
  // `supports` holds one support at least, each with stiffness > 0.
  explicit Plate(std::span<const Support> supports);

  // Reactions to a force and to its moments about the centre, one a support.
  void Reactions(double force_n, double moment_x_nmm, double moment_y_nmm,
                 std::span<double> reactions_n) const;
  // Reactions to a force at a place on the plate.
  void ReactionsAt(double force_n, double x_mm, double y_mm,
                   std::span<double> reactions_n) const;

  double centre_x_mm() const { return xc_; }
  double centre_y_mm() const { return yc_; }
  double stiffness_n_per_mm() const { return k_sum_; }
  // Rotational stiffness along x (pitch) and y (roll), N mm per radian.
  double pitch_stiffness_nmm() const { return sxx_; }
  double roll_stiffness_nmm() const { return syy_; }

 private:
  std::vector<Support> supports_;
  double k_sum_ = 0.0;
  double xc_ = 0.0;
  double yc_ = 0.0;
  double sxx_ = 0.0;
  double sxy_ = 0.0;
  double syy_ = 0.0;
};

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_PLATE_H_
