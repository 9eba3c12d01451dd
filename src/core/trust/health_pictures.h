// What a page shows of a capture's health beside its lines: a value a second,
// the steps of the clock, the breaks. Drawn by report/health_html.h.
#ifndef MASSETER_CORE_TRUST_HEALTH_PICTURES_H_
#define MASSETER_CORE_TRUST_HEALTH_PICTURES_H_

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/signal/timeline.h"

namespace masseter {

// The force as lowest and highest value of short cells of time. Streaming:
// when there are too many cells, two become one.
class ForceStrip {
 public:
  // `cell_s`: the cells' width to begin with.
  explicit ForceStrip(double cell_s = 0.02) : cell_s_(cell_s) {}
  void Add(double t_s, double force);  // t_s >= 0, never decreasing
  void Shift(double by);               // adds `by` to every force

  double cell_s() const { return cell_s_; }
  // Cell k covers [k, k + 1) times cell_s(). NaN where no sample fell.
  const std::vector<float>& low() const { return low_; }
  const std::vector<float>& high() const { return high_; }

 private:
  void Halve();

  double cell_s_;
  std::vector<float> low_;
  std::vector<float> high_;
};

// Forces are by the channels' gains and counted from the capture's own rest,
// the median of its quiet seconds; newtons when HealthPictures says so, else
// the channels' own unit.
struct HealthSecond {
  double start_s = 0.0;
  std::optional<double> supply_mv;  // lowest, median of three
  // A channel's mean less the median of its first ten quiet seconds; empty
  // unless the second is quiet.
  std::vector<double> zero;
};

struct HealthNoise {
  std::string channel;
  double noise = 0.0;  // standard deviation of a sample
  double watch = 0.0;  // where watch begins, and no-go
  double no_go = 0.0;
};

struct HealthPictures {
  // Bin k of `steps` holds the steps within 1/80 of k/40 nominal periods; the
  // last holds all longer ones. Breaks are not among them.
  static constexpr std::size_t kBins = 101;
  static constexpr double kBinsAPeriod = 40.0;

  double period_s = 0.0;  // nominal
  std::array<std::uint64_t, kBins> steps = {};
  ForceStrip force;
  std::vector<HealthSecond> seconds;
  std::vector<BreakRecord> breaks;  // the first 10 000
  std::vector<HealthNoise> noise;   // empty without a quiet second
  std::vector<std::string> channels;
  double zero_watch = 0.0;  // the zero may wander by this much
  std::optional<double> supply_minimum_mv;
  bool in_newtons = false;
};

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_HEALTH_PICTURES_H_
