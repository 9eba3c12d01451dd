#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "cli/explain_words.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

std::string Signed(double n, int decimals) {
  const std::string text = FixedText(n, decimals);
  return n > 0.0 && text.find_first_not_of("0.") != std::string::npos
             ? "+" + text
             : Typographic(text);
}

int DecimalsOf(const Disagreement& d) {
  if (!d.dog_low_n || !d.dog_high_n) return 0;
  const double half = 0.5 * (*d.dog_high_n - *d.dog_low_n);
  return half > 0.0 ? std::max(0, UncertaintyDecimals(half)) : 0;
}

std::string Between(std::optional<double> low, std::optional<double> high,
                    int decimals) {
  if (low && high) {
    return Signed(*low, decimals) + " to " + Signed(*high, decimals);
  }
  if (low) return Signed(*low, decimals) + " or more";
  if (high) return Signed(*high, decimals) + " or less";
  return "unknown";
}

// A fault that did nothing to the peak.
bool Nothing(const CauseShare& s) {
  return s.side != Side::kBoth && s.share_n && s.low_n && s.high_n &&
         std::max(std::abs(*s.low_n), std::abs(*s.high_n)) < 0.05;
}

std::string Shares(const PairExplanation& p, const Page& page) {
  const Disagreement& d = p.split;
  const int decimals = DecimalsOf(d);
  TextTable table;
  table.AddColumn("  cause", Align::kLeft, page.columns - 46);
  table.AddColumn("share/N", Align::kPoint);
  table.AddColumn("95 %", Align::kLeft);
  table.AddColumn("taken out/N", Align::kPoint);
  const auto add = [&](const std::string& cause, std::optional<double> share,
                       std::optional<double> low, std::optional<double> high,
                       const std::string& out) {
    table.AddRow({"  " + cause, share ? Signed(*share, decimals) : "?",
                  Between(low, high, decimals), out});
  };
  for (const CauseShare& s : d.shares) {
    if (Nothing(s)) continue;
    add(CauseWords(s.cause, s.side, p), s.share_n, s.low_n, s.high_n,
        Signed(s.corrected_n, decimals));
  }
  add("the dog", d.dog_n, d.dog_low_n, d.dog_high_n, "");
  return table.Text(page.utf8);
}

std::string GroupWords(const ConsistencyGroup& g) {
  const std::string name = g.dog ? g.of : "The day " + g.of;
  const std::string left_out =
      g.left_out == 0
          ? ""
          : fmt::format(" ({} without a figure of two ends left out)",
                        g.left_out);
  if (!g.test) {
    return name + ": one bite alone says nothing about its spread" + left_out +
           ".";
  }
  const Consistency& t = *g.test;
  const std::string chance =
      t.p < 0.001 ? "p below 0.001" : fmt::format("p = {:.3f}", t.p);
  std::string text =
      fmt::format("{}: {} bites{}, Birge ratio {:.1f} ({}): ", name, t.values,
                  left_out, t.birge_ratio, chance);
  if (t.Explained()) {
    return text + "the instrument alone can explain their spread.";
  }
  return text + fmt::format(
                    "the instrument does not explain their spread; {:.0f} N "
                    "(standard deviation) come from elsewhere.",
                    t.beyond);
}

}  // namespace

std::string PairWords(const PairExplanation& p, const Page& page) {
  const Disagreement& d = p.split;
  std::string out = BiteHeadline(p.first.measured.bite, page) +
                    BiteHeadline(p.second.measured.bite, page) + "\n" +
                    Wrapped(p.sentence, "", page);
  out += Heading("Where the difference comes from", page);
  out += Wrapped(
      fmt::format(
          "A plain read-out (highest sample, one factor, nothing repaired) "
          "would show {} and {} N, {} N apart; the figures are {} N apart.",
          FixedText(p.first.measured.steps->as_read_n, 0),
          FixedText(p.second.measured.steps->as_read_n, 0),
          Signed(d.as_read_n, 0), Signed(d.difference_n, 0)),
      "  ", page);
  out += "\n" + Shares(p, page);
  out += Heading("Does the instrument explain the spread", page);
  for (const ConsistencyGroup& g : p.groups) {
    out += Wrapped(GroupWords(g), "  ", page);
  }
  return out;
}

}  // namespace masseter::cli
