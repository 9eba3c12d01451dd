#include "core/metrology/bench_set.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "core/metrology/gravity.h"
#include "core/metrology/reference_force.h"
#include "core/signal/robust.h"

namespace masseter {
namespace {

constexpr double kBadRatio = 0.25;

Expected<double> ReferenceForce(const Reading& reading,
                                const CalibrateOptions& options) {
  if (reading.force_n) return *reading.force_n;
  const auto force = DeadWeightForce(
      Mass(*reading.mass_kg),
      Acceleration(options.gravity_m_s2.value_or(kStandardGravity.si())),
      Density(options.air_density_kg_m3),
      Density(options.weight_density_kg_m3));
  if (!force) return tl::unexpected(force.error());
  return force->si();
}

// Zero of every channel at row `at` of one series.
std::vector<double> ZeroAt(const std::vector<const Reading*>& rows,
                           const std::vector<std::size_t>& zeros,
                           std::size_t at) {
  const auto after = std::lower_bound(zeros.begin(), zeros.end(), at);
  if (after == zeros.end()) return rows[zeros.back()]->signal;
  if (after == zeros.begin()) return rows[zeros.front()]->signal;
  const std::size_t a = *(after - 1);
  const std::size_t b = *after;
  const double part = static_cast<double>(at - a) / static_cast<double>(b - a);
  std::vector<double> zero = rows[a]->signal;
  for (std::size_t c = 0; c < zero.size(); ++c) {
    zero[c] += part * (rows[b]->signal[c] - zero[c]);
  }
  return zero;
}

int PositionIndex(std::vector<Place>& positions, Place place) {
  const Place rounded{std::round(place.x_mm), std::round(place.y_mm)};
  const auto it = std::find(positions.begin(), positions.end(), rounded);
  if (it != positions.end()) return static_cast<int>(it - positions.begin());
  positions.push_back(rounded);
  return static_cast<int>(positions.size()) - 1;
}

// Signals per newton of a load, a channel.
std::vector<double> PerNewton(const BenchLoad& load) {
  std::vector<double> out = load.v;
  for (double& v : out) v /= load.force_n;
  return out;
}

// The usual signals per newton at one place: the median of each channel.
std::vector<double> Usual(const std::vector<std::vector<double>>& loads) {
  std::vector<double> out(loads.front().size());
  std::vector<double> values(loads.size());
  for (std::size_t c = 0; c < out.size(); ++c) {
    for (std::size_t i = 0; i < loads.size(); ++i) values[i] = loads[i][c];
    out[c] = Median(values);
  }
  return out;
}

bool FarFrom(const std::vector<double>& a, const std::vector<double>& usual) {
  double off = 0.0;
  double size = 0.0;
  for (std::size_t c = 0; c < a.size(); ++c) {
    off += (a[c] - usual[c]) * (a[c] - usual[c]);
    size += usual[c] * usual[c];
  }
  return off > kBadRatio * kBadRatio * size;
}

// A load whose signals per newton are far from its place's own is a slip of
// the pen (a weight typed wrong, a reading copied to the wrong row).
void SetBadRowsAside(PreparedBench& out) {
  std::map<int, std::vector<std::vector<double>>> by_place;
  for (const BenchLoad& load : out.bench.loads) {
    by_place[load.position].push_back(PerNewton(load));
  }
  std::map<int, std::vector<double>> usual;
  for (const auto& [place, loads] : by_place) usual[place] = Usual(loads);
  std::vector<BenchLoad> kept;
  std::vector<std::string> kept_series;
  for (std::size_t i = 0; i < out.bench.loads.size(); ++i) {
    const BenchLoad& load = out.bench.loads[i];
    const bool judged = by_place[load.position].size() >= 4;
    if (judged && FarFrom(PerNewton(load), usual[load.position])) {
      out.bad_lines.push_back(load.line);
      continue;
    }
    kept.push_back(load);
    kept_series.push_back(out.series[i]);
  }
  if (kept.size() * 2 < out.bench.loads.size()) {
    out.bad_lines.clear();  // then it is not a slip but how the sleeve is
    return;
  }
  out.bench.loads = std::move(kept);
  out.series = std::move(kept_series);
}

class BenchBuilder {
 public:
  BenchBuilder(const CalibrateOptions& options, const std::string& file,
               PreparedBench& out)
      : options_(options), file_(file), out_(out) {}

