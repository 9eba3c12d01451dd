// The sources as text, read once, for the checks of rules.h.
#ifndef MASSETER_TESTS_ARCHITECTURE_SOURCE_TREE_H_
#define MASSETER_TESTS_ARCHITECTURE_SOURCE_TREE_H_

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace masseter::architecture {

// Path relative to the root, with '/' between folders, to the file's text.
using SourceTree = std::map<std::string, std::string>;

// Reads every C, C++, TypeScript and CMake source and every package.json under
// `root`. Left out: folders whose name starts with "build" or "." and
// node_modules and dist.
SourceTree ReadSourceTree(const std::string& root);

struct Include {
  int line = 0;        // 1-based
  bool quoted = true;  // "a.h" rather than <a.h>
  std::string target;
};
std::vector<Include> IncludesOf(std::string_view text);

// The text with comments and the insides of string and character literals
// blanked out; line ends stay, so that line numbers hold.
std::string CodeOnly(std::string_view text);

// A CMake file's text without its comments.
std::string CMakeCodeOnly(std::string_view text);

bool EndsWith(std::string_view text, std::string_view tail);
bool StartsWith(std::string_view text, std::string_view head);
int CountLines(std::string_view text);

// Where `word` stands as a whole identifier, as offsets into `code`.
std::vector<std::size_t> FindWord(std::string_view code, std::string_view word);

// The 1-based line of an offset.
int LineAt(std::string_view code, std::size_t offset);

}  // namespace masseter::architecture

#endif  // MASSETER_TESTS_ARCHITECTURE_SOURCE_TREE_H_
