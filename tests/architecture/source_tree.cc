#include "tests/architecture/source_tree.h"

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>

namespace masseter::architecture {
namespace {

namespace fs = std::filesystem;

bool IsSource(const fs::path& path) {
  static const std::set<std::string> kKinds = {".h",   ".hpp", ".c",    ".cc",
                                               ".cpp", ".ts",  ".tsx",  ".js",
                                               ".mjs", ".css", ".cmake"};
  const std::string name = path.filename().string();
  return name == "CMakeLists.txt" || name == "package.json" ||
         kKinds.count(path.extension().string()) > 0;
}

bool IsLeftOut(const std::string& folder) {
  return StartsWith(folder, "build") || StartsWith(folder, ".") ||
         folder == "node_modules" || folder == "dist";
}

std::string ReadAll(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

bool IsWordChar(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_';
}

// The end of the literal that opens at `at` (one past its closing quote).
std::size_t EndOfLiteral(std::string_view text, std::size_t at) {
  const char quote = text[at];
  for (std::size_t i = at + 1; i < text.size(); ++i) {
    if (text[i] == '\\') {
      ++i;
    } else if (text[i] == quote) {
      return i + 1;
    } else if (text[i] == '\n') {
      return i;
    }
  }
  return text.size();
}

// The end of the raw literal whose R stands before the quote at `at`.
std::size_t EndOfRawLiteral(std::string_view text, std::size_t at) {
  const std::size_t open = text.find('(', at);
  if (open == std::string_view::npos) return text.size();
  const std::string close =
      ")" + std::string(text.substr(at + 1, open - at - 1)) + "\"";
  const std::size_t end = text.find(close, open);
  return end == std::string_view::npos ? text.size() : end + close.size();
}

// The end of the comment or literal that opens at `at`, or `at` for none.
std::size_t EndOfNonCode(std::string_view text, std::size_t at) {
  if (text.substr(at, 2) == "//") {
    return std::min(text.find('\n', at), text.size());
  }
  if (text.substr(at, 2) == "/*") {
    const std::size_t end = text.find("*/", at + 2);
    return end == std::string_view::npos ? text.size() : end + 2;
  }
  if (text[at] == '"') {
    const bool raw = at > 0 && text[at - 1] == 'R';
    return raw ? EndOfRawLiteral(text, at) : EndOfLiteral(text, at);
  }
  // 1'000 is a number, 'a' a character.
  const bool after_word = at > 0 && IsWordChar(text[at - 1]);
  if (text[at] == '\'' && !after_word) return EndOfLiteral(text, at);
  return at;
}

}  // namespace

bool EndsWith(std::string_view text, std::string_view tail) {
  return text.size() >= tail.size() &&
         text.substr(text.size() - tail.size()) == tail;
}

bool StartsWith(std::string_view text, std::string_view head) {
  return text.substr(0, head.size()) == head;
}

int CountLines(std::string_view text) {
  const auto ends = std::count(text.begin(), text.end(), '\n');
  const bool open_line = !text.empty() && text.back() != '\n';
  return static_cast<int>(ends) + (open_line ? 1 : 0);
}

SourceTree ReadSourceTree(const std::string& root) {
  SourceTree tree;
  auto it = fs::recursive_directory_iterator(root);
  for (; it != fs::recursive_directory_iterator(); ++it) {
    const std::string name = it->path().filename().string();
    if (it->is_directory()) {
      if (IsLeftOut(name)) it.disable_recursion_pending();
    } else if (it->is_regular_file() && IsSource(it->path())) {
      tree[fs::relative(it->path(), root).generic_string()] =
          ReadAll(it->path());
    }
  }
  return tree;
}

std::vector<Include> IncludesOf(std::string_view text) {
  std::vector<Include> found;
  int line = 0;
  while (!text.empty()) {
    ++line;
    const std::size_t end = std::min(text.find('\n'), text.size());
    std::string_view row = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t hash = row.find_first_not_of(" \t");
    if (hash == std::string_view::npos || row[hash] != '#') continue;
    row.remove_prefix(hash + 1);
    row.remove_prefix(std::min(row.find_first_not_of(" \t"), row.size()));
    if (!StartsWith(row, "include")) continue;
    const std::size_t open = row.find_first_of("\"<");
    if (open == std::string_view::npos) continue;
    const std::size_t close = row.find_first_of("\">", open + 1);
    if (close == std::string_view::npos) continue;
    found.push_back({line, row[open] == '"',
                     std::string(row.substr(open + 1, close - open - 1))});
  }
  return found;
}

std::string CodeOnly(std::string_view text) {
  std::string code(text);
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = EndOfNonCode(text, at);
    for (std::size_t i = at; i < end; ++i) {
      if (code[i] != '\n') code[i] = ' ';
    }
    at = std::max(end, at + 1);
  }
  return code;
}

std::string CMakeCodeOnly(std::string_view text) {
  std::string code(text);
  bool comment = false;
  for (char& c : code) {
    if (c == '\n') comment = false;
    if (c == '#') comment = true;
    if (comment) c = ' ';
  }
  return code;
}

std::vector<std::size_t> FindWord(std::string_view code,
                                  std::string_view word) {
  std::vector<std::size_t> found;
  std::size_t at = code.find(word);
  for (; at != std::string_view::npos; at = code.find(word, at + 1)) {
    const std::size_t end = at + word.size();
    const bool starts = at == 0 || !IsWordChar(code[at - 1]);
    const bool ends = end >= code.size() || !IsWordChar(code[end]);
    if (starts && ends) found.push_back(at);
  }
  return found;
}

int LineAt(std::string_view code, std::size_t offset) {
  return CountLines(code.substr(0, offset + 1));
}

}  // namespace masseter::architecture
