#include "app/live_trace.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

namespace masseter {
namespace {

constexpr double kColumnS = 0.05;

void AddNumber(std::string& out, double value, bool missing) {
  if (out.back() != '[') out += ',';
  if (missing || !std::isfinite(value)) {
    out += "null";
  } else {
    fmt::format_to(std::back_inserter(out), "{:.1f}", value);
  }
}

}  // namespace

void LiveTrace::Add(const FrameView& frame) {
  const auto index =
      static_cast<std::int64_t>(std::floor(frame.start_s / kColumnS));
  if (!columns_.empty() && index < columns_.back().index) columns_.clear();
  while (!columns_.empty() && columns_.back().index + 1 < index &&
         index - columns_.back().index < 4000) {
    columns_.push_back({columns_.back().index + 1, 0.0, 0.0, true});
    ++unsent_;
  }
  if (columns_.empty() || columns_.back().index != index) {
    columns_.push_back({index, frame.low_n, frame.high_n, frame.broken});
    ++unsent_;
  } else {
    Column& last = columns_.back();
    last.low_n = std::min(last.low_n, frame.low_n);
    last.high_n = std::max(last.high_n, frame.high_n);
    last.missing = last.missing || frame.broken;
    unsent_ = std::max<std::size_t>(unsent_, 1);
  }
  const auto most = static_cast<std::size_t>(kTraceSpanS / kColumnS);
  while (columns_.size() > most) columns_.pop_front();
  unsent_ = std::min(unsent_, columns_.size());
}

std::string LiveTrace::TakeNew() {
  std::string out = Json(columns_.size() - unsent_, false);
  unsent_ = 0;
  return out;
}

// Printed by hand: a JSON tree of every sleeve's columns, many times a second,
// costs more than measuring them.
std::string LiveTrace::Json(std::size_t from, bool whole) const {
  const double start =
      from < columns_.size()
          ? static_cast<double>(columns_[from].index) * kColumnS
          : 0.0;
  std::string low = "[";
  std::string high = "[";
  for (std::size_t i = from; i < columns_.size(); ++i) {
    AddNumber(low, columns_[i].low_n, columns_[i].missing);
    AddNumber(high, columns_[i].high_n, columns_[i].missing);
  }
  return fmt::format(
      R"({{"type":"trace","sleeve":{},"whole":{},"start_s":{:.2f},)"
      R"("column_s":{:.2f},"low_n":{}],"high_n":{}]}})",
      sleeve_, whole, start, kColumnS, low, high);
}

}  // namespace masseter
