#include "device/sim/device_clock.h"

#include <cmath>

namespace masseter::sim {

DeviceClock::DeviceClock(const SimConverter& converter, Random random)
    : converter_(converter),
      random_(random),
      sequence_(converter.first_sequence),
      boot_us_(converter.clock_start_us) {}

void DeviceClock::PowerOn(double day_s) {
  sequence_ = 0;
  boot_us_ = 1e6 * kBootS;
  power_on_s_ = day_s;
  piece_due_ = true;
}

DeviceClock::Stamp DeviceClock::Next(double day_s) {
  late_s_ = 1e-6 * std::abs(converter_.jitter_us * random_.Normal());
  const double on_s = since_on_s(day_s) * (1.0 + converter_.clock_error);
  const double us = boot_us_ + 1e6 * (on_s + late_s_);
  Stamp stamp;
  stamp.sequence = sequence_++;
  stamp.t_us = static_cast<std::uint32_t>(
      static_cast<std::uint64_t>(std::llround(us)) & 0xFFFFFFFFU);
  return stamp;
}

void DeviceClock::Arrived(double day_s) {
  if (piece_due_) {
    TimePiece piece;
    piece.day_first_s = day_s;
    piece.rate = 1.0 + converter_.clock_error;
    piece.capture_first_s = -late_s_;
    if (!map_.empty()) {
      piece.capture_first_s +=
          last_arrived_s_ + 1.0 / converter_.sample_rate_hz;
    }
    map_.Begin(piece);
    piece_due_ = false;
  }
  map_.Extend(day_s);
  last_arrived_s_ = CaptureTime(day_s);
}

double DeviceClock::CaptureTime(double day_s) const {
  return map_.ToCapture(day_s) + late_s_;
}

}  // namespace masseter::sim
