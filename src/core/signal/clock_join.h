// The device's clock and the host's, joined: where the one stands when the
// other stands somewhere, and how fast they drift apart.
#ifndef MASSETER_CORE_SIGNAL_CLOCK_JOIN_H_
#define MASSETER_CORE_SIGNAL_CLOCK_JOIN_H_

#include <cstddef>
#include <deque>
#include <optional>

namespace masseter {

struct JoinedClocks {
  double offset_s = 0.0;   // host minus device, at device time `at_s`
  double at_s = 0.0;       // the middle of what was seen
  double drift_ppm = 0.0;  // positive: the device's clock is slow
  // Half-width within which the offset is known: a delay that never was
  // shorter cannot be told from an offset, so this covers the delays' own
  // spread only.
  double spread_s = 0.0;

  double HostAt(double device_s) const {
    return device_s + offset_s + 1e-6 * drift_ppm * (device_s - at_s);
  }
};

// A message is never received before it was sent: host time minus device time
// is the offset plus a delay that is never negative. The line that lies below
// all points and closest to them (least sum of distances) is the edge of their
// lower convex hull over the mean device time; its slope is the drift. (Moon,
// Skelly and Towsley, "Estimation and removal of clock skew from network delay
// measurements", INFOCOM 1999, find the same line by linear programming.)
//
// Kept: the smallest difference of every second, for the last kSeconds of
// device time. A step of the host's clock by more than kStepS, or a restart of
// the device, begins anew.
//
// Thread rule: one thread at a time.
class ClockJoin {
 public:
  static constexpr std::size_t kSeconds = 600;
  static constexpr double kStepS = 2.0;

  // A sample of device time `device_s` (not falling) was here at `host_s`.
  void Add(double device_s, double host_s);
  // Forgets everything.
  void Restart();
  // nullopt before 10 s have been seen.
  std::optional<JoinedClocks> Estimate() const;

 private:
  struct Point {
    double device_s = 0.0;
    double difference_s = 0.0;  // host minus device
  };
  std::deque<Point> points_;  // one a second of device time
};

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_CLOCK_JOIN_H_
