// The rules of ARCHITECTURE.md against this tree.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/architecture/rules.h"

namespace masseter::architecture {
namespace {

using testing::IsEmpty;

const SourceTree& ThisTree() {
  static const SourceTree tree = ReadSourceTree(MASSETER_SOURCE_DIR);
  return tree;
}

TEST(Architecture, IncludesFollowTheArrows) {
  EXPECT_THAT(CheckIncludes(ThisTree()), IsEmpty());
}

TEST(Architecture, CoreIsPure) {
  EXPECT_THAT(CheckCoreIsPure(ThisTree()), IsEmpty());
}

TEST(Architecture, NumbersDoNotFollowTheLocale) {
  EXPECT_THAT(CheckNoLocaleNumbers(ThisTree()), IsEmpty());
}

TEST(Architecture, EverySourceAndEveryTestIsBuilt) {
  EXPECT_THAT(CheckEverySourceIsBuilt(ThisTree()), IsEmpty());
}

TEST(Architecture, EveryTestOfThePageIsRun) {
  EXPECT_THAT(CheckEveryWebTestRuns(ThisTree()), IsEmpty());
}

TEST(Architecture, NoTestIsSwitchedOff) {
  EXPECT_THAT(CheckNoTestIsSwitchedOff(ThisTree()), IsEmpty());
}

TEST(Architecture, RoomsAreSmall) {
  EXPECT_THAT(CheckRoomsAreSmall(ThisTree()), IsEmpty());
}

TEST(Architecture, HeadersAreGuardedByTheirPath) {
  EXPECT_THAT(CheckHeaderGuards(ThisTree()), IsEmpty());
}

}  // namespace
}  // namespace masseter::architecture
