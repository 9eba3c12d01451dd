// `sim`: a simulated sleeve that prints a day into a sink, and the files that
// go with that day.
#ifndef MASSETER_APP_SIMULATE_H_
#define MASSETER_APP_SIMULATE_H_

#include <atomic>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"

namespace masseter {

inline constexpr std::uint64_t kSimSeed = 20;
inline constexpr int kSimCellsMost = 6;
inline constexpr double kSimSpeedMost = 1000.0;

struct SimulateRequest {
  std::optional<std::string> sink;  // nothing is played without one
  std::uint64_t seed = kSimSeed;
  int cells = 4;
  bool faults = true;
  // Words of device/sim/day.h: instead of the day's own faults, the second,
  // fourth, sixth bite, ... suffer these in turn.
  std::vector<std::string> planted;
  // Times real time, 0 as fast as possible; by default 0 into files and
  // standard output, else 1.
  std::optional<double> speed;
  std::optional<std::string> files_dir;
  std::optional<std::string> truth_path;
  bool overwrite = false;
  // Told what to read ("serial:/dev/pts/4@921600"), before the play begins.
  std::function<void(const std::string& address)> on_ready;
  const std::atomic<bool>* stop = nullptr;  // must be given
};

struct SimulateAnswer {
  bool whole = false;  // the day was played to its end
  std::string address;
  double day_s = 0.0;
  std::vector<std::string> files;  // written, with their paths
  double gravity_m_s2 = 0.0;       // of the bench behind readings.csv
};

Expected<SimulateAnswer> Simulate(const SimulateRequest& request);

}  // namespace masseter

#endif  // MASSETER_APP_SIMULATE_H_
