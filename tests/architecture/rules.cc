#include "tests/architecture/rules.h"

#include <algorithm>
#include <array>
#include <map>
#include <regex>
#include <set>

namespace masseter::architecture {
namespace {

// What one module may include. `outside` holds beginnings of include targets;
// a name without '/' and '.' (a C++ standard header) needs no entry.
struct Arrow {
  std::set<std::string> ours;
  std::vector<std::string> outside;
};

const std::map<std::string, Arrow>& Arrows() {
  static const std::map<std::string, Arrow> kArrows = {
      {"core", {{"core"}, {"Eigen/", "boost/math/", "tl/expected.hpp"}}},
      {"device",
       {{"device", "core", "wire"},
        {"boost/asio", "boost/system/", "sys/", "netinet/", "asm/termbits.h",
         "mosquitto.h", "unistd.h", "fcntl.h", "termios.h", "poll.h",
         "emmintrin.h"}}},
      {"logbook",
       {{"logbook", "core"},
        {"sqlite3.h", "zstd.h", "openssl/sha.h", "sys/", "unistd.h",
         "fcntl.h"}}},
      {"report", {{"report", "core"}, {"fmt/"}}},
      {"selftest", {{"selftest", "core"}, {"Eigen/", "fmt/"}}},
      {"app",
       {{"app", "device", "logbook", "report", "core"},
        {"nlohmann/", "fmt/", "toml++/", "boost/asio", "boost/system/", "sys/",
         "unistd.h", "fcntl.h"}}},
      {"pages",
       {{"pages", "app", "core"},
        {"boost/beast", "boost/asio", "boost/system/", "nlohmann/", "sodium.h",
         "qrencode.h", "sys/", "net/", "netinet/", "ifaddrs.h"}}},
      {"cli",
       {{"cli", "app", "pages", "report", "selftest", "core"},
        {"CLI/", "fmt/", "nlohmann/", "sys/", "unistd.h", "signal.h"}}},
  };
  return kArrows;
}

const std::array<std::string_view, 18> kImpureHeaders = {
    "chrono",     "ctime",   "time.h",
    "filesystem", "fstream", "iostream",
    "ostream",    "istream", "sstream",
    "iomanip",    "locale",  "clocale",
    "thread",     "mutex",   "shared_mutex",
    "atomic",     "future",  "condition_variable"};

const std::array<std::string_view, 12> kImpureWords = {
    "random_device", "system_clock", "steady_clock", "getenv",
    "fopen",         "printf",       "fprintf",      "puts",
    "rand",          "srand",        "cout",         "cerr"};

// These follow the locale; std::from_chars and fmt do not.
const std::array<std::string_view, 9> kLocaleWords = {
    "stod",    "stof", "stold",     "strtod", "strtof",
    "strtold", "atof", "setlocale", "imbue"};

// These follow it where a conversion prints or reads a real number.
const std::array<std::string_view, 8> kFormatWords = {
    "printf",    "fprintf", "sprintf", "snprintf",
    "vsnprintf", "scanf",   "sscanf",  "fscanf"};

bool IsTest(std::string_view path) { return EndsWith(path, "_test.cc"); }
// A test or what tests share.
bool ForTests(std::string_view path) {
  return IsTest(path) || EndsWith(path, "_testing.h");
}

bool IsCpp(std::string_view path) {
  return EndsWith(path, ".h") || EndsWith(path, ".hpp") ||
         EndsWith(path, ".c") || EndsWith(path, ".cc") ||
         EndsWith(path, ".cpp");
}

bool IsScript(std::string_view path) {
  return EndsWith(path, ".ts") || EndsWith(path, ".tsx");
}

// "core" for src/core/rig/rig.h; "" outside src/.
std::string ModuleOf(std::string_view path) {
  if (!StartsWith(path, "src/")) return "";
  path.remove_prefix(4);
  const std::size_t slash = path.find('/');
  if (slash == std::string_view::npos) return "";
  return std::string(path.substr(0, slash));
}

bool IsStandard(std::string_view target) {
  static const std::set<std::string_view> kC = {
      "stdint.h", "stddef.h", "stdbool.h", "string.h", "errno.h", "math.h"};
  return target.find_first_of("/.") == std::string_view::npos ||
         kC.count(target) > 0;
}

std::string CheckOwn(const Arrow& arrow, const std::string& target, bool test) {
  const std::string top = target.substr(0, target.find('/'));
  if (top == target) {
    return "\"" + target + "\" is not a path from src/";
  }
  if (arrow.ours.count(top) > 0 || (test && top == "tests")) return "";
  return "may not include \"" + target + "\"";
}

std::string CheckOutside(const Arrow& arrow, const std::string& target,
                         bool test) {
  const auto begins = [&](const std::string& head) {
    return StartsWith(target, head);
  };
  if (IsStandard(target)) return "";
  // Tests also lean on libraries that know the answer from elsewhere.
  if (test && (begins("gtest/") || begins("gmock/") || begins("boost/math/") ||
               begins("zbar.h"))) {
    return "";
  }
  if (std::any_of(arrow.outside.begin(), arrow.outside.end(), begins)) {
    return "";
  }
  return "may not include <" + target + ">";
}

// What wire/ and firmware/ may include: freestanding headers, wire/, and
// firmware/ its own. Tests and what belongs to one board or host are free.
std::string CheckFreestanding(const std::string& path, const Include& include) {
  static const std::set<std::string> kHeaders = {"stdint.h", "stddef.h",
                                                 "stdbool.h"};
  const bool firmware = StartsWith(path, "firmware/");
  if (!include.quoted) {
    if (kHeaders.count(include.target) > 0) return "";
    return "freestanding code may not include <" + include.target + ">";
  }
  if (StartsWith(include.target, "wire/") ||
      (firmware && StartsWith(include.target, "firmware/"))) {
    return "";
  }
  return "freestanding code may not include \"" + include.target + "\"";
}

bool IsFreestanding(std::string_view path) {
  if (path.find("_test") != path.npos) return false;
  if (StartsWith(path, "wire/")) return IsCpp(path);
  return StartsWith(path, "firmware/") && IsCpp(path) &&
         path.find('/', 9) == path.npos;
}

// The CMake files above `path`, nearest first, as folder prefixes ("" is the
// root, others end in '/').
std::vector<std::string> FoldersAbove(const std::string& path) {
  std::vector<std::string> folders;
  std::size_t slash = path.rfind('/');
  while (slash != std::string::npos) {
    folders.push_back(path.substr(0, slash + 1));
    slash = slash == 0 ? std::string::npos : path.rfind('/', slash - 1);
  }
  folders.emplace_back("");
  return folders;
}

// True when `name` stands in `code` as a whole word of CMake's (a path).
bool NamesPath(const std::string& code, const std::string& name) {
  const std::string before = " \t\n(\"/}";
  const std::string after = " \t\n)\"";
  std::size_t at = code.find(name);
  for (; at != std::string::npos; at = code.find(name, at + 1)) {
    const std::size_t end = at + name.size();
    const bool starts =
        at == 0 || before.find(code[at - 1]) != std::string::npos;
    const bool ends =
        end >= code.size() || after.find(code[end]) != std::string::npos;
    // "/a.cc" counts only behind a CMake variable: ${CMAKE_..._DIR}/a.cc.
    const bool other_folder =
        at > 1 && code[at - 1] == '/' && code[at - 2] != '}';
    if (starts && ends && !other_folder) return true;
  }
  return false;
}

bool IsBuilt(const SourceTree& tree, const std::string& path) {
  for (const std::string& folder : FoldersAbove(path)) {
    const auto cmake = tree.find(folder + "CMakeLists.txt");
    if (cmake == tree.end()) continue;
    const std::string code = CMakeCodeOnly(cmake->second);
    if (NamesPath(code, path.substr(folder.size()))) return true;
  }
  return false;
}

// "src/core" for src/core/CMakeLists.txt; "" for other files and the root's.
std::string FolderOfCMake(const std::string& path) {
  const std::string name = "/CMakeLists.txt";
  if (!EndsWith(path, name)) return "";
  return path.substr(0, path.size() - name.size());
}

std::string GuardFor(std::string_view path) {
  std::string guard = "MASSETER_";
  if (StartsWith(path, "src/")) path.remove_prefix(4);
  for (const char c : path) {
    const bool letter = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    guard += letter ? static_cast<char>(c >= 'a' ? c - 'a' + 'A' : c) : '_';
  }
  return guard + "_";
}

template <class Words>
void FindWords(const std::string& path, const std::string& text,
               const Words& words, const std::string& why,
               std::vector<Finding>* findings) {
  const std::string code = CodeOnly(text);
  for (const std::string_view word : words) {
    for (const std::size_t at : FindWord(code, word)) {
      findings->push_back(
          {path, LineAt(code, at), std::string(word) + ": " + why});
    }
  }
}

// Calls of the printf and scanf families with a %f, %e, %g or %a.
void FindRealFormats(const std::string& path, const std::string& text,
                     std::vector<Finding>* findings) {
  static const std::regex kReal("%[-+ #0-9.*']*[lL]?[aefgAEFG]");
  const std::string code = CodeOnly(text);
  for (const std::string_view word : kFormatWords) {
    for (const std::size_t at : FindWord(code, word)) {
      const std::size_t end = std::min(code.find(';', at), code.size());
      if (!std::regex_search(text.substr(at, end - at), kReal)) continue;
      findings->push_back({path, LineAt(code, at),
                           std::string(word) + " of a real number: " +
                               "follows the locale; fmt does not"});
    }
  }
}

// Takes more from Node's test runner than what stands around tests.
bool ImportsTest(const std::string& text) {
  const std::size_t from = text.find("\"node:test\"");
  if (from == std::string::npos) return false;
  const std::size_t import = text.rfind("import", from);
  if (import == std::string::npos) return true;
  static const std::regex around(
      R"(\b(import|from|before(Each)?|after(Each)?)\b|[{},\s])");
  return !std::regex_replace(text.substr(import, from - import), around, "")
              .empty();
}

}  // namespace

std::ostream& operator<<(std::ostream& out, const Finding& finding) {
  return out << finding.path << ":" << finding.line << ": " << finding.text;
}

std::vector<Finding> CheckIncludes(const SourceTree& tree) {
  std::vector<Finding> findings;
  for (const auto& [path, text] : tree) {
    if (IsFreestanding(path)) {
      for (const Include& include : IncludesOf(text)) {
        const std::string wrong = CheckFreestanding(path, include);
        if (!wrong.empty()) findings.push_back({path, include.line, wrong});
      }
    }
    if (!StartsWith(path, "src/") || !IsCpp(path)) continue;
    const auto arrow = Arrows().find(ModuleOf(path));
    if (arrow == Arrows().end()) {
      findings.push_back({path, 0, "belongs to no module of the table"});
      continue;
    }
    for (const Include& include : IncludesOf(text)) {
      const std::string wrong =
          include.quoted
              ? CheckOwn(arrow->second, include.target, ForTests(path))
              : CheckOutside(arrow->second, include.target, ForTests(path));
      if (!wrong.empty()) {
        findings.push_back({path, include.line, arrow->first + " " + wrong});
      }
    }
  }
  return findings;
}

std::vector<Finding> CheckCoreIsPure(const SourceTree& tree) {
  std::vector<Finding> findings;
  for (const auto& [path, text] : tree) {
    if (ModuleOf(path) != "core" || !IsCpp(path) || IsTest(path)) continue;
    for (const Include& include : IncludesOf(text)) {
      if (std::find(kImpureHeaders.begin(), kImpureHeaders.end(),
                    include.target) != kImpureHeaders.end()) {
        findings.push_back({path, include.line,
                            "core may not include <" + include.target + ">"});
      }
    }
    FindWords(path, text, kImpureWords, "core takes it as an argument",
              &findings);
  }
  return findings;
}

std::vector<Finding> CheckNoLocaleNumbers(const SourceTree& tree) {
  std::vector<Finding> findings;
  for (const auto& [path, text] : tree) {
    if (!StartsWith(path, "src/") || !IsCpp(path) || IsTest(path)) continue;
    FindWords(path, text, kLocaleWords,
              "follows the locale; std::from_chars and fmt do not", &findings);
    FindRealFormats(path, text, &findings);
  }
  return findings;
}

std::vector<Finding> CheckEverySourceIsBuilt(const SourceTree& tree) {
  std::vector<Finding> findings;
  for (const auto& [path, text] : tree) {
    const bool ours =
        StartsWith(path, "src/") || StartsWith(path, "wire/") ||
        (StartsWith(path, "firmware/") && !StartsWith(path, "firmware/avr/"));
    const bool source = ours && (EndsWith(path, ".cc") || EndsWith(path, ".c"));
    const std::string folder = FolderOfCMake(path);
    const bool built =
        folder.empty() ? IsBuilt(tree, path) : IsBuilt(tree, folder);
    if ((source || IsTest(path) || !folder.empty()) && !built) {
      findings.push_back({path, 0, "no CMakeLists.txt names it"});
    }
  }
  return findings;
}

std::vector<Finding> CheckEveryWebTestRuns(const SourceTree& tree) {
  const std::string folder = "web/test/";
  std::vector<Finding> findings;
  for (const auto& [path, text] : tree) {
    if (!StartsWith(path, "web/")) continue;
    const bool test = ImportsTest(text) ||
                      path.find(".test.") != std::string::npos ||
                      path.find(".browser.") != std::string::npos ||
                      path.find(".spec.") != std::string::npos;
    const bool found =
        StartsWith(path, folder) &&
        path.find('/', folder.size()) == std::string::npos &&
        (EndsWith(path, ".test.ts") || EndsWith(path, ".browser.ts"));
    if (test && !found) {
      findings.push_back({path, 0, "web/scripts/test.mjs does not run it"});
    }
  }
  return findings;
}

std::vector<Finding> CheckNoTestIsSwitchedOff(const SourceTree& tree) {
  std::vector<Finding> findings;
  for (const auto& [path, text] : tree) {
    const std::string code = CodeOnly(text);
    if (IsTest(path)) {
      const std::size_t at = code.find("DISABLED_");
      if (at != std::string::npos) {
        findings.push_back({path, LineAt(code, at), "DISABLED_"});
      }
    }
    if (!StartsWith(path, "web/test/")) continue;
    for (const std::string off : {".skip(", ".only(", ".todo("}) {
      const std::size_t at = code.find(off);
      if (at == std::string::npos) continue;
      findings.push_back({path, LineAt(code, at), off});
    }
  }
  return findings;
}

std::vector<Finding> CheckRoomsAreSmall(const SourceTree& tree) {
  std::vector<Finding> findings;
  for (const auto& [path, text] : tree) {
    if (!IsCpp(path) && !IsScript(path)) continue;
    const int lines = CountLines(text);
    if (lines <= kMostLines) continue;
    findings.push_back({path, lines, "has more lines than fit a room"});
  }
  return findings;
}

std::vector<Finding> CheckHeaderGuards(const SourceTree& tree) {
  std::vector<Finding> findings;
  for (const auto& [path, text] : tree) {
    const bool ours = StartsWith(path, "src/") || StartsWith(path, "wire/") ||
                      StartsWith(path, "firmware/");
    if (!ours || !EndsWith(path, ".h")) continue;
    const std::string guard = GuardFor(path);
    if (text.find("#ifndef " + guard + "\n#define " + guard + "\n") ==
        std::string::npos) {
      findings.push_back({path, 0, "is not guarded by " + guard});
    }
  }
  return findings;
}

}  // namespace masseter::architecture
