// Health of a whole capture, before anyone looks at bites: what a field day
// needs of rate, clock, losses, noise, supply, zero, resolution and channels.
#ifndef MASSETER_CORE_TRUST_CAPTURE_HEALTH_H_
#define MASSETER_CORE_TRUST_CAPTURE_HEALTH_H_

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/bite/force_model.h"
#include "core/signal/raw_block.h"
#include "core/signal/timeline.h"
#include "core/trust/health_pictures.h"

namespace masseter {

enum class HealthLevel : std::uint8_t { kGo, kWatch, kNoGo };
std::string_view HealthWord(HealthLevel level);  // "go" "watch" "no-go"

// One line of the answer.
struct HealthLine {
  std::string what;  // "rate", "noise of c1", ...
  HealthLevel level = HealthLevel::kGo;
  std::string found;            // "997.4 samples a second, 0.3 % below nominal"
  std::string advice;           // empty when all is well
  std::optional<double> value;  // the figure behind it, in `unit`
  std::string unit;             // "1/s", "N", "mV", "%", ...
  std::string limit;            // "2 %; no-go beyond 20 %"
};

struct CaptureHealth {
  double duration_s = 0.0;
  std::uint64_t samples = 0;
  std::vector<HealthLine> lines;
  HealthLevel level = HealthLevel::kGo;  // the worst of the lines
  HealthPictures pictures;
};

// Streaming; memory grows by one small record a second.
//
// Quiet seconds are those in which the force moves by less than the threshold
// that begins a bite. Criteria (common practice where no source is named):
//   rate        2 % from nominal, 20 %
//   clock       steps scatter by 5 % of the period, 30 %, the clock's own tick
//               aside
//   losses      0.01 % of the samples, 1 %; restarts: one, three. A line that
//               cannot be read is among what the counter misses, if there is
//               one
//   noise       of a sample, quiet: 0.1 % of the channel's share of the range,
//               0.5 %; five times its neighbours
//   supply      100 mV above its minimum, the minimum
//   zero        moves by the bite threshold over the capture, three times that
//   warm-up     first minute against the last third: half the threshold
//   resolution  0.5 N, 5 N
//   channels    no other value at all: stuck; jumps alone by 12 noises and 3 N:
//               three, ten
class HealthMeter {
 public:
  HealthMeter(const Rig& rig, const Calibration* calibration);

  void Push(const RawBlock& block);
  CaptureHealth Finish(std::uint64_t broken_lines);

 private:
  struct Second {
    double start_s = 0.0;
    double samples = 0.0;
    bool broken = false;
    double low_n = 0.0;  // force of single samples
    double high_n = 0.0;
    std::optional<double> supply_mv;  // lowest
    std::vector<double> mean;         // a channel, own unit
    std::vector<double> variance;     // half mean square of first differences
  };
  struct ChannelTally {
    std::uint64_t moves = 0;  // samples that differ from the one before
    std::uint64_t jumps = 0;
    double digit = 0.0;
    bool at_end = false;
  };

  void Take(const SampleBlock& block, std::size_t i);
  void CountJumps(const std::vector<double>& step);
  void CloseSecond();
  void LearnStep(double dt_s);

  void TakeSupply(double supply_mv);

  void Add(HealthLine line);
  void JudgeRate();
  void JudgeClock();
  void JudgeLosses(std::uint64_t broken_lines);
  void JudgeSupply();
  void JudgeChannels();
  void JudgeNoise();
  void JudgeZero();
  void JudgeResolution();
  void JudgeCalibration();
  void Draw();
  double RestOf(const std::vector<const Second*>& quiet) const;
  std::vector<double> FirstZero(const std::vector<const Second*>& quiet) const;
  bool IsQuiet(const Second& second) const;
  std::vector<const Second*> Quiet() const;
  double ThresholdN() const;  // that begins a bite
  double ForceOf(const std::vector<double>& mean) const;
  std::string Size(double newtons) const;

  Rig rig_;
  ForceModel model_;
  Timeline timeline_;
  std::vector<double> last_;
  double last_t_s_ = 0.0;
  bool has_last_ = false;
  std::vector<ChannelTally> tally_;
  std::vector<double> noise_;  // running, a channel, own unit
  Second now_;
  std::vector<Second> seconds_;
  double steps_ = 0.0;
  double step_sum_ = 0.0;
  double step_squares_ = 0.0;
  double step_first_ = 0.0;
  std::uint64_t repeats_ = 0;
  std::vector<double> supply_;  // last three
  double supply_low_ = 0.0;
  double supply_sum_ = 0.0;
  double supply_count_ = 0.0;
  double tick_s_ = 0.0;
  bool counted_ = false;  // a counter numbers the lines, broken ones too
  CaptureHealth out_;
};

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_CAPTURE_HEALTH_H_
