#include "report/trace_sketch.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "report/figure_text.h"
#include "report/utf8.h"

namespace masseter {
namespace {

constexpr std::size_t kMargin = 8;  // "  1200 │"
constexpr double kStrikeS = 0.20;
constexpr double kSqueezeS = 0.25;

// 1, 2 or 5 times a power of ten: `most` of them at most cover `range`.
double NiceStep(double range, double most) {
  double step = std::pow(10.0, std::floor(std::log10(range / most)));
  for (const double times : {1.0, 2.0, 5.0, 10.0}) {
    if (range / (step * times) <= most) return step * times;
  }
  return step * 10.0;
}

// Cells of the picture, a code point each.
class Cells {
 public:
  Cells(std::size_t columns, std::size_t rows)
      : columns_(columns), rows_(rows), cell_(columns * rows, U' ') {}
  char32_t& At(std::size_t column, std::size_t row) {
    return cell_[row * columns_ + column];
  }
  std::string Line(std::size_t row) const {
    std::string out;
    for (std::size_t c = 0; c < columns_; ++c) {
      report::AppendUtf8(out, cell_[row * columns_ + c]);
    }
    return out;
  }
  std::size_t columns() const { return columns_; }
  std::size_t rows() const { return rows_; }

 private:
  std::size_t columns_;
  std::size_t rows_;
  std::vector<char32_t> cell_;
};

class Sketch {
 public:
  Sketch(const ReportBite& bite, const SketchOptions& options)
      : bite_(bite),
        o_(options),
        wide_(options.utf8 ? 2 : 1),
        high_(options.utf8 ? 4 : 2),
        cells_(std::max<std::size_t>(options.columns, 40) - kMargin - 1,
               std::max<std::size_t>(options.rows, 4)),
        dots_(cells_.columns() * wide_ * cells_.rows() * high_, 0) {
    Scale();
  }

  std::string Text() {
    DrawTrace();
    PutDots();
    PutGaps();
    PutLevel();
    PutPeak();
    std::string out;
    for (std::size_t r = 0; r < cells_.rows(); ++r) {
      out += Trimmed(AxisText(r) + cells_.Line(r));
    }
    return out + TimeAxis() + Places();
  }

 private:
  void Scale() {
    double top = 0.0;
    for (const float f : bite_.trace.high_n) {
      if (std::isfinite(f)) top = std::max(top, static_cast<double>(f));
    }
    if (bite_.bite.peak_n) top = std::max(top, *bite_.bite.peak_n);
    if (!(top > 0.0)) top = 1.0;
    // An interval that ends not far above is shown whole.
    if (const auto end = PeakHigh(bite_.bite); end && *end < 1.4 * top) {
      top = std::max(top, *end);
    }
    top_ = 1.03 * top;
    tick_ = NiceStep(top_, 0.5 * static_cast<double>(cells_.rows()));
    double low = 0.0;
    for (const float f : bite_.trace.low_n) {
      if (std::isfinite(f)) low = std::min(low, static_cast<double>(f));
    }
    // Zero in view, noise around it too; a deep fall below it is cut.
    bottom_ = std::max(low, -0.1 * top_);
  }

  // Dot rows count from the bottom.
  double DotRow(double force_n) const {
    const double dots = static_cast<double>(cells_.rows() * high_);
    return (force_n - bottom_) / (top_ - bottom_) * (dots - 1.0);
  }
  std::size_t CellRow(double force_n) const {
    const double most = static_cast<double>(cells_.rows() * high_) - 1.0;
    const double dot = std::clamp(std::round(DotRow(force_n)), 0.0, most);
    return cells_.rows() - 1 - static_cast<std::size_t>(dot) / high_;
  }
  double Length() const {
    return bite_.trace.column_s * static_cast<double>(bite_.trace.low_n.size());
  }
  // Cell column of a time, or nothing outside the picture.
  std::optional<std::size_t> CellOf(double t_s) const {
    const double part = (t_s - bite_.trace.start_s) / Length();
    if (!(part >= 0.0 && part <= 1.0)) return std::nullopt;
    return std::min(
        cells_.columns() - 1,
        static_cast<std::size_t>(part * static_cast<double>(cells_.columns())));
  }
  // Trace columns [first, end) behind dot column `x`.
  std::pair<std::size_t, std::size_t> Behind(std::size_t x) const {
    const std::size_t n = bite_.trace.low_n.size();
    const std::size_t all = cells_.columns() * wide_;
    const std::size_t first = x * n / all;
    return {first, std::max(first + 1, (x + 1) * n / all)};
  }

