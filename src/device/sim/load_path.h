// From the jaws to the cells: shell, cover and the plate's own motion. One
// object belongs to one thread.
#ifndef MASSETER_DEVICE_SIM_LOAD_PATH_H_
#define MASSETER_DEVICE_SIM_LOAD_PATH_H_

#include <array>
#include <span>
#include <vector>

#include "device/sim/day.h"
#include "device/sim/dynamics.h"
#include "device/sim/plate.h"
#include "device/sim/sleeve.h"

namespace masseter::sim {

// What presses on the plate at one moment: force and moments about the
// plate's centre, the shell's share already taken off.
struct PlateLoad {
  double force_n = 0.0;
  double moment_x_nmm = 0.0;
  double moment_y_nmm = 0.0;
};
void AddLoad(const SimSleeve& sleeve, const Plate& plate, double force_n,
             const SimGrip& grip, PlateLoad& load);

// Steps the cover (two lags), the plate's heave, pitch and roll (a damped
// mass on the cells each; a uniform plate's inertia m L^2 / 12) and the
// amplifiers' low-pass, `step_s` at a time.
class LoadPath {
 public:
  LoadPath(const SimSleeve& sleeve, double step_s);
  // The load stands still over this step; cell forces at its end.
  void Step(const PlateLoad& load);
  std::span<const double> cell_forces_n() const { return forces_; }
  const Plate& plate() const { return plate_; }

 private:
  struct Way {  // of one of the three: force, moment x, moment y
    FirstOrder contact;
    FirstOrder slow;
    SecondOrder mode;
    bool moves = true;
  };
  double StepWay(Way& way, double input);

  Plate plate_;
  double slow_share_ = 0.0;
  std::array<Way, 3> ways_;
  std::vector<SecondOrder> low_pass_;
  std::vector<double> reactions_;
  std::vector<double> forces_;
};

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_LOAD_PATH_H_
