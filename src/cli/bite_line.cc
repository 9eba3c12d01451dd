#include "cli/bite_line.h"

#include <fmt/format.h>

#include <algorithm>

#include "report/figure_text.h"
#include "report/text_table.h"
#include "report/utf8.h"

namespace masseter::cli {
namespace {

const char* Shape(const Bite& bite, bool utf8) {
  if (bite.verdict == Verdict::kVoid) return utf8 ? "○" : "o";
  if (bite.at_least) return utf8 ? "↑" : "^";
  if (bite.verdict == Verdict::kDoubtful) return utf8 ? "◐" : "~";
  return utf8 ? "●" : "*";
}

std::string Padded(const std::string& text, std::size_t width, bool utf8) {
  std::string out = TerminalText(report::CutTo(text, width), utf8);
  const std::size_t used = report::ColumnsOf(out);
  out.append(width - std::min(width, used), ' ');
  return out;
}

std::string Why(const Bite& bite) {
  std::string out(VerdictWord(bite.verdict));
  if (bite.at_least) out += ", at least";
  if (bite.reasons.empty()) return out;
  out += ": " + bite.reasons.front().text;
  const std::size_t more = bite.reasons.size() - 1;
  if (more > 0) out += fmt::format(" (and {} more)", more);
  return out;
}

}  // namespace

std::string BiteLine(const Bite& bite, bool utf8) {
  const std::string squeeze =
      bite.squeeze_n && bite.verdict != Verdict::kVoid
          ? fmt::format("squeeze {:>4} N", FixedText(*bite.squeeze_n, 0))
          : "";
  return fmt::format("{:>3}  {:>5}  {} {}  {}  {}  {:>6}  {}", bite.id,
                     ClockText(bite.start_s), Shape(bite, utf8),
                     Padded(bite.dog.empty() ? "(nobody)" : bite.dog, 12, utf8),
                     Padded(PeakText(bite), 22, utf8),
                     Padded(squeeze, 14, utf8), SecondsText(bite.duration_s),
                     TerminalText(Why(bite), utf8));
}

}  // namespace masseter::cli