  void DrawTrace() {
    const std::size_t dots_high = cells_.rows() * high_;
    double last_low = std::nan("");
    double last_high = std::nan("");
    for (std::size_t x = 0; x < cells_.columns() * wide_; ++x) {
      double low = std::nan("");
      double high = std::nan("");
      const auto [first, end] = Behind(x);
      for (std::size_t k = first; k < end && k < bite_.trace.low_n.size();
           ++k) {
        low = std::fmin(low, static_cast<double>(bite_.trace.low_n[k]));
        high = std::fmax(high, static_cast<double>(bite_.trace.high_n[k]));
      }
      const double now_low = low;
      const double now_high = high;
      if (!std::isnan(low) && !std::isnan(last_low)) {  // joined up
        low = std::min(low, last_high);
        high = std::max(high, last_low);
      }
      last_low = now_low;
      last_high = now_high;
      if (std::isnan(low)) continue;
      const double most = static_cast<double>(dots_high) - 1.0;
      const double from = std::clamp(std::round(DotRow(low)), 0.0, most);
      const double to = std::clamp(std::round(DotRow(high)), 0.0, most);
      for (double y = from; y <= to; y += 1.0) {
        dots_[x * dots_high + static_cast<std::size_t>(y)] = 1;
      }
    }
  }

  bool Dot(std::size_t x, std::size_t y) const {
    return dots_[x * cells_.rows() * high_ + y] != 0;
  }

  void PutDots() {
    for (std::size_t c = 0; c < cells_.columns(); ++c) {
      for (std::size_t r = 0; r < cells_.rows(); ++r) {
        const std::size_t base = (cells_.rows() - 1 - r) * high_;
        cells_.At(c, r) = o_.utf8 ? Braille(c, base) : Ascii(c, base);
      }
    }
  }
  char32_t Braille(std::size_t c, std::size_t base) const {
    // Bits of U+2800 from the bottom: left 7, 3, 2, 1 and right 8, 6, 5, 4.
    static constexpr unsigned kBits[2][4] = {{0x40, 0x04, 0x02, 0x01},
                                             {0x80, 0x20, 0x10, 0x08}};
    unsigned bits = 0;
    for (std::size_t side = 0; side < 2; ++side) {
      for (std::size_t k = 0; k < 4; ++k) {
        if (Dot(2 * c + side, base + k)) bits |= kBits[side][k];
      }
    }
    return bits == 0 ? U' ' : static_cast<char32_t>(0x2800U + bits);
  }
  char32_t Ascii(std::size_t c, std::size_t base) const {
    const bool low = Dot(c, base);
    const bool high = Dot(c, base + 1);
    return low && high ? U':' : low ? U'.' : high ? U'\'' : U' ';
  }

  void PutLevel() {
    if (!o_.level_n || *o_.level_n >= top_ || *o_.level_n <= 0.0) return;
    const std::size_t row = CellRow(*o_.level_n);
    for (std::size_t c = 0; c < cells_.columns(); ++c) {
      if (cells_.At(c, row) == U' ') {
        cells_.At(c, row) = o_.utf8 ? U'┄' : (c % 2 == 0 ? U'-' : U' ');
      }
    }
    const std::string word = " " + o_.level_word + " ";
    const std::size_t room = report::ColumnsOf(word) + 2;
    const auto free = FreeRun(row, room);
    if (!free) return;
    std::size_t at = 0;
    for (std::size_t c = *free; at < word.size(); ++c) {
      cells_.At(c, row) = report::NextCodePoint(word, at);
    }
  }
  // The rightmost cells of a row, `length` of them, that hold no trace.
  std::optional<std::size_t> FreeRun(std::size_t row, std::size_t length) {
    std::size_t run = 0;
    for (std::size_t c = cells_.columns(); c-- > 0;) {
      const char32_t cell = cells_.At(c, row);
      const bool free = cell == U' ' || cell == U'┄' || cell == U'-';
      run = free ? run + 1 : 0;
      if (run == length) return c;
    }
    return std::nullopt;
  }

  void PutGaps() {
    for (std::size_t c = 0; c < cells_.columns(); ++c) {
      bool all = true;
      bool any = false;
      for (std::size_t side = 0; side < wide_; ++side) {
        const auto [first, end] = Behind(wide_ * c + side);
        bool missing = true;
        for (std::size_t k = first; k < end; ++k) {
          missing = missing && k < bite_.trace.low_n.size() &&
                    std::isnan(bite_.trace.low_n[k]);
        }
        all = all && missing;
        any = any || missing;
      }
      for (std::size_t r = 0; r < cells_.rows(); ++r) {
        // Half a cell of samples stays to be seen.
        if (!all && !(any && cells_.At(c, r) == U' ')) continue;
        cells_.At(c, r) = o_.utf8 ? U'╱' : U'/';
      }
    }
  }

  void PutPeak() {
    const Bite& b = bite_.bite;
    const auto column = CellOf(b.peak_at_s);
    if (!b.peak_n || !column) return;
    const std::size_t row = CellRow(*b.peak_n);
    const auto low = PeakLow(b);
    const auto high = PeakHigh(b);
    if (low && high && b.verdict != Verdict::kVoid) {
      const std::size_t from = CellRow(std::min(*high, top_));
      const std::size_t to = CellRow(*low);
      for (std::size_t r = from; r <= to && from < to; ++r) {
        const char32_t end = r == from ? U'┬' : r == to ? U'┴' : U'│';
        cells_.At(*column, r) = o_.utf8 ? end : U'|';
      }
    }
    cells_.At(*column, row) = o_.utf8 ? U'●' : U'*';
  }

