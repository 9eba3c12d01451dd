#include "tests/architecture/source_tree.h"

#include <gtest/gtest.h>

namespace masseter::architecture {
namespace {

TEST(IncludesOf, SeesQuotesAnglesAndSpaces) {
  const auto includes = IncludesOf(
      "#include \"core/rig/rig.h\"\n"
      "\n"
      "  #  include <vector>  // why\n"
      "// #include <mutex>\n");
  ASSERT_EQ(includes.size(), 2U);
  EXPECT_EQ(includes[0].target, "core/rig/rig.h");
  EXPECT_TRUE(includes[0].quoted);
  EXPECT_EQ(includes[0].line, 1);
  EXPECT_EQ(includes[1].target, "vector");
  EXPECT_FALSE(includes[1].quoted);
  EXPECT_EQ(includes[1].line, 3);
}

TEST(CodeOnly, BlanksCommentsAndLiteralsButKeepsLines) {
  const std::string code = CodeOnly(
      "int a = 1'000;  // printf\n"
      "/* cout\n cout */ char c = '\"';\n"
      "auto s = \"say \\\" printf\"; auto r = R\"x(puts )\" puts)x\"; "
      "rand();\n");
  EXPECT_EQ(code.find("printf"), std::string::npos);
  EXPECT_EQ(code.find("cout"), std::string::npos);
  EXPECT_EQ(code.find("puts"), std::string::npos);
  EXPECT_NE(code.find("1'000;"), std::string::npos);
  ASSERT_EQ(FindWord(code, "rand").size(), 1U);
  EXPECT_EQ(LineAt(code, FindWord(code, "rand")[0]), 4);
}

TEST(FindWord, WantsTheWholeIdentifier) {
  const std::string code = "operand\nstd::rand()\nrandom\nrand";
  const auto found = FindWord(code, "rand");
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(LineAt(code, found[0]), 2);
  EXPECT_EQ(LineAt(code, found[1]), 4);
}

TEST(CountLines, CountsALastLineWithoutItsEnd) {
  EXPECT_EQ(CountLines(""), 0);
  EXPECT_EQ(CountLines("a\nb\n"), 2);
  EXPECT_EQ(CountLines("a\nb"), 2);
}

TEST(CMakeCodeOnly, DropsWhatIsCommentedOut) {
  EXPECT_EQ(CMakeCodeOnly("a_test.cc # b_test.cc\nc"),
            "a_test.cc            \nc");
}

TEST(ReadSourceTree, FindsThisFileAndNoBuildFolder) {
  const SourceTree tree = ReadSourceTree(MASSETER_SOURCE_DIR);
  EXPECT_TRUE(tree.contains("tests/architecture/source_tree_test.cc"));
  EXPECT_TRUE(tree.contains("src/core/CMakeLists.txt"));
  for (const auto& [path, text] : tree) {
    EXPECT_FALSE(StartsWith(path, "build")) << path;
    EXPECT_EQ(path.find("node_modules"), std::string::npos) << path;
  }
}

}  // namespace
}  // namespace masseter::architecture
