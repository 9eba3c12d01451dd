#include "pages/door.h"

#include <gtest/gtest.h>

#include <vector>

namespace masseter {
namespace {

const AccessCodes kCodes{"K7QF3M2XPD", "9RSTVWXYZ0"};
constexpr const char* kHere = "192.0.2.7";

SteadyTime At(double seconds) {
  return SteadyTime(
      std::chrono::duration_cast<SteadyTime::duration>(Seconds(seconds)));
}

TEST(Door, OpensToEachCodeInItsRole) {
  Door door(kCodes);
  const Door::Answer operates = door.Enter("k7qf3-m2xpd", kHere, At(1.0));
  ASSERT_EQ(operates.verdict, Door::Verdict::kIn);
  EXPECT_EQ(operates.role, PageRole::kOperator);
  EXPECT_EQ(door.RoleOf(operates.token), PageRole::kOperator);
  const Door::Answer looks = door.Enter("9RSTV WXYZO", kHere, At(1.0));
  ASSERT_EQ(looks.verdict, Door::Verdict::kIn);
  EXPECT_EQ(looks.role, PageRole::kOnlooker);
  EXPECT_EQ(door.RoleOf(looks.token), PageRole::kOnlooker);
  EXPECT_NE(looks.token, operates.token);
}

TEST(Door, OpensToNothingElse) {
  Door door(kCodes);
  double t = 0.0;
  for (const char* typed : {"", "K7QF3M2XP", "K7QF3M2XPDD", "K7QF3M2XPE",
                            "K7QF3M2XPD9RSTVWXYZ0", "operator", "\xff\xfe"}) {
    const Door::Answer answer = door.Enter(typed, kHere, At(t += 100.0));
    EXPECT_EQ(answer.verdict, Door::Verdict::kWrong) << typed;
    EXPECT_EQ(answer.token, "");
  }
  EXPECT_FALSE(door.RoleOf(""));
  EXPECT_FALSE(door.RoleOf("K7QF3M2XPD"));
  EXPECT_FALSE(door.RoleOf(std::string(64, '0')));
}

TEST(Door, KnowsNoTokenOfAnother) {
  Door one(kCodes);
  const Door other(kCodes);
  const Door::Answer in = one.Enter("K7QF3M2XPD", kHere, At(1.0));
  EXPECT_TRUE(one.RoleOf(in.token));
  EXPECT_FALSE(other.RoleOf(in.token));
}

TEST(Door, LooksAtNoCodeAfterTooManyWrongOnes) {
  Door door(kCodes);
  const std::string before = door.Enter("K7QF3M2XPD", kHere, At(0.0)).token;
  for (int i = 0; i < 5; ++i) {
    EXPECT_EQ(door.Enter("WRONG", kHere, At(0.0)).verdict,
              Door::Verdict::kWrong);
  }
  // Now even the right one must wait, or it would tell itself by its answer.
  const Door::Answer answer = door.Enter("K7QF3M2XPD", kHere, At(0.0));
  EXPECT_EQ(answer.verdict, Door::Verdict::kWait);
  EXPECT_NEAR(answer.wait.count(), 2.0, 1e-9);
  // Who is in stays in; others come in; in time this one does too.
  EXPECT_EQ(door.RoleOf(before), PageRole::kOperator);
  EXPECT_EQ(door.Enter("K7QF3M2XPD", "192.0.2.8", At(0.0)).verdict,
            Door::Verdict::kIn);
  EXPECT_EQ(door.Enter("K7QF3M2XPD", kHere, At(2.0)).verdict,
            Door::Verdict::kIn);
}

TEST(Door, DropsTheOldestOfARoleAndNoneOfTheOther) {
  Door door(kCodes);
  const std::string first = door.Enter("K7QF3M2XPD", kHere, At(0.0)).token;
  std::vector<std::string> looking;
  for (std::size_t i = 0; i < Door::kOnlookerSessions + 1; ++i) {
    looking.push_back(door.Enter("9RSTVWXYZ0", kHere, At(0.0)).token);
  }
  EXPECT_FALSE(door.RoleOf(looking[0]));
  EXPECT_TRUE(door.RoleOf(looking[1]));
  EXPECT_TRUE(door.RoleOf(looking.back()));
  EXPECT_TRUE(door.RoleOf(first));
  for (std::size_t i = 0; i < Door::kOperatorSessions; ++i) {
    door.Enter("K7QF3M2XPD", kHere, At(0.0));
  }
  EXPECT_FALSE(door.RoleOf(first));
}

}  // namespace
}  // namespace masseter
