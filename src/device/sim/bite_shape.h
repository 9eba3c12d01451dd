// One bite's true force over time: a strike (half-sine), a squeeze that rises
// and wanders, shakes, re-grips and a release. Sizes and their grounds:
// docs/simulated-sleeve.md, "Bites". Pure functions of their arguments.
#ifndef MASSETER_DEVICE_SIM_BITE_SHAPE_H_
#define MASSETER_DEVICE_SIM_BITE_SHAPE_H_

#include <array>
#include <optional>
#include <vector>

#include "device/sim/sleeve.h"

namespace masseter::sim {

struct Regrip {
  double at_s = 0.0;     // its deepest moment, from the bite's start
  double width_s = 0.2;  // from full to full
  double depth = 0.8;    // share of the squeeze that is let go
};

struct Shake {
  double at_s = 0.0;
  double length_s = 0.0;
  double hz = 4.0;
  double amplitude = 0.15;  // share of the squeeze
};

struct Wave {
  double amplitude = 0.0;  // share of the squeeze
  double hz = 0.0;
  double phase = 0.0;
};

struct BiteShape {
  double length_s = 2.0;  // first touch to last
  double strike_n = 0.0;
  double strike_s = 0.1;
  double squeeze_n = 0.0;
  double rise_s = 0.4;
  double fade_per_s = 0.0;  // share of the squeeze lost every second
  double release_s = 0.15;
  std::array<Wave, 3> waves{};
  std::vector<Shake> shakes;
  std::vector<Regrip> regrips;
  SimGrip grip;            // at the start
  double walk_x_mm = 0.0;  // how far the grip walks over the bite
  double walk_y_mm = 0.0;
};

// Force at `t_s` after first touch, N; 0 outside the bite, never negative.
double ForceAt(const BiteShape& shape, double t_s);
// Where the force acts then.
SimGrip GripAt(const BiteShape& shape, double t_s);

// What a perfect instrument would report, from the true force on a grid of
// 0.1 ms; names and definitions as in docs/method.md section 1.
struct ShapeFigures {
  double peak_n = 0.0;
  double peak_at_s = 0.0;           // from the bite's start
  double strike_n = 0.0;            // highest in the first 0.20 s
  std::optional<double> squeeze_n;  // highest mean over 0.25 s after that
  double held_n = 0.0;              // mean while above half the peak
  double impulse_ns = 0.0;
  double x_mm = 0.0;  // force-weighted place while above half the peak
  double y_mm = 0.0;
};
ShapeFigures FiguresOf(const BiteShape& shape);

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_BITE_SHAPE_H_
