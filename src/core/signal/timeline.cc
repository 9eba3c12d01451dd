#include "core/signal/timeline.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <variant>

namespace masseter {
namespace {

constexpr double kClockRange = 4294967296.0;  // 2^32, micros() and millis()
// How far past the end of its range a clock may be after a wrap. A longer
// jump is a restart unless the counter says that samples went on.
constexpr double kWrapWindowS = 5.0;
constexpr double kCountedWrapWindowS = 600.0;
constexpr double kLateS = 0.25;
constexpr double kLateRows = 16.0;
constexpr std::size_t kMaxBreakRecords = 10000;
// After these the estimate of the period moves at its slowest.
constexpr std::uint64_t kLearnSamples = 1000;

// One column's values as doubles, whatever it holds; none without a column.
class Values {
 public:
  void Read(const RawColumn& column) {
    if (const auto* v = std::get_if<std::vector<std::int64_t>>(&column)) {
      integers_ = v->data();
    } else {
      reals_ = std::get<std::vector<double>>(column).data();
    }
  }
  std::optional<double> At(std::size_t i) const {
    if (integers_ != nullptr) return static_cast<double>(integers_[i]);
    if (reals_ != nullptr) return reals_[i];
    return std::nullopt;
  }
  // Null when the column holds the other kind, or is not there.
  const std::int64_t* integers() const { return integers_; }
  const double* reals() const { return reals_; }

 private:
  const std::int64_t* integers_ = nullptr;
  const double* reals_ = nullptr;
};

int AxisOf(Role role) {
  switch (role) {
    case Role::kAccelXG:
      return 0;
    case Role::kAccelYG:
      return 1;
    case Role::kAccelZG:
      return 2;
    default:
      return -1;
  }
}

double TickSeconds(Role role) {
  switch (role) {
    case Role::kTimeUs:
      return 1e-6;
    case Role::kTimeMs:
      return 1e-3;
    case Role::kTimeS:
      return 1.0;
    default:
      return 0.0;
  }
}

// The rows that `keep` marks; all of them when it is empty.
void AppendColumn(const RawColumn& column, const std::vector<char>& keep,
                  std::vector<double>& out) {
  std::visit(
      [&](const auto& v) {
        if (keep.empty()) {
          out.insert(out.end(), v.begin(), v.end());
          return;
        }
        for (std::size_t i = 0; i < v.size(); ++i) {
          if (keep[i]) out.push_back(static_cast<double>(v[i]));
        }
      },
      column);
}

}  // namespace

struct Timeline::Clocks {
  Values ticks;
  Values seq;
  Values boot;

