// The answers of `explain` in words, for a terminal of so many columns.
#ifndef MASSETER_CLI_EXPLAIN_WORDS_H_
#define MASSETER_CLI_EXPLAIN_WORDS_H_

#include <cstddef>
#include <string>

#include "app/explain_bite.h"
#include "app/explain_pair.h"

namespace masseter::cli {

struct Page {
  std::size_t columns = 80;
  bool utf8 = true;
  bool colour = false;
};

std::string ExplanationWords(const BiteExplanation& explanation,
                             const Page& page);
std::string PairWords(const PairExplanation& explanation, const Page& page);

// Lines of at most `columns`, broken at blanks; the first begins with `first`,
// the others with as many blanks.
std::string Wrapped(const std::string& text, const std::string& first,
                    const Page& page);
// A heading on a line of its own, bold where colour is.
std::string Heading(const std::string& text, const Page& page);
// "● Bite 3, Brisk, 0:42: 743.1 ± 6.2 N, 75.77 ± 0.63 kgf, sound".
std::string BiteHeadline(const Bite& bite, const Page& page);
// A bar of `share` (0 to 1) of `cells` cells, in eighths where UTF-8 is.
std::string ShareBar(double share, std::size_t cells, bool utf8);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_EXPLAIN_WORDS_H_