  // Counts reach millions: the axis then stands in thousands.
  double Thousand() const { return top_ >= 1e5 ? 1000.0 : 1.0; }

  // The tick of a row, or blanks.
  std::string AxisText(std::size_t row) const {
    std::string number;
    for (double n = 0.0; n <= top_; n += tick_) {
      if (CellRow(n) == row) {
        number = FixedText(n / Thousand(), tick_ < 1.0 ? 1 : 0);
      }
    }
    const bool tick = !number.empty();
    const std::string unit = (Thousand() > 1.0 ? "k" : "") + o_.unit;
    if (row == 0) number += (tick && !unit.empty() ? " " : "") + unit;
    std::string out(kMargin - 1 - std::min(kMargin - 1, number.size() + 1),
                    ' ');
    out += number + " ";
    return out + (!o_.utf8 ? (tick ? "+" : "|") : (tick ? "┤" : "│"));
  }

  static std::string Trimmed(std::string line) {
    line.erase(line.find_last_not_of(' ') + 1);
    return line + "\n";
  }

  std::string TimeAxis() const {
    const double step =
        NiceStep(Length(), 0.08 * static_cast<double>(cells_.columns()));
    std::string rule(kMargin - 1, ' ');
    rule += o_.utf8 ? "└" : "+";
    std::string numbers(kMargin + cells_.columns() + 1, ' ');
    std::vector<std::size_t> ticks;
    const double first = std::ceil(bite_.trace.start_s / step) * step;
    for (double t = first; t <= bite_.trace.start_s + Length(); t += step) {
      const auto at = CellOf(t);
      if (!at) continue;
      ticks.push_back(*at);
      const std::string text = FixedText(t, step < 0.095  ? 2
                                            : step < 0.95 ? 1
                                                          : 0);
      const std::size_t left = kMargin + *at - std::min(*at, text.size() / 2);
      if (left + text.size() + 2 < numbers.size()) {
        numbers.replace(left, text.size(), text);
      }
    }
    for (std::size_t c = 0; c < cells_.columns(); ++c) {
      const bool tick = std::find(ticks.begin(), ticks.end(), c) != ticks.end();
      rule += !o_.utf8 ? (tick ? "+" : "-") : (tick ? "┬" : "─");
    }
    numbers.replace(numbers.size() - 2, 2, " s");
    return rule + "\n" + Trimmed(numbers);
  }

  // A bar from `from_s` on with its word beside it.
  std::string Bar(double from_s, double length_s,
                  const std::string& word) const {
    const auto at = CellOf(std::max(from_s, bite_.trace.start_s));
    if (!at) return "";
    const auto end = CellOf(from_s + length_s);
    const std::size_t wide =
        std::max<std::size_t>(1, end.value_or(cells_.columns() - 1) - *at);
    std::string bar;
    for (std::size_t k = 0; k < wide; ++k) bar += o_.utf8 ? "━" : "=";
    const std::size_t room = report::ColumnsOf(word) + 1;
    if (*at + wide + room > cells_.columns() && *at >= room) {
      return std::string(kMargin + *at - room, ' ') + word + " " + bar + "\n";
    }
    return std::string(kMargin + *at, ' ') + bar + " " + word + "\n";
  }

  std::string Places() const {
    const Bite& b = bite_.bite;
    std::string out =
        Bar(b.start_s, std::min(kStrikeS, b.duration_s), "strike");
    if (bite_.squeeze_at_s) {
      out += Bar(*bite_.squeeze_at_s, kSqueezeS, "squeeze");
    }
    if (bite_.regrip_at_s.empty()) return out;
    std::string line(kMargin + cells_.columns(), ' ');
    std::size_t last = 0;
    for (const double t : bite_.regrip_at_s) {
      const auto at = CellOf(t);
      if (!at) continue;
      line[kMargin + *at] = '^';
      last = kMargin + *at;
    }
    line.erase(last + 1);
    line += bite_.regrip_at_s.size() == 1 ? " re-grip\n" : " re-grips\n";
    if (!o_.utf8) return out + line;
    std::string marked;
    for (const char c : line) {
      if (c == '^') {
        marked += "▴";
      } else {
        marked += c;
      }
    }
    return out + marked;
  }

  const ReportBite& bite_;
  const SketchOptions& o_;
  std::size_t wide_;  // dots of a cell
  std::size_t high_;
  Cells cells_;
  std::vector<char> dots_;
  double top_ = 1.0;
  double bottom_ = 0.0;
  double tick_ = 1.0;
};

}  // namespace

std::size_t SketchColumns(const SketchOptions& options) {
  const std::size_t cells =
      std::max<std::size_t>(options.columns, 40) - kMargin - 1;
  return options.utf8 ? 2 * cells : cells;
}

std::string TraceSketch(const ReportBite& bite, const SketchOptions& options) {
  if (bite.trace.low_n.empty() || !(bite.trace.column_s > 0.0)) return "";
  return Sketch(bite, options).Text();
}

}  // namespace masseter
