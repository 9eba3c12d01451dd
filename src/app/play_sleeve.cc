#include "app/play_sleeve.h"

#include <algorithm>
#include <chrono>
#include <thread>

namespace masseter {

Expected<bool> PlaySleeve(sim::SimStream& stream, Sink& sink, double speed,
                          const std::atomic<bool>& stop) {
  using std::chrono::duration;
  using std::chrono::steady_clock;
  const auto start = steady_clock::now();
  const auto wait_until = [&](double day_s) {
    while (speed > 0.0 && !stop) {
      const double left =
          day_s / speed - duration<double>(steady_clock::now() - start).count();
      if (left <= 0.0) break;
      std::this_thread::sleep_for(duration<double>(std::min(left, 0.1)));
    }
    return !stop;
  };
  // Lines leave 50 times a second, whatever the speed.
  const double step_s = speed > 0.0 ? 0.02 * std::max(speed, 0.05) : 0.5;
  bool reads = true;
  const auto played = sim::PlayDay(
      stream, step_s, [&](double day_s) { return reads && wait_until(day_s); },
      [&](std::string_view text) -> Expected<void> {
        const auto written = sink.Write(text, stop);
        if (!written) return tl::unexpected(written.error());
        reads = *written;
        return {};
      });
  if (!played) return tl::unexpected(played.error());
  return reads && !stop && stream.done();
}

}  // namespace masseter
