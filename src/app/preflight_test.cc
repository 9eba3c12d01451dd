#include "app/preflight.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace masseter {
namespace {

using ::testing::HasSubstr;

constexpr double kNoon = 1.8e9;  // after kProgramUnixS
constexpr double kDayS = 86400.0;

Rig FourCells() {
  Rig rig;
  rig.sample_rate_hz = 1000.0;
  rig.supply_minimum_mv = 3400.0;
  for (const char* name : {"c1", "c2"}) {
    Channel channel;
    channel.name = name;
    rig.channels.push_back(channel);
  }
  return rig;
}

HealthLine Line(const std::string& what, HealthLevel level,
                const std::string& found,
                std::optional<double> value = std::nullopt,
                const std::string& advice = "") {
  HealthLine line;
  line.what = what;
  line.level = level;
  line.found = found;
  line.value = value;
  line.advice = advice;
  return line;
}

SleeveFacts Healthy() {
  SleeveFacts f;
  f.sleeve = 1;
  f.begun = true;
  f.silence_s = 0.02;
  f.frame = FrameView{};
  f.frame->zero = ZeroState::kFollowed;
  CaptureHealth h;
  h.lines = {Line("rate", HealthLevel::kGo, "1000.0 samples a second"),
             Line("clock", HealthLevel::kGo, "steps scatter by 0.1 %"),
             Line("losses", HealthLevel::kGo, "none"),
             Line("restarts", HealthLevel::kGo, "none"),
             Line("supply", HealthLevel::kGo, "lowest 3912 mV", 3912.0),
             Line("c1", HealthLevel::kGo, "moves, no jumps"),
             Line("c2", HealthLevel::kGo, "moves, no jumps"),
             Line("noise of c1", HealthLevel::kGo, "0.03 N a sample", 0.03),
             Line("noise of c2", HealthLevel::kGo, "0.05 N a sample", 0.05)};
  f.health = h;
  f.wander = ZeroWander{0.4, 5.0, true, 10.0};
  return f;
}

StageItem Of(const SleeveFacts& facts, const std::string& what) {
  for (const StageItem& item : SleeveItems(facts, FourCells())) {
    if (item.what == what) return item;
  }
  return {};
}

void Set(SleeveFacts& facts, const HealthLine& line) {
  for (HealthLine& l : facts.health->lines) {
    if (l.what == line.what) l = line;
  }
}

TEST(SleeveItems, OfAHealthySleeveAreOkAndSayHowMuch) {
  for (const StageItem& item : SleeveItems(Healthy(), FourCells())) {
    EXPECT_EQ(item.state, "ok") << item.what << ": " << item.text;
    EXPECT_EQ(item.sleeve, 1);
  }
  EXPECT_EQ(Of(Healthy(), "supply").text, "3912 mV; the sleeve needs 3400 mV");
  EXPECT_EQ(Of(Healthy(), "noise").text, "at most 0.05 N a sample, of c2");
  EXPECT_EQ(Of(Healthy(), "zero").text, "found; it moved by 0.40 N in 10 s");
}

TEST(SleeveItems, WaitForTheFirstSecondsOfSamples) {
  SleeveFacts f = Healthy();
  f.health.reset();
  f.wander.reset();
  for (const StageItem& item : SleeveItems(f, FourCells())) {
    EXPECT_EQ(item.state, "waiting") << item.what;
  }
  f.begun = false;
  const auto items = SleeveItems(f, FourCells());
  ASSERT_EQ(items.size(), 1U);
  EXPECT_EQ(items[0].what, "link");
  EXPECT_EQ(items[0].state, "waiting");
}

TEST(SleeveItems, TellALostOrSilentLink) {
  SleeveFacts f = Healthy();
  f.silence_s = 2.0;
  EXPECT_EQ(Of(f, "link").state, "look");
  f.silence_s = 7.0;
  EXPECT_EQ(Of(f, "link").state, "bad");
  EXPECT_THAT(Of(f, "link").text, HasSubstr("7 s"));
  f.lost = true;
  EXPECT_EQ(Of(f, "link").state, "bad");
  EXPECT_EQ(Of(f, "supply").what, "");  // nothing else is known
}

TEST(SleeveItems, SayWhatIsWrongAndWhatToDo) {
  SleeveFacts f = Healthy();
  Set(f, Line("losses", HealthLevel::kNoGo, "400 samples missing", 4.0,
              "bring the receiver nearer"));
  Set(f, Line("supply", HealthLevel::kNoGo, "lowest 3310 mV", 3310.0,
              "charge the battery"));
  Set(f, Line("clock", HealthLevel::kWatch, "steps scatter by 12 %", 12.0,
              "print the time of the conversion"));
  Set(f, Line("c1", HealthLevel::kNoGo, "does not move at all", 0.0,
              "reseat the plug of c1"));
  f.wander->wander = 7.0;
  EXPECT_EQ(Of(f, "link").state, "bad");
  EXPECT_EQ(Of(f, "link").text,
            "400 samples missing; bring the receiver nearer");
  EXPECT_EQ(Of(f, "supply").state, "bad");
  EXPECT_EQ(Of(f, "supply").text,
            "3310 mV; the sleeve needs 3400 mV; charge the battery");
  EXPECT_EQ(Of(f, "rate").state, "look");
  EXPECT_EQ(Of(f, "noise").state, "bad");
  EXPECT_EQ(Of(f, "noise").text,
            "c1: does not move at all; reseat the plug of c1");
  EXPECT_EQ(Of(f, "zero").state, "look");
}

TEST(SleeveItems, TenSamplesASecondAreToLookAt) {
  SleeveFacts f = Healthy();
  f.health->lines.push_back(Line("strike", HealthLevel::kWatch,
                                 "a strike may pass between two samples", 10.0,
                                 "sample faster"));
  EXPECT_EQ(Of(f, "rate").state, "look");
  EXPECT_EQ(Of(f, "rate").text,
            "a strike may pass between two samples; sample faster");
}

TEST(SleeveItems, ASupplyThatNobodyTellsIsUnknown) {
  SleeveFacts f = Healthy();
  Set(f, Line("supply", HealthLevel::kGo, "not printed"));
  EXPECT_EQ(Of(f, "supply").state, "unknown");
  Rig rig = FourCells();
  rig.supply_minimum_mv.reset();
  const auto items = SleeveItems(Healthy(), rig);
  EXPECT_EQ(items[1].what, "supply");
  EXPECT_EQ(items[1].state, "unknown");
}

TEST(SleeveItems, AZeroUnderLoadIsNotJudged) {
  SleeveFacts f = Healthy();
  f.frame->active = true;
  EXPECT_EQ(Of(f, "zero").state, "waiting");
  f.frame->zero = ZeroState::kWait;
  EXPECT_EQ(Of(f, "zero").state, "waiting");
  f.frame->active = false;
  f.frame->zero = ZeroState::kMoved;
  EXPECT_EQ(Of(f, "zero").state, "look");
}

TEST(SleeveItems, AClockThatRunsOffIsToldOnly) {
  SleeveFacts f = Healthy();
  f.clocks = JoinedClocks{0.0, 0.0, 80.0, 0.0};
  EXPECT_EQ(Of(f, "clock").what, "");
  f.clocks->drift_ppm = -2500.0;
  EXPECT_EQ(Of(f, "clock").state, "look");
  EXPECT_THAT(Of(f, "clock").text, HasSubstr("0.25 % fast"));
}

BookFacts Calibrated(double age_s) {
  BookFacts book;
  book.calibrated = true;
  book.expanded_relative_u95 = 0.006;
  book.force_low_n = 49.0;
  book.force_high_n = 589.0;
  book.validity = Validity{};
  book.validity->calibrated_unix_s = kNoon - age_s;
  book.validity->calibration_for_s = 30.0 * kDayS;
  return book;
}

TEST(CalibrationItem, LooksAtTheAgeLimit) {
  EXPECT_EQ(CalibrationItem({}, kNoon).state, "look");
  const StageItem good = CalibrationItem(Calibrated(12.0 * kDayS), kNoon);
  EXPECT_EQ(good.state, "ok");
  EXPECT_EQ(good.text, "12 days old, 0.6 % of the force, 49 N to 589 N");
  const StageItem old = CalibrationItem(Calibrated(40.0 * kDayS), kNoon);
  EXPECT_EQ(old.state, "look");
  EXPECT_THAT(old.text, HasSubstr("it holds for 30 days"));
}

TEST(LoadItem, GoesFromAskingToJudged) {
  const BookFacts book = Calibrated(kDayS);
  LoadFacts load;
  EXPECT_EQ(LoadItem(load, {}).state, "unknown");
  EXPECT_EQ(LoadItem(load, book).state, "todo");
  load.waiting = true;
  EXPECT_EQ(LoadItem(load, book).state, "waiting");
  load.waiting = false;
  load.taken = LoadTaken{20.0, 195.9, 1.9, -0.3, 2.0, true, 1};
  EXPECT_EQ(LoadItem(load, book).state, "ok");
  EXPECT_EQ(LoadItem(load, book).sleeve, 1);
  EXPECT_EQ(LoadItem(load, book).text,
            "20 kg read 195.9 ± 1.9 N, 0.3 N too little; 2.0 N are allowed");
  load.taken->within = false;
  EXPECT_EQ(LoadItem(load, book).state, "bad");
  load.why_not = "no load was seen";
  EXPECT_EQ(LoadItem(load, book).state, "todo");
}

TEST(DiskItem, TellsTheHoursThatAreLeft) {
  HostFacts host;
  EXPECT_EQ(DiskItem(host).state, "unknown");
  host.free_bytes = 40e9;
  host.bytes_per_s = 1e5;
  EXPECT_EQ(DiskItem(host).state, "ok");
  host.free_bytes = 1.8e9;  // 5 hours
  EXPECT_EQ(DiskItem(host).state, "look");
  EXPECT_EQ(DiskItem(host).text, "1.8 GB are free, 5.0 hours at this rate");
  host.free_bytes = 0.36e9;  // 1 hour
  EXPECT_EQ(DiskItem(host).state, "bad");
  host.free_bytes = 40e6;
  host.bytes_per_s = 1.0;
  EXPECT_EQ(DiskItem(host).state, "bad");
}

TEST(ClockItem, RefusesAClockThatStandsBeforeWhatIsKnown) {
  HostFacts host;
  host.now_unix_s = kNoon;
  EXPECT_EQ(ClockItem(host).state, "ok");
  host.newest_unix_s = kNoon + 30.0;  // set by the network meanwhile
  EXPECT_EQ(ClockItem(host).state, "ok");
  host.newest_unix_s = kNoon + 3600.0;
  EXPECT_EQ(ClockItem(host).state, "bad");
  host.newest_unix_s = 0.0;
  host.now_unix_s = 1000.0;  // 1970: no battery behind the clock
  EXPECT_EQ(ClockItem(host).state, "bad");
  host.now_unix_s = kNoon;
  host.newest_unix_s = kNoon - 6.0 * 365.0 * kDayS;
  EXPECT_EQ(ClockItem(host).state, "look");
}

TEST(Cautions, NameDogsCellsAndWhoHasTheLastWord) {
  const auto& before = CautionsOf("before");
  ASSERT_EQ(before.size(), 4U);
  EXPECT_THAT(before[0], HasSubstr("veterinarian"));
  EXPECT_THAT(before[2], HasSubstr("Lithium"));
  EXPECT_THAT(before[3], HasSubstr("they are right"));
  EXPECT_FALSE(CautionsOf("after").empty());
  EXPECT_TRUE(CautionsOf("none").empty());
}

}  // namespace
}  // namespace masseter
