// Captures for tests: a force over time, put through a test plate (or one
// cell) and printed as a device would.
#ifndef MASSETER_CORE_BITE_BITE_TESTING_H_
#define MASSETER_CORE_BITE_BITE_TESTING_H_

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <utility>
#include <vector>

#include "core/bite/pipeline.h"
#include "core/metrology/plate_testing.h"
#include "core/signal/raw_block.h"

namespace masseter::testing_bite {

using ForceOfTime = std::function<double(double t_s)>;

inline double SmoothStep(double x) {
  const double c = std::clamp(x, 0.0, 1.0);
  return c * c * (3.0 - 2.0 * c);
}

// A half-sine strike into a squeeze that is held and let go.
struct BiteSpec {
  double start_s = 2.0;
  double duration_s = 1.5;
  double strike_n = 900.0;
  double strike_width_s = 0.10;
  double squeeze_n = 500.0;

  double operator()(double t_s) const {
    const double t = t_s - start_s;
    if (t <= 0.0 || t >= duration_s) return 0.0;
    const double strike =
        t < strike_width_s
            ? strike_n * std::sin(std::numbers::pi * t / strike_width_s)
            : 0.0;
    const double squeeze =
        squeeze_n * SmoothStep(t / 0.15) * SmoothStep((duration_s - t) / 0.08);
    return std::max(strike, squeeze);
  }
};

inline ForceOfTime Sum(std::vector<ForceOfTime> parts) {
  return [parts = std::move(parts)](double t) {
    double sum = 0.0;
    for (const ForceOfTime& part : parts) sum += part(t);
    return sum;
  };
}

// A device at `rate_hz` with counter and clock in microseconds.
struct Device {
  double rate_hz = 1000.0;
  double noise = 6.0;  // sd of a sample, in the channel's own unit
  std::uint64_t seed = 1;
};

struct Rows {
  std::vector<std::int64_t> seq;
  std::vector<std::int64_t> t_us;
  std::vector<std::vector<double>> channel;
  std::vector<double> ay_g;   // one axis of an accelerometer; empty for none
  bool whole_numbers = true;  // channels print counts

  std::size_t size() const { return seq.size(); }
  std::size_t RowAt(double t_s) const {
    const auto us = static_cast<std::int64_t>(t_s * 1e6);
    return static_cast<std::size_t>(
        std::lower_bound(t_us.begin(), t_us.end(), us) - t_us.begin());
  }
  // Removes the rows within [from_s, to_s), as a lost packet does.
  void Lose(double from_s, double to_s) {
    const auto a = static_cast<std::ptrdiff_t>(RowAt(from_s));
    const auto b = static_cast<std::ptrdiff_t>(RowAt(to_s));
    seq.erase(seq.begin() + a, seq.begin() + b);
    t_us.erase(t_us.begin() + a, t_us.begin() + b);
    for (auto& c : channel) c.erase(c.begin() + a, c.begin() + b);
  }
  void EndAt(double t_s) { Lose(t_s, 1e9); }
  void StartAt(double t_s) { Lose(-1.0, t_s); }
  // Counter and clock begin anew at `t_s`. Last of all changes: it spoils
  // RowAt.
  void RestartAt(double t_s) {
    const std::size_t a = RowAt(t_s);
    const std::int64_t s0 = seq[a];
    const std::int64_t t0 = t_us[a];
    for (std::size_t i = a; i < size(); ++i) {
      seq[i] -= s0;
      t_us[i] -= t0 - 500;
    }
  }
  // Adds `step` to channel `c` from `t_s` on.
  void StepFrom(double t_s, std::size_t c, double step) {
    for (std::size_t i = RowAt(t_s); i < size(); ++i) channel[c][i] += step;
  }

