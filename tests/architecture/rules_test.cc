// The checkers themselves, on made-up trees: each finds what it is for and
// leaves the good twin alone.
#include "tests/architecture/rules.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace masseter::architecture {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

std::string Only(const std::vector<Finding>& findings) {
  EXPECT_EQ(findings.size(), 1U) << testing::PrintToString(findings);
  if (findings.empty()) return "";
  return testing::PrintToString(findings.front());
}

TEST(CheckIncludes, LetsTheArrowsThrough) {
  EXPECT_THAT(CheckIncludes({
                  {"src/core/a.h",
                   "#include <vector>\n#include <Eigen/Core>\n"
                   "#include \"core/base/error.h\"\n"},
                  {"src/app/a.cc",
                   "#include \"logbook/logbook.h\"\n"
                   "#include <toml++/toml.h>\n"},
                  {"src/core/a_test.cc",
                   "#include <gtest/gtest.h>\n"
                   "#include \"tests/support/x.h\"\n"},
              }),
              IsEmpty());
}

TEST(CheckIncludes, FindsAnArrowThatPointsUp) {
  const SourceTree tree = {{"src/core/a.h", "\n#include \"app/rig_file.h\"\n"}};
  EXPECT_THAT(
      Only(CheckIncludes(tree)),
      HasSubstr("src/core/a.h:2: core may not include \"app/rig_file.h\""));
}

TEST(CheckIncludes, FindsASidewaysArrow) {
  const SourceTree tree = {
      {"src/report/a.cc", "#include \"logbook/logbook.h\"\n"}};
  EXPECT_THAT(Only(CheckIncludes(tree)), HasSubstr("report may not include"));
}

TEST(CheckIncludes, FindsALibraryThatIsNotTheModules) {
  const SourceTree tree = {
      {"src/logbook/a.cc", "#include <nlohmann/json.hpp>\n"}};
  EXPECT_THAT(Only(CheckIncludes(tree)),
              HasSubstr("logbook may not include <nlohmann/json.hpp>"));
}

TEST(CheckIncludes, KeepsTestLibrariesAndTestFoldersOutOfTheProgram) {
  EXPECT_EQ(CheckIncludes({{"src/core/a.cc",
                            "#include <gtest/gtest.h>\n"
                            "#include \"tests/x.h\"\n"}})
                .size(),
            2U);
}

TEST(CheckIncludes, WantsPathsFromTheSourceFolder) {
  const SourceTree tree = {{"src/core/rig/a.cc", "#include \"rig.h\"\n"}};
  EXPECT_THAT(Only(CheckIncludes(tree)), HasSubstr("is not a path from src/"));
}

TEST(CheckIncludes, FindsAFileThatBelongsNowhere) {
  EXPECT_THAT(Only(CheckIncludes({{"src/misc/a.h", ""}})),
              HasSubstr("belongs to no module"));
}

TEST(CheckIncludes, KeepsFirmwareFreeOfEverythingButItself) {
  EXPECT_THAT(CheckIncludes({{"wire/a.c", "#include <stdint.h>\n"},
                             {"wire/a_test.cc", "#include <gtest/gtest.h>\n"},
                             {"firmware/a.c", "#include \"wire/a.h\"\n"},
                             {"firmware/avr/main.c", "#include <avr/io.h>\n"}}),
              IsEmpty());
  EXPECT_THAT(Only(CheckIncludes({{"wire/a.c", "#include <string.h>\n"}})),
              HasSubstr("may not include <string.h>"));
  EXPECT_THAT(
      Only(CheckIncludes({{"wire/a.c", "#include \"firmware/a.h\"\n"}})),
      HasSubstr("may not include \"firmware/a.h\""));
}

