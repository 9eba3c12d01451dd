#include "device/sim/load_path.h"

#include <cmath>
#include <cstddef>

#include "device/sim/portable_math.h"

namespace masseter::sim {
namespace {

// Hz, from N mm / rad and kg mm^2: 1 N mm = 1000 kg mm^2 / s^2.
double RotationHz(double stiffness_nmm, double inertia_kgmm2) {
  return std::sqrt(1000.0 * stiffness_nmm / inertia_kgmm2) / (2.0 * kPi);
}

}  // namespace

void AddLoad(const SimSleeve& sleeve, const Plate& plate, double force_n,
             const SimGrip& grip, PlateLoad& load) {
  if (force_n == 0.0) return;
  const double onto = force_n * (1.0 - ShellShare(sleeve, grip, force_n));
  load.force_n += onto;
  load.moment_x_nmm += onto * (grip.x_mm - plate.centre_x_mm());
  load.moment_y_nmm += onto * (grip.y_mm - plate.centre_y_mm());
}

LoadPath::LoadPath(const SimSleeve& sleeve, double step_s)
    : plate_(sleeve.MakePlate()),
      slow_share_(sleeve.cover.slow_share),
      low_pass_(sleeve.cells.size(), SecondOrder(sleeve.converter.bandwidth_hz,
                                                 std::sqrt(0.5), step_s)),
      reactions_(sleeve.cells.size(), 0.0),
      forces_(sleeve.cells.size(), 0.0) {
  const double m = sleeve.moving_mass_kg;
  const double length = 2.0 * sleeve.shell.half_length_mm;
  const double width = 2.0 * sleeve.shell.half_width_mm;
  const std::array<double, 3> hz = {
      sleeve.NaturalFrequencyHz(),
      RotationHz(plate_.pitch_stiffness_nmm(), m * length * length / 12.0),
      RotationHz(plate_.roll_stiffness_nmm(), m * width * width / 12.0)};
  for (std::size_t i = 0; i < ways_.size(); ++i) {
    Way& way = ways_[i];
    way.contact = FirstOrder(sleeve.cover.contact_tau_s, step_s);
    way.slow = FirstOrder(sleeve.cover.slow_tau_s, step_s);
    way.moves = hz[i] > 0.0;  // a moment that a guide takes has no mode
    if (way.moves) way.mode = SecondOrder(hz[i], sleeve.damping_ratio, step_s);
  }
}

double LoadPath::StepWay(Way& way, double input) {
  const double through = (1.0 - slow_share_) * way.contact.Step(input) +
                         slow_share_ * way.slow.Step(input);
  return way.moves ? way.mode.Step(through) : through;
}

void LoadPath::Step(const PlateLoad& load) {
  const double force = StepWay(ways_[0], load.force_n);
  const double mx = StepWay(ways_[1], load.moment_x_nmm);
  const double my = StepWay(ways_[2], load.moment_y_nmm);
  plate_.Reactions(force, mx, my, reactions_);
  for (std::size_t i = 0; i < forces_.size(); ++i) {
    forces_[i] = low_pass_[i].Step(reactions_[i]);
  }
}

}  // namespace masseter::sim
