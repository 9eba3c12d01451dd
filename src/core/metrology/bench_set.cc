#include "core/metrology/bench_set.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "core/metrology/load_levels.h"
#include "core/metrology/reference_budget.h"
#include "core/metrology/row_sieve.h"
#include "core/metrology/slips.h"

namespace masseter {
namespace {

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

// What becomes of a row of the file.
struct RowUse {
  std::set<const Reading*> skipped;  // stands twice
  // Rows of a standing load, by its first row; the first counts as a load too.
  std::map<const Reading*, const Reading*> stands_since;
};

class BenchBuilder {
 public:
  BenchBuilder(const CalibrateOptions& options, const std::string& file,
               const RowUse& use, PreparedBench& out)
      : options_(options), file_(file), use_(use), out_(out) {}

  Expected<void> AddSeries(const std::string& name,
                           const std::vector<const Reading*>& rows) {
    std::vector<std::size_t> zeros;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (rows[i]->Load() != 0.0) continue;
      zeros.push_back(i);
      if (options_.zero) out_.zeros.push_back(rows[i]);
    }
    if (options_.zero && zeros.empty()) {
      return BadInput(file_ + ":" + std::to_string(rows.front()->line),
                      "series \"" + name +
                          "\" has no zero reading (a row with load 0); add "
                          "one, or fit the readings as given with --no-zero");
    }
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (auto ok = AddLoad(rows, zeros, i); !ok) return ok;
    }
    if (options_.zero) NoteZeroChange(rows, zeros);
    return {};
  }

 private:
  Expected<void> AddLoad(const std::vector<const Reading*>& rows,
                         const std::vector<std::size_t>& zeros, std::size_t i) {
    const Reading& row = *rows[i];
    if (row.Load() == 0.0 && options_.zero) return {};
    const auto force = ReferenceForceOf(row, options_);
    if (!force) {
      return BadInput(file_ + ":" + std::to_string(row.line),
                      force.error().what);
    }
    std::vector<double> v = row.signal;
    if (options_.zero) {
      const std::vector<double> zero = ZeroAt(rows, zeros, i);
      for (std::size_t c = 0; c < zero.size(); ++c) v[c] -= zero[c];
    }
    const auto stands = use_.stands_since.find(&row);
    if (stands != use_.stands_since.end()) {
      AddStanding(*stands->second, row, v, *force);
      if (stands->second != &row) return {};
    }
    BenchLoad load;
    load.v = std::move(v);
    load.force_n = *force;
    load.position = PositionIndex(out_.bench.positions, {row.x_mm, row.y_mm});
    load.rising = row.rising;
    load.line = row.line;
    load.series = row.series;
    load.temp_c = row.temp_c;
    out_.bench.loads.push_back(std::move(load));
    return {};
  }

  void AddStanding(const Reading& first, const Reading& row,
                   std::vector<double> v, double force_n) {
    if (out_.standing.empty() || out_.standing.back().line != first.line) {
      out_.standing.push_back(
          {{}, {}, force_n, {row.x_mm, row.y_mm}, first.line});
    }
    out_.standing.back().v.push_back(std::move(v));
    out_.standing.back().t_s.push_back(*row.t_s - *first.t_s);
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
  const RowUse& use_;
  PreparedBench& out_;
};

RowUse SortRows(const ReadingsTable& readings, PreparedBench& out) {
  RowUse use;
  for (const std::size_t i : RepeatedRows(readings)) {
    use.skipped.insert(&readings.rows[i]);
    out.duplicate_lines.push_back(readings.rows[i].line);
  }
  for (const std::vector<std::size_t>& run : StandingRuns(readings)) {
    for (const std::size_t i : run) {
      use.stands_since[&readings.rows[i]] = &readings.rows[run.front()];
    }
  }
  return use;
}

void FindLevels(PreparedBench& out) {
  std::vector<double> force;
  for (const BenchLoad& load : out.bench.loads) force.push_back(load.force_n);
  LoadLevels levels = FindLoadLevels(force);
  out.level = std::move(levels.level);
  out.level_force_n = std::move(levels.force_n);
}

}  // namespace

Expected<PreparedBench> PrepareBench(const Rig& rig,
                                     const ReadingsTable& readings,
                                     const CalibrateOptions& options,
                                     const std::string& file) {
  PreparedBench out;
  std::vector<std::string> order;
  std::map<std::string, std::vector<const Reading*>> by_series;
  const RowUse use = SortRows(readings, out);
  for (const Reading& row : readings.rows) {
    if (use.skipped.contains(&row)) continue;
    auto& rows = by_series[row.series];
    if (rows.empty()) order.push_back(row.series);
    rows.push_back(&row);
  }
  BenchBuilder builder(options, file, use, out);
  for (const std::string& name : order) {
    if (auto ok = builder.AddSeries(name, by_series[name]); !ok) {
      return tl::unexpected(ok.error());
    }
  }
  std::set<std::string> loaded;
  for (const BenchLoad& load : out.bench.loads) loaded.insert(load.series);
  out.series_count = static_cast<int>(loaded.size());
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
  if (options.zero) out.bad_rows = TakeSlips(out.bench);
  FindLevels(out);
  return out;
}

}  // namespace masseter
