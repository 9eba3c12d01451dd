// What really happened on a simulated day, in the capture's own time, for
// tests and for anyone who wants to know how close the figures come.
#ifndef MASSETER_DEVICE_SIM_TRUTH_H_
#define MASSETER_DEVICE_SIM_TRUTH_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "device/sim/bite_shape.h"
#include "device/sim/day.h"
#include "device/sim/sleeve.h"

namespace masseter::sim {

// Day time to capture time: seconds from the first printed sample by the
// device's clock; after a restart, time goes on one nominal sample period
// after the last sample (docs/formats/capture.md). One piece a power cycle.
struct TimePiece {
  double day_first_s = 0.0;  // first and last printed sample
  double day_last_s = 0.0;
  double capture_first_s = 0.0;
  double rate = 1.0;  // device seconds a day second
};
class TimeMap {
 public:
  void Begin(const TimePiece& piece) { pieces_.push_back(piece); }
  void Extend(double day_s) { pieces_.back().day_last_s = day_s; }
  bool empty() const { return pieces_.empty(); }
  // A moment without power maps to the last sample before it.
  double ToCapture(double day_s) const;
  // True when no sample can speak of this moment: the power was gone.
  bool Dark(double day_s) const;
  // The inverse of ToCapture, for times within the capture.
  double ToDay(double capture_s) const;

 private:
  std::vector<TimePiece> pieces_;
};

struct TrueFault {
  FaultKind kind = FaultKind::kGap;
  double start_s = 0.0;
  double end_s = 0.0;
  std::string channel;   // empty when it is not one channel's
  double pause_s = 0.0;  // restart: how long the power was gone
  double amount = 0.0;
};

struct TrueBite {
  std::string dog;
  double start_s = 0.0;  // capture time, as all times here
  double end_s = 0.0;
  ShapeFigures figures;  // peak_at_s counted from start_s of the shape
  double peak_at_s = 0.0;
  double seen_peak_n = 0.0;  // highest force at a sample that was printed whole
  int regrips = 0;
  std::optional<double> shake_hz;
  // When "out" was called, if the device had power then.
  std::optional<double> out_at_s;
  std::vector<TrueFault> faults;  // those that touch the bite
};

struct Truth {
  std::string club;
  std::string town;
  std::uint64_t seed = 0;
  double sample_rate_hz = 0.0;  // true rate
  std::uint64_t samples = 0;    // lines printed whole
  std::uint64_t broken_lines = 0;
  std::vector<TrueBite> bites;
  std::vector<TrueFault> faults;
  std::vector<Handling> handling;  // in capture time
  std::vector<Mark> marks;         // in capture time
};

// The truth of `day` as far as it can be said without the samples: everything
// but `seed`, `samples`, `broken_lines` and `seen_peak_n`.
Truth MakeTruth(const SimSleeve& sleeve, const SimDay& day, const TimeMap& map);

// One JSON document, keys in a fixed order, times to 0.1 ms, forces to 0.01 N.
std::string TruthJson(const Truth& truth);

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_TRUTH_H_
