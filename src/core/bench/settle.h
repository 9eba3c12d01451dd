// When has a reading settled? A window of the latest samples, judged channel
// by channel, each in its own unit.
//
// The window (2 s) is cut into ten blocks; a straight line goes through the
// ten block means by least squares. With
//   D    the line's rise over the window (slope times window)
//   u(D) its standard uncertainty from the scatter of the blocks about it
//   S    that scatter (standard deviation, 8 degrees of freedom)
//   N    what noise alone gives a block: the successive-difference standard
//        deviation of the samples (von Neumann) over sqrt(samples in a block)
//   e    2e-4 of the channel's change from the bench's first zero to its
//        largest reading so far; 0 before there is one
// the reading has settled when, on every channel,
//   |D| <= max(2.9 u(D), e)    no slope beyond noise (t, 8 dof, 98 %)
//   S   <= max(4 N, e)         no swing, no hand on the sleeve
// and no samples are missing in the window.
//
// Noise of a band narrower than half the sampling rate, and mains hum, make
// N smaller than the blocks' true scatter; the factor 4 leaves room for it.
//
// Pure; one object belongs to one thread.
#ifndef MASSETER_CORE_BENCH_SETTLE_H_
#define MASSETER_CORE_BENCH_SETTLE_H_

#include <cstddef>
#include <deque>
#include <optional>
#include <span>
#include <vector>

namespace masseter {

struct SettleRule {
  double window_s = 2.0;
  double slope_t = 2.9;      // times u(D)
  double spread = 4.0;       // times N
  double share = 2e-4;       // e, of the full signal
  double patience_s = 60.0;  // then the operator is told
};

// How one channel stands: D, u(D), S, N and e of the window above.
struct ChannelSettle {
  double drift = 0.0;
  double drift_u = 0.0;
  double scatter = 0.0;
  double noise = 0.0;
  double floor = 0.0;
  bool slope_ok = false;
  bool spread_ok = false;
};

// A window's mean and spread (sample standard deviation), a channel.
struct SettledReading {
  std::vector<double> mean;
  std::vector<double> sd;
  std::size_t samples = 0;
  double t_s = 0.0;  // middle of the window, capture time
  std::optional<double> temp_c;
  double waited_s = 0.0;  // from the load's placing to the window's end
  bool settled = true;    // false: taken at the operator's word
};

// Judges one channel's window; `values` has at least 20 samples.
ChannelSettle JudgeWindow(std::span<const double> values,
                          const SettleRule& rule, double full_signal);

class SettleWatch {
 public:
  SettleWatch(std::size_t channels, const SettleRule& rule);

  // The load has just been placed: what came before does not count.
  void Begin();
  // One sample; `broken` when samples are missing before it.
  void Add(double t_s, std::span<const double> values, bool broken,
           std::optional<double> temp_c);
  // True once every channel stands still; judged ten times a window.
  bool settled() const { return settled_; }
  // True when the window is full, settled or not.
  bool full() const;
  double waited_s() const;
  bool impatient() const { return waited_s() >= rule_.patience_s; }
  // The window as it stands; nullopt until it is full.
  std::optional<SettledReading> Take() const;
  const std::vector<ChannelSettle>& channels() const { return judged_; }

  // Tells the size of a full signal, a channel (see e above).
  void SetFullSignal(const std::vector<double>& full) { full_ = full; }

 private:
  void Judge();

  SettleRule rule_;
  std::size_t count_;
  std::deque<double> t_s_;
  std::vector<std::deque<double>> values_;
  std::vector<double> full_;
  std::vector<ChannelSettle> judged_;
  std::optional<double> began_s_;
  std::optional<double> temp_c_;
  double judged_at_s_ = 0.0;
  bool settled_ = false;
};

}  // namespace masseter

#endif  // MASSETER_CORE_BENCH_SETTLE_H_