  RawBlock Slice(std::size_t first, std::size_t end) const {
    RawBlock block;
    block.rows = end - first;
    const auto part = [&](const auto& v) {
      return std::decay_t<decltype(v)>(
          v.begin() + static_cast<std::ptrdiff_t>(first),
          v.begin() + static_cast<std::ptrdiff_t>(end));
    };
    block.layout.push_back({Role::kSequence, -1});
    block.columns.emplace_back(part(seq));
    block.layout.push_back({Role::kTimeUs, -1});
    block.columns.emplace_back(part(t_us));
    for (std::size_t c = 0; c < channel.size(); ++c) {
      block.layout.push_back({Role::kChannel, static_cast<int>(c)});
      const std::vector<double> values = part(channel[c]);
      if (!whole_numbers) {
        block.columns.emplace_back(values);
        continue;
      }
      std::vector<std::int64_t> counts;
      for (const double v : values) counts.push_back(std::llround(v));
      block.columns.emplace_back(std::move(counts));
    }
    if (!ay_g.empty()) {
      block.layout.push_back({Role::kAccelYG, -1});
      block.columns.emplace_back(part(ay_g));
    }
    return block;
  }
};

inline Rows Begin(double duration_s, const Device& device) {
  Rows out;
  const auto n = static_cast<std::int64_t>(duration_s * device.rate_hz);
  for (std::int64_t i = 0; i < n; ++i) {
    out.seq.push_back(i);
    out.t_us.push_back(
        std::llround(static_cast<double>(i) * 1e6 / device.rate_hz));
  }
  return out;
}

// The force put through the plate at one place.
inline Rows OnPlate(const testing_plate::Plate& plate, Place at,
                    double duration_s, const ForceOfTime& force,
                    const Device& device) {
  testing_plate::Draw draw(device.seed);
  Rows out = Begin(duration_s, device);
  out.channel.resize(4);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const double t = static_cast<double>(out.t_us[i]) * 1e-6;
    const std::vector<double> v = plate.Signals(force(t), at);
    for (std::size_t c = 0; c < 4; ++c) {
      out.channel[c].push_back(v[c] + draw.Normal(device.noise));
    }
  }
  return out;
}

// The force as one channel prints it, `offset` at no load.
inline Rows OnOneCell(double duration_s, const ForceOfTime& force,
                      const Device& device, double per_newton = 1.0,
                      double offset = 0.0) {
  testing_plate::Draw draw(device.seed);
  Rows out = Begin(duration_s, device);
  out.whole_numbers = false;
  out.channel.resize(1);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const double t = static_cast<double>(out.t_us[i]) * 1e-6;
    out.channel[0].push_back(offset + per_newton * force(t) +
                             draw.Normal(device.noise));
  }
  return out;
}

inline std::vector<MeasuredBite> RunPipeline(const Rig& rig,
                                             const Calibration* calibration,
                                             const Rows& rows,
                                             std::size_t block_rows = 256) {
  std::vector<MeasuredBite> out;
  PipelineEvents events;
  events.on_bite = [&](MeasuredBite&& bite) { out.push_back(std::move(bite)); };
  Pipeline pipeline(rig, calibration, std::move(events));
  for (std::size_t a = 0; a < rows.size(); a += block_rows) {
    pipeline.Push(rows.Slice(a, std::min(rows.size(), a + block_rows)));
  }
  pipeline.Finish();
  return out;
}

// The calibration of a plate by its own bench day, as a maker would do it.
inline Calibration CalibrationOf(const testing_plate::Plate& plate,
                                 const testing_plate::BenchDay& day = {}) {
  const Rig rig = testing_plate::FourCellRig(plate);
  CalibrateOptions options;
  options.gravity_m_s2 = testing_plate::kGravity;
  return *Calibrate(
      rig, *ParseReadings(testing_plate::Readings(plate, day), "r.csv", rig),
      options, "r.csv");
}

inline const Reason* ReasonOf(const Bite& bite, ReasonCode code) {
  for (const Reason& reason : bite.reasons) {
    if (reason.code == code) return &reason;
  }
  return nullptr;
}

// A force series sampled from `force` between 0 and `duration_s`.
inline ForceSeries SeriesOf(const ForceOfTime& force, double duration_s,
                            double rate_hz, double noise_n = 0.0,
                            std::uint64_t seed = 1) {
  testing_plate::Draw draw(seed);
  ForceSeries s;
  s.period_s = 1.0 / rate_hz;
  const auto n = static_cast<std::size_t>(duration_s * rate_hz) + 1;
  for (std::size_t i = 0; i < n; ++i) {
    s.t_s.push_back(static_cast<double>(i) / rate_hz);
    s.raw_n.push_back(force(s.t_s.back()) + draw.Normal(noise_n));
  }
  s.before.assign(n, Break::kNone);
  s.filtered_n = s.raw_n;
  return s;
}

}  // namespace masseter::testing_bite

#endif  // MASSETER_CORE_BITE_BITE_TESTING_H_