  Expected<void> AddSeries(const std::string& name,
                           const std::vector<const Reading*>& rows) {
    std::vector<std::size_t> zeros;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (rows[i]->Load() == 0.0) zeros.push_back(i);
    }
    if (options_.zero && zeros.empty()) {
      return BadInput(file_ + ":" + std::to_string(rows.front()->line),
                      "series \"" + name +
                          "\" has no zero reading (a row with load 0); add "
                          "one, or fit the readings as given with --no-zero");
    }
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (auto ok = AddLoad(name, rows, zeros, i); !ok) return ok;
    }
    if (options_.zero) NoteZeroChange(rows, zeros);
    return {};
  }

 private:
  Expected<void> AddLoad(const std::string& name,
                         const std::vector<const Reading*>& rows,
                         const std::vector<std::size_t>& zeros, std::size_t i) {
    const Reading& row = *rows[i];
    if (row.Load() == 0.0 && options_.zero) return {};
    const auto force = ReferenceForce(row, options_);
    if (!force) {
      return BadInput(file_ + ":" + std::to_string(row.line),
                      force.error().what);
    }
    BenchLoad load;
    load.v = row.signal;
    if (options_.zero) {
      const std::vector<double> zero = ZeroAt(rows, zeros, i);
      for (std::size_t c = 0; c < zero.size(); ++c) load.v[c] -= zero[c];
    }
    load.force_n = *force;
    load.position = PositionIndex(out_.bench.positions, {row.x_mm, row.y_mm});
    load.rising = row.rising;
    load.line = row.line;
    out_.bench.loads.push_back(std::move(load));
    out_.series.push_back(name);
    return {};
  }

  void NoteZeroChange(const std::vector<const Reading*>& rows,
                      const std::vector<std::size_t>& zeros) {
    if (zeros.size() < 2) return;
    const std::vector<double>& first = rows[zeros.front()]->signal;
    const std::vector<double>& last = rows[zeros.back()]->signal;
    out_.zero_change.resize(first.size(), 0.0);
    for (std::size_t c = 0; c < first.size(); ++c) {
      out_.zero_change[c] =
          std::max(out_.zero_change[c], std::abs(last[c] - first[c]));
    }
  }

  const CalibrateOptions& options_;
  const std::string& file_;
  PreparedBench& out_;
};

}  // namespace

Expected<PreparedBench> PrepareBench(const Rig& rig,
                                     const ReadingsTable& readings,
                                     const CalibrateOptions& options,
                                     const std::string& file) {
  PreparedBench out;
  std::vector<std::string> order;
  std::map<std::string, std::vector<const Reading*>> by_series;
  for (const Reading& row : readings.rows) {
    auto& rows = by_series[row.series];
    if (rows.empty()) order.push_back(row.series);
    rows.push_back(&row);
  }
  BenchBuilder builder(options, file, out);
  for (const std::string& name : order) {
    if (auto ok = builder.AddSeries(name, by_series[name]); !ok) {
      return tl::unexpected(ok.error());
    }
  }
  out.series_count = static_cast<int>(order.size());
  if (rig.HasPositions()) {
    for (const Channel& channel : rig.channels) {
      out.bench.cells.push_back(
          {channel.x->si() * 1000.0, channel.y->si() * 1000.0});
    }
  }
  if (out.bench.loads.empty()) {
    return BadInput(file,
                    "every reading has load 0; a calibration needs loads");
  }
  if (options.zero) SetBadRowsAside(out);
  return out;
}

}  // namespace masseter