TEST(CheckCoreIsPure, FindsHeadersOfTheOutsideWorld) {
  for (const char* header : {"fstream", "iostream", "thread", "mutex", "chrono",
                             "locale", "filesystem", "sstream"}) {
    const SourceTree tree = {
        {"src/core/a.cc", std::string("#include <") + header + ">\n"}};
    EXPECT_THAT(Only(CheckCoreIsPure(tree)), HasSubstr(header));
  }
}

TEST(CheckCoreIsPure, FindsClocksAndRandomDevicesByName) {
  const SourceTree tree = {
      {"src/core/a.cc", "// steady_clock\nauto d = std::random_device{}();\n"}};
  EXPECT_THAT(Only(CheckCoreIsPure(tree)),
              HasSubstr("src/core/a.cc:2: random_device"));
}

TEST(CheckCoreIsPure, LeavesTestsAndOtherModulesAlone) {
  EXPECT_THAT(CheckCoreIsPure({{"src/core/a_test.cc", "#include <fstream>\n"},
                               {"src/device/a.cc", "#include <thread>\n"},
                               {"src/core/b.cc", "#include <random>\n"}}),
              IsEmpty());
}

TEST(CheckNoLocaleNumbers, FindsThemInEveryModule) {
  EXPECT_THAT(Only(CheckNoLocaleNumbers({{"src/cli/a.cc", "std::stod(s);\n"}})),
              HasSubstr("src/cli/a.cc:1: stod"));
  EXPECT_THAT(CheckNoLocaleNumbers({{"src/cli/a.cc", "// std::stod\n"}}),
              IsEmpty());
}

TEST(CheckNoLocaleNumbers, TellsRealNumbersFromWholeOnes) {
  EXPECT_THAT(Only(CheckNoLocaleNumbers(
                  {{"src/cli/a.cc", "snprintf(b, n,\n \"%8.3f\", x);\n"}})),
              HasSubstr("src/cli/a.cc:1: snprintf of a real number"));
  EXPECT_THAT(CheckNoLocaleNumbers(
                  {{"src/cli/a.cc",
                    "snprintf(b, n, \"%02d:%02d\", m, s); f(\"%f\");\n"}}),
              IsEmpty());
}

const char* const kRoot = "add_subdirectory(src/core)";

TEST(CheckEverySourceIsBuilt, FindsATestThatIsOnlyCommented) {
  const SourceTree tree = {
      {"CMakeLists.txt", kRoot},
      {"src/core/CMakeLists.txt", "masseter_test(t SOURCES # a_test.cc\n)"},
      {"src/core/a_test.cc", ""}};
  EXPECT_THAT(Only(CheckEverySourceIsBuilt(tree)),
              HasSubstr("src/core/a_test.cc:0: no CMakeLists.txt"));
}

TEST(CheckEverySourceIsBuilt, IsNotFooledByALongerName) {
  const SourceTree tree = {
      {"CMakeLists.txt", kRoot},
      {"src/core/CMakeLists.txt", "x(SOURCES extra_test.cc rig/a_test.cc)"},
      {"src/core/a_test.cc", ""}};
  EXPECT_THAT(Only(CheckEverySourceIsBuilt(tree)),
              HasSubstr("src/core/a_test.cc"));
}

TEST(CheckEverySourceIsBuilt, FindsAFolderThatTheBuildNeverEnters) {
  const SourceTree tree = {
      {"CMakeLists.txt", kRoot},
      {"src/core/CMakeLists.txt", "# add_subdirectory(rig)\n"},
      {"src/core/rig/CMakeLists.txt", "x(SOURCES a_test.cc)"},
      {"src/core/rig/a_test.cc", ""}};
  EXPECT_THAT(Only(CheckEverySourceIsBuilt(tree)),
              HasSubstr("src/core/rig/CMakeLists.txt:0"));
}

