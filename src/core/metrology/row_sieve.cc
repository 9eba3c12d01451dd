#include "core/metrology/row_sieve.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace masseter {
namespace {

constexpr std::size_t kCopiedBlock = 3;
constexpr double kFineStep = 1e-4;
constexpr std::size_t kShortestRun = 3;
constexpr double kShortestStandS = 120.0;

// Whether the signals have steps fine enough for two readings of one load to
// differ by chance: the smallest difference of two of them is below 1e-4 of
// what they span.
bool SignalsAreFine(const ReadingsTable& readings) {
  const std::size_t channels = readings.rows.front().signal.size();
  for (std::size_t c = 0; c < channels; ++c) {
    std::vector<double> values;
    for (const Reading& row : readings.rows) values.push_back(row.signal[c]);
    std::sort(values.begin(), values.end());
    const double span = values.back() - values.front();
    double least = span;
    for (std::size_t i = 1; i < values.size(); ++i) {
      const double step = values[i] - values[i - 1];
      if (step > 0.0) least = std::min(least, step);
    }
    if (span > 0.0 && least < kFineStep * span) return true;
  }
  return false;
}

bool SameLoad(const Reading& a, const Reading& b) {
  return a.Load() == b.Load() && a.x_mm == b.x_mm && a.y_mm == b.y_mm;
}

bool SameButLabel(const Reading& a, const Reading& b) {
  return SameLoad(a, b) && a.rising == b.rising && a.signal == b.signal;
}

bool SameRow(const Reading& a, const Reading& b) {
  return a.series == b.series && SameButLabel(a, b) && a.t_s == b.t_s;
}

// Rows from `at` on that repeat the rows from `before` on.
std::size_t BlockLength(const std::vector<const Reading*>& loads,
                        std::size_t before, std::size_t at) {
  std::size_t n = 0;
  while (at + n < loads.size() && before + n < at &&
         SameButLabel(*loads[before + n], *loads[at + n])) {
    ++n;
  }
  return n;
}

}  // namespace

std::vector<std::size_t> RepeatedRows(const ReadingsTable& readings) {
  if (readings.rows.empty() || !SignalsAreFine(readings)) return {};
  std::vector<const Reading*> loads;
  for (const Reading& row : readings.rows) {
    if (row.Load() > 0.0) loads.push_back(&row);
  }
  // Candidates share the first signal; few rows do.
  std::map<double, std::vector<std::size_t>> by_signal;
  std::set<std::size_t> repeated;
  for (std::size_t i = 0; i < loads.size(); ++i) {
    auto& earlier = by_signal[loads[i]->signal.front()];
    for (const std::size_t before : earlier) {
      if (SameRow(*loads[before], *loads[i])) repeated.insert(i);
      const std::size_t n = BlockLength(loads, before, i);
      if (n < kCopiedBlock) continue;
      for (std::size_t k = 0; k < n; ++k) repeated.insert(i + k);
    }
    earlier.push_back(i);
  }
  std::vector<std::size_t> out;
  for (const std::size_t i : repeated) {
    out.push_back(static_cast<std::size_t>(loads[i] - readings.rows.data()));
  }
  return out;
}

std::vector<std::vector<std::size_t>> StandingRuns(
    const ReadingsTable& readings) {
  std::vector<std::vector<std::size_t>> out;
  std::map<std::string, std::vector<std::size_t>> run;  // a series' latest
  const auto end = [&](const std::vector<std::size_t>& rows) {
    if (rows.size() < kShortestRun) return;
    const double span =
        *readings.rows[rows.back()].t_s - *readings.rows[rows.front()].t_s;
    if (span >= kShortestStandS) out.push_back(rows);
  };
  for (std::size_t i = 0; i < readings.rows.size(); ++i) {
    const Reading& row = readings.rows[i];
    auto& rows = run[row.series];
    const bool stands = !rows.empty() && row.t_s &&
                        SameLoad(readings.rows[rows.back()], row) &&
                        *row.t_s > *readings.rows[rows.back()].t_s;
    if (!stands) {
      end(rows);
      rows.clear();
    }
    if (row.t_s && row.Load() > 0.0) rows.push_back(i);
  }
  for (const auto& [series, rows] : run) end(rows);
  return out;
}

}  // namespace masseter
