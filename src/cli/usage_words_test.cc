#include "cli/usage_words.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <clocale>

namespace masseter::cli {
namespace {

// What is said of `masseter WORDS`, for a program of two commands.
std::string Said(std::vector<std::string> words) {
  CLI::App app("", "masseter");
  double hold = 0.0;
  int bite = 0;
  std::string book;
  std::string from;
  CLI::App* live = app.add_subcommand("live", "");
  live->add_option("BOOK", book)->required();
  live->add_option("--from", from)->required();
  live->add_option("--response", book)->check(OneOf({"linear", "log"}));
  live->add_option("--hold", hold)->check(Between(0.5, 16000.0));
  CLI::App* amend = app.add_subcommand("amend", "");
  amend->add_option("BITE", bite);
  app.require_subcommand(0, 1);
  std::reverse(words.begin(), words.end());  // as CLI11 takes them
  try {
    app.parse(words);
  } catch (const CLI::ParseError& error) {
    return UsageWords(app, error);
  }
  return "";
}

// The program never leaves the C locale, by which CLI11 reads numbers.
class UsageSentence : public testing::Test {
 protected:
  void SetUp() override { std::setlocale(LC_NUMERIC, "C"); }
  void TearDown() override { std::setlocale(LC_NUMERIC, before_.c_str()); }

 private:
  std::string before_ = std::setlocale(LC_NUMERIC, nullptr);
};

TEST_F(UsageSentence, NameAMisspeltCommandAndOption) {
  EXPECT_EQ(
      Said({"lvie", "day.book"}),
      "there is no command lvie; did you mean live (see masseter --help)");
  EXPECT_EQ(Said({"qqq"}), "there is no command qqq (see masseter --help)");
  EXPECT_EQ(Said({"live", "day.book", "--form", "tcp:1"}),
            "live has no option --form; did you mean --from (see masseter live "
            "--help)");
  EXPECT_EQ(Said({"live", "day.book", "--from=x", "--xyz=1"}),
            "live has no option --xyz=1 (see masseter live --help)");
  EXPECT_EQ(Said({"--book", "live"}),
            "there is no option --book (see masseter --help)");
}

TEST_F(UsageSentence, NameWhatIsMissingOrTooMuch) {
  EXPECT_EQ(Said({"live", "day.book"}),
            "--from is required (see masseter live --help)");
  EXPECT_EQ(Said({"live", "day.book", "--from"}),
            "--from wants a value behind it (see masseter live --help)");
  EXPECT_EQ(Said({"live", "a", "b", "--from", "x"}),
            "\"b\" is one word too many for live (see masseter live --help)");
}

TEST_F(UsageSentence, NameAValueThatIsNone) {
  EXPECT_EQ(Said({"amend", "x"}),
            "BITE: is not a number: \"x\" (see masseter amend --help)");
  EXPECT_EQ(Said({"amend", "1.5"}),
            "BITE: is not a whole number: \"1.5\" (see masseter amend --help)");
  EXPECT_EQ(Said({"live", "a", "--from", "x", "--hold", "0"}),
            "--hold: must lie between 0.5 and 16000, not 0 (see masseter live "
            "--help)");
  EXPECT_EQ(Said({"live", "a", "--from", "x", "--hold", "much"}),
            "--hold: is not a number: \"much\" (see masseter live --help)");
  EXPECT_EQ(Said({"live", "a", "--from", "x", "--response", "lin"}),
            "--response: must be linear or log, not \"lin\" (see masseter live "
            "--help)");
  EXPECT_EQ(Said({"live", "a", "--from", "x", "--hold", "0.5"}), "");
}

TEST(Nearest, TakesTheFewestLettersAndNoGuessOfShortWords) {
  EXPECT_EQ(Nearest("calibrat", {"calibrations", "calibrate"}), "calibrate");
  EXPECT_EQ(Nearest("xx", {"a", "xyz"}), "");
  EXPECT_EQ(Nearest("", {"a"}), "");
}

}  // namespace
}  // namespace masseter::cli
