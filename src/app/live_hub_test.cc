#include "app/live_hub.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <thread>
#include <vector>

namespace masseter {
namespace {

using ::testing::ElementsAre;
using Text = std::shared_ptr<const std::string>;

LiveHub::Listener Into(std::vector<std::string>& seen) {
  return [&seen](Text text) { seen.push_back(*text); };
}

TEST(LiveHub, BringsALaterPageUpToDateInOrder) {
  LiveHub hub;
  hub.Publish("bite:10", "ten");
  hub.Publish("now", "now");
  hub.Publish("bite:9", "nine");
  hub.Publish("", "forgotten");
  hub.Publish("now:1", "second now");
  hub.Publish("trace:1", "second trace");
  hub.Publish("trace", "trace");
  hub.Publish("hello", "hello");
  std::vector<std::string> seen;
  hub.Subscribe(Into(seen));
  EXPECT_THAT(seen, ElementsAre("hello", "trace", "second trace", "now",
                                "second now", "nine", "ten"));
}

TEST(LiveHub, BringsTheSleevesInTheirOrder) {
  LiveHub hub;
  for (const int sleeve : {10, 2, 0}) {
    hub.Publish(SleeveKey("now", sleeve), "now " + std::to_string(sleeve));
    hub.Publish(SleeveKey("trace", sleeve), "trace " + std::to_string(sleeve));
  }
  hub.Publish("bite:1", "bite");
  hub.Publish("hello", "hello");
  std::vector<std::string> seen;
  hub.Subscribe(Into(seen));
  EXPECT_THAT(seen, ElementsAre("hello", "trace 0", "trace 2", "trace 10",
                                "now 0", "now 2", "now 10", "bite"));
}

TEST(LiveHub, ReplacesAKeptMessageOfTheSameKey) {
  LiveHub hub;
  hub.Publish("bite:1", "first figure");
  hub.Publish("bite:1", "measured anew");
  std::vector<std::string> seen;
  hub.Subscribe(Into(seen));
  EXPECT_THAT(seen, ElementsAre("measured anew"));
}

TEST(LiveHub, KeepsTheNewestBitesOnly) {
  LiveHub hub;
  const std::size_t all = LiveHub::kMostBites + 20;
  for (std::size_t i = 1; i <= all; ++i) {
    hub.Publish("bite:" + std::to_string(i), std::to_string(i));
  }
  hub.Publish("bite:900", "struck out");
  hub.Publish("now", "now");
  std::vector<std::string> seen;
  hub.Subscribe(Into(seen));
  ASSERT_EQ(seen.size(), LiveHub::kMostBites + 1);
  EXPECT_EQ(seen[0], "now");
  EXPECT_EQ(seen[1], "21");
  EXPECT_EQ(seen.back(), std::to_string(all));
}

TEST(LiveHub, SendsToEveryListenerUntilItLeaves) {
  LiveHub hub;
  std::vector<std::string> one;
  std::vector<std::string> two;
  const std::uint64_t id = hub.Subscribe(Into(one));
  hub.Subscribe(Into(two));
  hub.Publish("", "a");
  hub.Unsubscribe(id);
  hub.Publish("", "b");
  EXPECT_THAT(one, ElementsAre("a"));
  EXPECT_THAT(two, ElementsAre("a", "b"));
}

TEST(LiveHub, KeepsWithoutSending) {
  LiveHub hub;
  std::vector<std::string> early;
  hub.Subscribe(Into(early));
  hub.Keep("trace", "whole");
  std::vector<std::string> late;
  hub.Subscribe(Into(late));
  EXPECT_TRUE(early.empty());
  EXPECT_THAT(late, ElementsAre("whole"));
  EXPECT_EQ(*hub.Kept("trace"), "whole");
  EXPECT_EQ(hub.Kept("hello"), nullptr);
}

TEST(LiveHub, RefusesAnActionWithoutARecorder) {
  LiveHub hub;
  const Expected<void> answer = hub.Act("{}");
  ASSERT_FALSE(answer.has_value());
  EXPECT_EQ(answer.error().Text(), "nothing is being recorded now");
}

TEST(LiveHub, PassesAnActionAndItsRefusal) {
  LiveHub hub;
  std::string got;
  hub.SetActionHandler([&got](const std::string& json) -> Expected<void> {
    got = json;
    return BadInput("", "that dog is not on the roster");
  });
  const Expected<void> answer = hub.Act("{\"type\":\"up\"}");
  EXPECT_EQ(got, "{\"type\":\"up\"}");
  ASSERT_FALSE(answer.has_value());
  EXPECT_EQ(answer.error().what, "that dog is not on the roster");
}

TEST(LiveHub, AHandlerMayPublish) {
  LiveHub hub;
  std::vector<std::string> seen;
  hub.Subscribe(Into(seen));
  hub.SetActionHandler([&hub](const std::string&) -> Expected<void> {
    hub.Publish("hello", "new roster");
    return {};
  });
  EXPECT_TRUE(hub.Act("{}").has_value());
  EXPECT_THAT(seen, ElementsAre("new roster"));
}

TEST(LiveHub, StandsManyThreads) {
  LiveHub hub;
  std::atomic<int> received = 0;
  std::vector<std::thread> threads;
  for (int t = 0; t < 3; ++t) {
    threads.emplace_back([&hub, t] {
      for (int i = 0; i < 200; ++i) hub.Publish("k" + std::to_string(t), "x");
    });
  }
  threads.emplace_back([&hub, &received] {
    for (int i = 0; i < 50; ++i) {
      hub.Unsubscribe(hub.Subscribe([&received](Text) { ++received; }));
    }
  });
  for (std::thread& thread : threads) thread.join();
  int kept = 0;
  hub.Subscribe([&kept](Text) { ++kept; });
  EXPECT_EQ(kept, 3);
}

}  // namespace
}  // namespace masseter