  RowClock At(std::size_t i) const {
    return {.ticks = ticks.At(i), .seq = seq.At(i), .boot = boot.At(i)};
  }
};

Timeline::Timeline(const Rig& rig)
    : channels_(rig.channels.size()),
      nominal_period_s_(1.0 / rig.sample_rate_hz),
      period_s_(1.0 / rig.sample_rate_hz) {
  report_.period_s = period_s_;
}

// A tracker whose step shrinks to 1/1000 of the period per sample settles on
// the middle of the steps, and single odd steps move it by that at most. A
// clock coarser than the period stands still between its ticks: then steps of
// no and of one tick count alike.
void Timeline::LearnPeriod(double dt_s) {
  const double tick = tick_s_ < 1.0 ? tick_s_ : 0.0;
  if (dt_s < 0.0 || dt_s > std::max(2.5 * period_s_, 1.5 * tick)) return;
  const double n =
      static_cast<double>(std::min(report_.samples, kLearnSamples));
  const double gain = 1.0 / (n + 2.0);
  const double reach = std::max(0.5 * period_s_, tick);
  const double move = std::clamp(dt_s - period_s_, -reach, reach);
  period_s_ += gain * move;
  report_.period_s = period_s_;
}

Timeline::Step Timeline::FromCounter(const RowClock& now) {
  const double seq = *now.seq;
  Step step;
  double skip = seq - *last_.seq;
  if (skip <= 0.0) {
    const bool began_anew = seq <= 1.0 && skip < 0.0;
    if (skip > -kLateRows && !began_anew) {
      step.keep = false;
      return step;
    }
    for (const double range : {256.0, 65536.0, 4294967296.0}) {
      const double wrapped = skip + range;
      if (*last_.seq < range && seq < range && wrapped >= 1.0 &&
          wrapped <= 0.25 * range && *last_.seq >= 0.75 * range) {
        skip = wrapped;
        seq_range_ = range;
        step.dt_s = skip * period_s_;
        if (skip > 1.0) {
          step.before = Break::kGap;
          step.missing = static_cast<std::uint64_t>(skip - 1.0);
        }
        return step;
      }
    }
    step.before = Break::kRestart;
    step.dt_s = period_s_;
    return step;
  }
  // Right after the range's end a row from before it comes late, or twice.
  const bool from_before = seq_range_ > 0.0 && *last_.seq < kLateRows &&
                           seq < seq_range_ && skip > seq_range_ - kLateRows;
  if (from_before && !ClockWentOn(now, skip)) {
    step.keep = false;
    return step;
  }
  step.dt_s = skip * period_s_;
  if (skip > 1.0) {
    step.before = Break::kGap;
    step.missing = static_cast<std::uint64_t>(skip - 1.0);
  }
  return step;
}

// Whether a clock says that about `skip` samples lie between.
bool Timeline::ClockWentOn(const RowClock& now, double skip) const {
  if (!now.ticks || !last_.ticks) return false;
  return (*now.ticks - *last_.ticks) * tick_s_ > 0.5 * skip * period_s_;
}

Timeline::Step Timeline::Advance(const RowClock& now) {
  Step step;
  step.dt_s = nominal_period_s_;
  if (now.boot && last_.boot && *now.boot != *last_.boot) {
    step.before = Break::kRestart;
    step.dt_s = period_s_;
    return step;
  }
  if (now.seq && last_.seq) step = FromCounter(now);
  if (now.ticks && last_.ticks) Merge(now, step);
  return step;
}

// The plain case, at a glance: the next of the counter, after one step of the
// clock. Says what FromCounter and Merge would.
bool Timeline::GoesOn(const RowClock& now, Step& step) {
  if (!now.seq || !last_.seq || !now.ticks || !last_.ticks) return false;
  if (*now.seq - *last_.seq != 1.0 || now.boot != last_.boot) return false;
  const double dt = (*now.ticks - *last_.ticks) * tick_s_;
  if (!(dt >= 0.0 && dt <= 2.5 * period_s_)) return false;
  LearnPeriod(dt);
  step.dt_s = dt;
  return true;
}

// Joins what the clock says to what the counter says.
void Timeline::Merge(const RowClock& now, Step& step) {
  const bool counted = now.seq && last_.seq;
  double dt = (*now.ticks - *last_.ticks) * tick_s_;
  if (dt < 0.0 && tick_s_ < 1.0) {
    const double wrapped = dt + kClockRange * tick_s_;
    const double window = counted ? kCountedWrapWindowS : kWrapWindowS;
    if (wrapped < window && step.before != Break::kRestart) {
      dt = wrapped;
      ++report_.clock_wraps;
      if (counted && !step.keep) return;
    }
  }
  if (counted && !step.keep) return;
  if (dt < 0.0) {
    if (!counted && dt > -kLateS) {
      step.keep = false;
      return;
    }
    const bool counter_goes_on =
        counted && step.before == Break::kNone && dt > -kLateS;
    step.before = counter_goes_on ? Break::kNone : Break::kRestart;
    step.missing = 0;
    step.dt_s = period_s_;
    return;
  }
  if (step.before == Break::kRestart) {
    // The counter started again but the clock went on: the pause is known.
    step.dt_s = std::max(dt, period_s_);
    return;
  }
  const bool skipped =
      dt > 2.5 * period_s_ &&
      dt > period_s_ + 1.5 * tick_s_ * (tick_s_ < 1.0 ? 1.0 : 0.0);
  if (skipped && step.before == Break::kNone) {
    step.before = Break::kGap;
    step.missing = static_cast<std::uint64_t>(
        std::max(1.0, std::round(dt / period_s_) - 1.0));
  }
  if (step.before == Break::kNone) LearnPeriod(dt);
  step.dt_s = dt;
}

// Live, the host's clock knows how long the device was away.
void Timeline::KeepPause(const RawBlock& raw, Step& step) const {
  if (raw.host_time_s <= 0.0 || last_host_s_ <= 0.0) return;
  const double pause = raw.host_time_s - last_host_s_ -
                       static_cast<double>(raw.rows - 1) * period_s_;
  step.dt_s = std::max(step.dt_s, pause);
}

Timeline::Clocks Timeline::ReadClocks(const RawBlock& raw) {
  Clocks out;
  report_.has_time = false;
  for (std::size_t c = 0; c < raw.layout.size(); ++c) {
    const double tick = TickSeconds(raw.layout[c].role);
    if (tick > 0.0) {
      out.ticks.Read(raw.columns[c]);
      tick_s_ = tick;
      report_.has_time = true;
    }
    if (raw.layout[c].role == Role::kSequence) out.seq.Read(raw.columns[c]);
    if (raw.layout[c].role == Role::kBoot) out.boot.Read(raw.columns[c]);
  }
  return out;
}

// Rows from `first` on as long as they are plain (see GoesOn), once the period
// is learned at its slowest: their times go to `t_s`. Returns how many. What
// GoesOn and LearnPeriod do row by row, with nothing in between.
template <class Ticks>
std::size_t Timeline::PushPlain(const Ticks* ticks, const std::int64_t* seq,
                                std::size_t rows, double* t_s) {
  constexpr double kGain = 1.0 / (static_cast<double>(kLearnSamples) + 2.0);
  const double tick = tick_s_ < 1.0 ? tick_s_ : 0.0;
  double before = *last_.ticks;
  double counter = *last_.seq;
  double period = period_s_;
  double t = report_.last_s;
  std::size_t n = 0;
  for (; n < rows; ++n) {
    const auto now = static_cast<double>(ticks[n]);
    const auto count = static_cast<double>(seq[n]);
    const double dt = (now - before) * tick_s_;
    const bool plain =
        count - counter == 1.0 && dt >= 0.0 && dt <= 2.5 * period;
    if (!plain) break;
    const double reach = std::max(0.5 * period, tick);
    double move = dt - period;
    if (std::abs(move) > reach) move = move < 0.0 ? -reach : reach;
    period += kGain * move;
    t += dt;
    t_s[n] = t;
    before = now;
    counter = count;
  }
  if (n == 0) return 0;
  last_.ticks = before;
  last_.seq = counter;
  report_.period_s = period_s_ = period;
  report_.last_s = t;
  report_.samples += n;
  return n;
}

std::size_t Timeline::TakePlain(const Clocks& clocks, std::size_t first,
                                std::size_t rows, double* t_s) {
  const std::int64_t* seq = clocks.seq.integers();
  if (!started_ || report_.samples < kLearnSamples || seq == nullptr ||
      !last_.ticks || !last_.seq) {
    return 0;
  }
  if (clocks.boot.reals() != nullptr) return 0;
  if (const std::int64_t* boot = clocks.boot.integers()) {
    std::size_t same = first;
    while (same < rows && last_.boot &&
           static_cast<double>(boot[same]) == *last_.boot) {
      ++same;
    }
    rows = same;
  } else if (last_.boot) {
    return 0;
  }
  if (const std::int64_t* ticks = clocks.ticks.integers()) {
    return PushPlain(ticks + first, seq + first, rows - first, t_s);
  }
  if (const double* ticks = clocks.ticks.reals()) {
    return PushPlain(ticks + first, seq + first, rows - first, t_s);
  }
  return 0;
}

// One row; false when it is left out.
bool Timeline::TakeRow(const RawBlock& raw, const RowClock& now, double& t_s,
                       Break& before) {
  Step step;
  if (started_ && !GoesOn(now, step)) step = Advance(now);
  if (step.before == Break::kRestart) KeepPause(raw, step);
  if (!step.keep) {
    ++report_.late;
    return false;
  }
  const double t = started_ ? report_.last_s + step.dt_s : 0.0;
  if (step.before != Break::kNone) {
    ++report_.gaps;
    if (report_.breaks.size() < kMaxBreakRecords) {
      const bool gap = step.before == Break::kGap;
      report_.breaks.push_back({step.before, report_.samples, t,
                                gap ? step.dt_s : 0.0, step.missing});
    }
  }
  t_s = t;
  before = step.before;
  report_.last_s = t;
  ++report_.samples;
  started_ = true;
  last_ = now;
  return true;
}

void Timeline::Push(const RawBlock& raw, SampleBlock& out) {
  const Clocks clocks = ReadClocks(raw);
  if (out.channel.size() != channels_) out.channel.resize(channels_);
  if (out.t_s.empty()) out.first_row = report_.samples;

  std::vector<char> keep;  // stays empty while all rows are kept
  std::size_t end = out.size();
  out.t_s.resize(end + raw.rows);
  out.before.resize(end + raw.rows, Break::kNone);
  for (std::size_t i = 0; i < raw.rows;) {
    const std::size_t plain = TakePlain(clocks, i, raw.rows, &out.t_s[end]);
    i += plain;
    end += plain;
    if (i == raw.rows) break;
    if (TakeRow(raw, clocks.At(i), out.t_s[end], out.before[end])) {
      ++end;
    } else {
      keep.resize(raw.rows, 1);
      keep[i] = 0;
    }
    ++i;
  }
  out.t_s.resize(end);
  out.before.resize(end);
  last_host_s_ = raw.host_time_s;
  AppendColumns(raw, keep, out);
}

void Timeline::AppendColumns(const RawBlock& raw, const std::vector<char>& keep,
                             SampleBlock& out) {
  for (std::size_t c = 0; c < raw.layout.size(); ++c) {
    const ColumnRole& role = raw.layout[c];
    if (role.role == Role::kChannel) {
      AppendColumn(raw.columns[c], keep,
                   out.channel[static_cast<std::size_t>(role.channel)]);
    } else if (role.role == Role::kSupplyMv) {
      AppendColumn(raw.columns[c], keep, out.supply_mv);
    } else if (const int axis = AxisOf(role.role); axis >= 0) {
      AppendColumn(raw.columns[c], keep,
                   out.accel_g[static_cast<std::size_t>(axis)]);
    }
  }
}

}  // namespace masseter
