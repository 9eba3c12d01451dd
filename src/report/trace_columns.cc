#include "report/trace_columns.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace masseter {
namespace {

constexpr float kMissing = std::numeric_limits<float>::quiet_NaN();

class ColumnBuilder {
 public:
  ColumnBuilder(double from_s, double to_s, int columns)
      : size_(static_cast<std::size_t>(columns)) {
    out_.start_s = from_s;
    out_.column_s = (to_s - from_s) / columns;
    out_.low_n.assign(size_, kMissing);
    out_.high_n.assign(size_, kMissing);
  }

  void AddSamples(std::span<const double> time_s,
                  std::span<const double> force_n) {
    const std::size_t count = std::min(time_s.size(), force_n.size());
    for (std::size_t i = 0; i < count; ++i) {
      const double place = (time_s[i] - out_.start_s) / out_.column_s;
      if (!(place >= 0.0) || place > static_cast<double>(size_)) continue;
      Widen(std::min(static_cast<std::size_t>(place), size_ - 1), force_n[i]);
    }
  }

  // Draws the line from one sample to the next through the columns between
  // them that hold no sample.
  void Bridge(double t0, double f0, double t1, double f1) {
    const double first = std::floor((t0 - out_.start_s) / out_.column_s) + 1;
    const double last = std::floor((t1 - out_.start_s) / out_.column_s);
    const double end = static_cast<double>(size_);
    for (double c = std::max(first, 0.0); c < std::min(last, end); c += 1.0) {
      for (const double edge : {c, c + 1.0}) {
        const double t = out_.start_s + edge * out_.column_s;
        const double share = std::clamp((t - t0) / (t1 - t0), 0.0, 1.0);
        Widen(static_cast<std::size_t>(c), f0 + share * (f1 - f0));
      }
    }
  }

  // Makes sure that a gap is seen: when no column of its own is left empty,
  // the column that it covers most gives its samples to a neighbour.
  void ShowGap(const TraceGap& gap) {
    const double first = (gap.start_s - out_.start_s) / out_.column_s;
    const double last = (gap.end_s - out_.start_s) / out_.column_s;
    const double end = static_cast<double>(size_);
    if (!(last > 0.0) || !(first < end)) return;
    const auto from = static_cast<std::size_t>(std::max(first, 0.0));
    const auto to = static_cast<std::size_t>(std::clamp(last, 0.0, end - 1.0));
    for (std::size_t c = from; c <= to; ++c) {
      if (std::isnan(out_.low_n[c])) return;
    }
    const double middle = std::clamp((first + last) / 2.0, 0.0, end - 1.0);
    const auto hit = static_cast<std::size_t>(middle);
    // Beside another gap it is seen with that one; alone it needs the column.
    const std::size_t before = hit > 0 ? hit - 1 : hit + 1;
    const std::size_t after = hit + 1 < size_ ? hit + 1 : before;
    if (size_ > 1) {
      if (std::isnan(out_.low_n[before]) || std::isnan(out_.low_n[after])) {
        return;
      }
      Widen(before, static_cast<double>(out_.low_n[hit]));
      Widen(before, static_cast<double>(out_.high_n[hit]));
    }
    out_.low_n[hit] = kMissing;
    out_.high_n[hit] = kMissing;
  }

  TraceColumns Take() { return std::move(out_); }

 private:
  void Widen(std::size_t column, double value) {
    if (!std::isfinite(value)) return;
    const auto force = static_cast<float>(value);
    float& low = out_.low_n[column];
    float& high = out_.high_n[column];
    if (std::isnan(low) || force < low) low = force;
    if (std::isnan(high) || force > high) high = force;
  }

  std::size_t size_;
  TraceColumns out_;
};

bool InAGap(std::span<const TraceGap> gaps, double t0, double t1) {
  return std::ranges::any_of(gaps, [t0, t1](const TraceGap& gap) {
    return gap.start_s < t1 && gap.end_s > t0;
  });
}

}  // namespace

TraceColumns MakeTraceColumns(std::span<const double> time_s,
                              std::span<const double> force_n,
                              std::span<const TraceGap> gaps, double from_s,
                              double to_s, int columns) {
  if (columns < 1 || !(to_s > from_s)) return {};
  ColumnBuilder builder(from_s, to_s, columns);
  builder.AddSamples(time_s, force_n);
  const double column_s = (to_s - from_s) / columns;
  const std::size_t count = std::min(time_s.size(), force_n.size());
  for (std::size_t i = 1; i < count; ++i) {
    const bool finite =
        std::isfinite(force_n[i - 1]) && std::isfinite(force_n[i]);
    if (!finite || time_s[i] - time_s[i - 1] <= column_s / 2.0) continue;
    if (InAGap(gaps, time_s[i - 1], time_s[i])) continue;
    builder.Bridge(time_s[i - 1], force_n[i - 1], time_s[i], force_n[i]);
  }
  for (const TraceGap& gap : gaps) builder.ShowGap(gap);
  return builder.Take();
}

}  // namespace masseter
