// The controller's sequence counter and microsecond clock over its power
// cycles, and with them the map from day time to capture time. One object
// belongs to one thread; calls come in order of time.
#ifndef MASSETER_DEVICE_SIM_DEVICE_CLOCK_H_
#define MASSETER_DEVICE_SIM_DEVICE_CLOCK_H_

#include <cstdint>

#include "device/sim/random.h"
#include "device/sim/sleeve.h"
#include "device/sim/truth.h"

namespace masseter::sim {

class DeviceClock {
 public:
  // The device has been on for a while at day time 0.
  DeviceClock(const SimConverter& converter, Random random);

  // Power comes back: counter at 0, clock at kBootS.
  void PowerOn(double day_s);

  struct Stamp {
    std::uint32_t sequence = 0;
    std::uint32_t t_us = 0;  // wraps at 2^32
  };
  // The next sample's counter and time stamp, late by the jitter.
  Stamp Next(double day_s);
  // The sample of the last Next was printed whole.
  void Arrived(double day_s);
  // Capture time of the last sample by its own stamp.
  double CaptureTime(double day_s) const;

  double since_on_s(double day_s) const { return day_s - power_on_s_; }
  const TimeMap& map() const { return map_; }

  static constexpr double kBootS = 0.18;

 private:
  SimConverter converter_;
  Random random_;
  std::uint32_t sequence_;
  double boot_us_;
  double power_on_s_ = 0.0;
  double late_s_ = 0.0;
  bool piece_due_ = true;
  double last_arrived_s_ = 0.0;  // capture time
  TimeMap map_;
};

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_DEVICE_CLOCK_H_
