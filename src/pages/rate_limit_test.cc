#include "pages/rate_limit.h"

#include <gtest/gtest.h>

namespace masseter {
namespace {

// Injected: seconds after some start.
SteadyTime At(double seconds) {
  return SteadyTime(
      std::chrono::duration_cast<SteadyTime::duration>(Seconds(seconds)));
}

TEST(TokenBucket, GivesSomeAtOnceThenOneAtATime) {
  TokenBucket bucket(3.0, 0.5);
  for (int i = 0; i < 3; ++i) EXPECT_TRUE(bucket.Take(At(10.0)));
  EXPECT_FALSE(bucket.Take(At(10.0)));
  EXPECT_NEAR(bucket.Wait(At(10.0)).count(), 2.0, 1e-9);
  EXPECT_FALSE(bucket.Take(At(11.9)));
  EXPECT_TRUE(bucket.Take(At(12.0)));
  EXPECT_FALSE(bucket.Full(At(12.0)));
  EXPECT_TRUE(bucket.Full(At(30.0)));
  for (int i = 0; i < 3; ++i) EXPECT_TRUE(bucket.Take(At(3600.0)));
  EXPECT_FALSE(bucket.Take(At(3600.0)));
}

TEST(TokenBucket, TakesNoHarmFromATimeThatStandsStill) {
  TokenBucket bucket(1.0, 1.0);
  EXPECT_TRUE(bucket.Take(At(5.0)));
  EXPECT_FALSE(bucket.Take(At(4.0)));
  bucket.GiveBack();
  EXPECT_TRUE(bucket.Take(At(5.0)));
}

TEST(AttemptLimit, LetsNoNetworkTryFasterThanOneIn2Seconds) {
  AttemptLimit limit;
  int taken = 0;
  for (int i = 0; i < 6000; ++i) {  // a minute, a hundred tries a second
    taken += limit.Take("192.0.2.7", At(0.01 * i)).count() == 0.0;
  }
  EXPECT_EQ(taken, 5 + 29);
}

TEST(AttemptLimit, LetsOneNetworkLockOutNoOther) {
  AttemptLimit limit;
  for (int i = 0; i < 100000; ++i) limit.Take("192.0.2.7", At(1e-3 * i));
  EXPECT_GT(limit.Take("192.0.2.7", At(100.0)).count(), 0.0);
  EXPECT_EQ(limit.Take("192.0.2.8", At(100.0)).count(), 0.0);
}

TEST(AttemptLimit, HoldsManyNetworksTogetherToTheCommonRate) {
  AttemptLimit limit;
  int taken = 0;
  for (int i = 0; i < 100000; ++i) {  // ten seconds, each try from elsewhere
    taken += limit.Take(std::to_string(i), At(1e-4 * i)).count() == 0.0;
  }
  EXPECT_LE(taken, 100 + 200);
  EXPECT_GE(taken, 100 + 199);
  EXPECT_LE(limit.networks(), 1024U);
}

TEST(AttemptLimit, DoesNotCountWhatWasRight) {
  AttemptLimit limit;
  for (int i = 0; i < 100; ++i) {
    EXPECT_EQ(limit.Take("192.0.2.7", At(1.0)).count(), 0.0);
    limit.GiveBack("192.0.2.7");
  }
}

TEST(AttemptLimit, RemembersNoMoreNetworksThanItMay) {
  AttemptLimit limit({.burst = 2.0, .per_s = 0.1, .networks = 3});
  for (const char* name : {"a", "b", "c", "d", "e"}) {
    limit.Take(name, At(1.0));
    EXPECT_LE(limit.networks(), 3U);
  }
  // What owes nothing any more goes first.
  limit.Take("f", At(1000.0));
  EXPECT_EQ(limit.networks(), 1U);
}

}  // namespace
}  // namespace masseter
