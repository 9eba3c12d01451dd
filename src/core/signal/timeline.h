// From the device's own clock and counter to capture time: wraps undone,
// missing samples and restarts found. Capture time starts at 0 with the first
// sample; after a restart it goes on one sample period after the last sample,
// since the pause is not in the data; live, the host's clock knows the pause
// and it is kept.
#ifndef MASSETER_CORE_SIGNAL_TIMELINE_H_
#define MASSETER_CORE_SIGNAL_TIMELINE_H_

#include <cstdint>
#include <optional>
#include <vector>

#include "core/rig/rig.h"
#include "core/signal/raw_block.h"
#include "core/signal/sample_block.h"

namespace masseter {

// One place where samples are missing.
struct BreakRecord {
  Break kind = Break::kNone;
  std::uint64_t row = 0;      // the first sample after it
  double t_s = 0.0;           // its capture time
  double duration_s = 0.0;    // time without samples; 0 for a restart
  std::uint64_t missing = 0;  // samples lost, by counter or by clock
};

struct TimelineReport {
  std::uint64_t samples = 0;
  std::uint64_t late = 0;         // rows that came twice or too late, left out
  std::uint64_t clock_wraps = 0;  // of the 32-bit clock
  double period_s = 0.0;          // sample period as estimated so far
  double last_s = 0.0;
  bool has_time = false;  // false: time comes from counter and nominal rate
  std::vector<BreakRecord> breaks;  // the first 10 000 of them
  std::uint64_t gaps = 0;           // all gaps and restarts
};

// Streaming; feeding a capture in blocks of any size gives the same samples.
//
// Rules, for a row that follows another:
//  * another boot number is a restart, whatever counter and clock say;
//  * a counter that falls by more than 16 and is not at the end of an 8-, 16-
//    or 32-bit range, or a clock that falls by more than 0.25 s and is not
//    within 5 s (600 s when the counter goes on) of the end of its 32-bit
//    range, is a restart;
//  * a smaller fall is a row that came late or twice, and is left out, unless
//    the counter fell to 0 or 1, where counting begins; so is a row whose
//    counter stands at the end of a range that was just passed (255, 0, 255),
//    unless the clock went on as far;
//  * a counter that skips n values is a gap of n - 1 samples; a clock that
//    skips more than 2.5 periods (and 1.5 ticks) is a gap too, even when the
//    counter goes on: then the device itself did not sample.
// Without a clock, time is the counter times the nominal period.
class Timeline {
 public:
  explicit Timeline(const Rig& rig);

  // Appends the rows of `raw` to `out` as samples. `out` keeps what it has.
  void Push(const RawBlock& raw, SampleBlock& out);

  const TimelineReport& report() const { return report_; }

 private:
  struct RowClock {
    std::optional<double> ticks;  // clock in ticks
    std::optional<double> seq;
    std::optional<double> boot;
  };
  struct Step {
    bool keep = true;
    Break before = Break::kNone;
    double dt_s = 0.0;
    std::uint64_t missing = 0;
  };
  struct Clocks;  // the columns of a block that tell time
  Clocks ReadClocks(const RawBlock& raw);
  std::size_t TakePlain(const Clocks& clocks, std::size_t first,
                        std::size_t rows, double* t_s);
  template <class Ticks>
  std::size_t PushPlain(const Ticks* ticks, const std::int64_t* seq,
                        std::size_t rows, double* t_s);
  bool TakeRow(const RawBlock& raw, const RowClock& now, double& t_s,
               Break& before);
  static void AppendColumns(const RawBlock& raw, const std::vector<char>& keep,
                            SampleBlock& out);
  bool GoesOn(const RowClock& now, Step& step);
  Step Advance(const RowClock& now);
  Step FromCounter(const RowClock& now);
  bool ClockWentOn(const RowClock& now, double skip) const;
  void Merge(const RowClock& now, Step& step);
  void LearnPeriod(double dt_s);
  void KeepPause(const RawBlock& raw, Step& step) const;

  std::size_t channels_;
  double nominal_period_s_;
  double tick_s_ = 0.0;  // seconds per clock tick of the column's role
  bool started_ = false;
  RowClock last_;
  double last_host_s_ = 0.0;  // of the block before, 0 from a file
  double seq_range_ = 0.0;    // 2^8, 2^16 or 2^32 once known, else 0
  // Running estimate of the sample period (seconds), a slow median tracker.
  double period_s_;
  TimelineReport report_;
};

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_TIMELINE_H_