TEST(CheckEverySourceIsBuilt, SeesTheFolderItselfAndTheOnesAbove) {
  EXPECT_THAT(
      CheckEverySourceIsBuilt({
          {"CMakeLists.txt", kRoot},
          {"src/core/CMakeLists.txt",
           "masseter_module(core SOURCES\n  rig/a.cc)\n"
           "add_subdirectory(rig)\n"},
          {"src/core/rig/CMakeLists.txt",
           "target_sources(c PRIVATE ${CMAKE_CURRENT_SOURCE_DIR}/b.cc)\n"
           "masseter_test(t SOURCES a_test.cc)\n"},
          {"src/core/rig/a.cc", ""},
          {"src/core/rig/b.cc", ""},
          {"src/core/rig/a_test.cc", ""},
          {"src/core/rig/a.h", ""},
      }),
      IsEmpty());
}

TEST(CheckEverySourceIsBuilt, FindsASourceOutsideTheBuild) {
  EXPECT_THAT(Only(CheckEverySourceIsBuilt({{"src/core/lost.cc", ""}})),
              HasSubstr("src/core/lost.cc"));
}

TEST(CheckEveryWebTestRuns, FindsTestsWhereNobodyLooks) {
  for (const char* path : {"web/src/a.test.ts", "web/test/a.test.tsx",
                           "web/test/deep/a.test.ts", "web/test/a.spec.ts"}) {
    EXPECT_THAT(Only(CheckEveryWebTestRuns({{path, ""}})), HasSubstr(path));
  }
  for (const char* names : {"test", "{ test }", "{ before, it }", "* as t"}) {
    EXPECT_THAT(Only(CheckEveryWebTestRuns(
                    {{"web/test/a.ts",
                      "import type { A } from \"a\";\nimport " +
                          std::string(names) + " from \"node:test\";\n"}})),
                HasSubstr("web/test/a.ts"))
        << names;
  }
  EXPECT_THAT(CheckEveryWebTestRuns({{"web/test/a.test.ts", ""},
                                     {"web/test/a.browser.ts", ""},
                                     {"web/test/fake_page.ts", ""},
                                     {"web/test/stage.ts",
                                      "import { afterEach, before } from "
                                      "\"node:test\";\n"},
                                     {"web/src/a.ts", ""}}),
              IsEmpty());
}

TEST(CheckNoTestIsSwitchedOff, FindsBothLanguages) {
  EXPECT_THAT(Only(CheckNoTestIsSwitchedOff(
                  {{"src/a_test.cc", "\nTEST(A, DISABLED_B) {}\n"}})),
              HasSubstr("src/a_test.cc:2"));
  EXPECT_THAT(Only(CheckNoTestIsSwitchedOff(
                  {{"web/test/a.test.ts", "test.only('a', () => {});\n"}})),
              HasSubstr(".only("));
  EXPECT_THAT(CheckNoTestIsSwitchedOff({{"web/test/a.test.ts", "test('a')"}}),
              IsEmpty());
}

TEST(CheckRoomsAreSmall, AllowsTheLastLineAndNoMore) {
  const std::string full(kMostLines, '\n');
  EXPECT_THAT(CheckRoomsAreSmall({{"src/core/a.cc", full},
                                  {"web/src/style.css", full + full}}),
              IsEmpty());
  EXPECT_THAT(Only(CheckRoomsAreSmall({{"web/src/a.ts", full + "\n"}})),
              HasSubstr("web/src/a.ts:551"));
}

TEST(CheckHeaderGuards, WantsTheNameOfThePath) {
  EXPECT_THAT(
      CheckHeaderGuards({{"src/core/rig/rig.h",
                          "// x\n#ifndef MASSETER_CORE_RIG_RIG_H_\n"
                          "#define MASSETER_CORE_RIG_RIG_H_\n#endif\n"}}),
      IsEmpty());
  EXPECT_THAT(
      Only(CheckHeaderGuards(
          {{"src/core/rig/rig.h", "#ifndef RIG_H\n#define RIG_H\n#endif\n"}})),
      HasSubstr("MASSETER_CORE_RIG_RIG_H_"));
}

}  // namespace
}  // namespace masseter::architecture
