#include "pages/outbox.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <vector>

namespace masseter {
namespace {

using ::testing::ElementsAre;

Outbox::Text Say(std::string text) {
  return std::make_shared<const std::string>(std::move(text));
}
Outbox::Text Now(int n) {
  return Say("{\"n\":" + std::to_string(n) + ",\"type\":\"now\"}");
}
Outbox::Text Columns(int n) {
  return Say("{\"n\":" + std::to_string(n) +
             ",\"type\":\"trace\",\"whole\":false}");
}
Outbox::Text Whole(int n) {
  return Say("{\"n\":" + std::to_string(n) +
             ",\"type\":\"trace\",\"whole\":true}");
}
Outbox::Text Bite(int n) {
  return Say("{\"n\":" + std::to_string(n) + ",\"type\":\"bite\"}");
}

// "now 3" for each message that comes out.
std::vector<std::string> All(Outbox& outbox) {
  std::vector<std::string> all;
  while (const Outbox::Text text = outbox.Pop()) {
    const std::size_t comma = text->find(',');
    all.push_back(std::string(ReadHead(*text).type) + " " +
                  text->substr(5, comma - 5));
  }
  return all;
}

TEST(ReadHead, FindsTheTopLevelOnly) {
  const MessageHead head = ReadHead(
      R"( { "text":"\"type\":\"no\"}", "bite" : {"type":"no","whole":true},)"
      R"( "spark":[1,null,{"type":"no"}], "whole": true , "type" : "trace"} )");
  EXPECT_EQ(head.type, "trace");
  EXPECT_TRUE(head.whole);
}

TEST(ReadHead, IsSilentOnWhatIsNoMessage) {
  for (const char* text :
       {"", "{", "[]", "{}", "{\"type\"", "{\"type\":", "{\"type\":\"",
        "{\"type\":1}", "{\"a\":[[[", "{\"a\\", "null", "{\"type\" \"now\"}"}) {
    EXPECT_NE(ReadHead(text).type, "now") << text;
    EXPECT_FALSE(ReadHead(text).whole) << text;
  }
}

TEST(Outbox, KeepsTheOrderOfWhatItKeeps) {
  Outbox outbox(10, 1000);
  outbox.Push(Bite(1));
  outbox.Push(Columns(2));
  outbox.Push(Bite(3));
  EXPECT_THAT(All(outbox), ElementsAre("bite 1", "trace 2", "bite 3"));
  EXPECT_FALSE(outbox.TakeBehind());
}

TEST(Outbox, KeepsOnlyTheNewestFigureOfTheMoment) {
  Outbox outbox(10, 1000);
  outbox.Push(Now(1));
  outbox.Push(Bite(2));
  outbox.Push(Now(3));
  EXPECT_THAT(All(outbox), ElementsAre("bite 2", "now 3"));
  // A bench says where it stands in the same way.
  outbox.Push(Say("{\"n\":4,\"type\":\"bench\"}"));
  outbox.Push(Say("{\"n\":5,\"type\":\"bench\"}"));
  EXPECT_THAT(All(outbox), ElementsAre("bench 5"));
}

TEST(Outbox, DropsTheOldestColumnsAndSaysThatItIsBehind) {
  Outbox outbox(2, 1000);
  outbox.Push(Columns(1));
  outbox.Push(Bite(2));
  outbox.Push(Columns(3));
  outbox.Push(Columns(4));
  EXPECT_FALSE(outbox.TakeBehind());  // not before the rest is sent
  EXPECT_THAT(All(outbox), ElementsAre("bite 2", "trace 3", "trace 4"));
  EXPECT_TRUE(outbox.TakeBehind());
  EXPECT_FALSE(outbox.TakeBehind());
}

TEST(Outbox, LetsAWholeTraceReplaceOlderColumns) {
  Outbox outbox(1, 1000);
  outbox.Push(Columns(1));
  outbox.Push(Columns(2));
  outbox.Push(Whole(3));
  outbox.Push(Columns(4));
  EXPECT_THAT(All(outbox), ElementsAre("trace 3", "trace 4"));
  EXPECT_FALSE(outbox.TakeBehind());
}

Outbox::Text OfSleeve(int sleeve, const char* rest) {
  return Say("{\"n\":" + std::to_string(sleeve) +
             ",\"sleeve\":" + std::to_string(sleeve) + rest);
}

TEST(Outbox, KeepsTheSleevesApart) {
  Outbox outbox(10, 1000);
  for (const int sleeve : {0, 1, 0, 1}) {
    outbox.Push(OfSleeve(sleeve, ",\"type\":\"trace\",\"whole\":true}"));
    outbox.Push(OfSleeve(sleeve, ",\"type\":\"now\"}"));
  }
  EXPECT_THAT(All(outbox), ElementsAre("trace 0", "now 0", "trace 1", "now 1"));
}

TEST(Outbox, SaysWhichSleevesItIsBehindWith) {
  Outbox outbox(1, 1000);
  const char* columns = ",\"type\":\"trace\",\"whole\":false}";
  for (const int sleeve : {2, 1, 0}) outbox.Push(OfSleeve(sleeve, columns));
  outbox.Push(OfSleeve(1, ",\"type\":\"trace\",\"whole\":true}"));
  EXPECT_THAT(All(outbox), ElementsAre("trace 0", "trace 1"));
  EXPECT_EQ(outbox.TakeBehind(), 2);
  EXPECT_EQ(outbox.TakeBehind(), std::nullopt);
}

TEST(Outbox, SaysWhenTooMuchWaits) {
  Outbox outbox(10, 60);
  EXPECT_TRUE(outbox.Push(Bite(1)));
  EXPECT_TRUE(outbox.Push(Bite(2)));
  outbox.Pop();
  EXPECT_TRUE(outbox.Push(Bite(3)));
  EXPECT_FALSE(outbox.Push(Bite(4)));
}

}  // namespace
}  // namespace masseter
