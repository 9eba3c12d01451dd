// The rules that ARCHITECTURE.md promises, each a function from the sources to
// what is wrong with them. rules_test.cc shows on made-up trees that each can
// fail; architecture_test.cc holds them against this tree.
#ifndef MASSETER_TESTS_ARCHITECTURE_RULES_H_
#define MASSETER_TESTS_ARCHITECTURE_RULES_H_

#include <ostream>
#include <string>
#include <vector>

#include "tests/architecture/source_tree.h"

namespace masseter::architecture {

struct Finding {
  std::string path;
  int line = 0;  // 0 when the whole file is meant
  std::string text;
};
std::ostream& operator<<(std::ostream& out, const Finding& finding);

// The arrows: what a module under src/ may include of ours and from outside.
// A file outside every known module is a finding too. wire/ and firmware/ keep
// to freestanding headers; firmware for one board or host has its own folder.
std::vector<Finding> CheckIncludes(const SourceTree& tree);

// core takes time, randomness and text as arguments: no clock, file, thread,
// stream, locale or random device by name.
std::vector<Finding> CheckCoreIsPure(const SourceTree& tree);

// No function that reads or prints numbers by the locale, anywhere in src/.
std::vector<Finding> CheckNoLocaleNumbers(const SourceTree& tree);

// Every *_test.cc and every source under src/, wire/ and firmware/ (but for
// other processors than the host's) is named in the CMakeLists.txt
// of its folder or of one above it (a comment does not count), and so is every
// folder that has a CMakeLists.txt.
std::vector<Finding> CheckEverySourceIsBuilt(const SourceTree& tree);

// Every test of the page is where web/scripts/test.mjs looks: directly in
// web/test, named *.test.ts or *.browser.ts.
std::vector<Finding> CheckEveryWebTestRuns(const SourceTree& tree);

// No test is switched off by name (DISABLED_ in C++; .skip, .only and .todo in
// TypeScript).
std::vector<Finding> CheckNoTestIsSwitchedOff(const SourceTree& tree);

// No C, C++ or TypeScript source is longer than kMostLines.
inline constexpr int kMostLines = 550;
std::vector<Finding> CheckRoomsAreSmall(const SourceTree& tree);

// A header under src/, wire/ or firmware/ is guarded by a name made from its
// path.
std::vector<Finding> CheckHeaderGuards(const SourceTree& tree);

}  // namespace masseter::architecture

#endif  // MASSETER_TESTS_ARCHITECTURE_RULES_H_
