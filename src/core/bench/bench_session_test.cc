#include "core/bench/bench_session.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/metrology/readings.h"

namespace masseter {
namespace {

LoadPlan SmallPlan() {
  LoadPlan plan;
  plan.places = {{0, 0}};
  plan.loads = {5, 10};
  plan.series = 1;
  plan.falling = true;
  return plan;
}

// Plays a still load with a little made-up noise until a reading is taken.
std::optional<BenchReading> Hold(BenchSession& session, double level,
                                 double& clock, double wobble = 1.0) {
  for (int i = 0; i < 5000; ++i) {
    clock += 0.002;
    const double noise = wobble * std::sin(1.7 * i) * std::cos(0.9 * i * i);
    const auto taken = session.Add(
        clock, std::vector<double>{level + noise, 2.0 * level - noise}, false,
        20.0);
    if (taken) return taken;
  }
  return std::nullopt;
}

TEST(BenchSession, AsksLoadAfterLoadUntilThePlanIsDone) {
  BenchSession session(SmallPlan(), 2, {});
  double clock = 0.0;
  const double loads[] = {0, 5, 10, 5, 0};
  for (const double load : loads) {
    ASSERT_EQ(session.state(), BenchState::kAsking);
    EXPECT_EQ(session.steps()[*session.asked()].load, load);
    EXPECT_FALSE(Hold(session, 1.0, clock)) << "before the load is placed";
    session.Placed();
    const auto taken = Hold(session, 100.0 * load, clock);
    ASSERT_TRUE(taken);
    EXPECT_NEAR(taken->value.mean[0], 100.0 * load, 0.5);
    EXPECT_GE(taken->value.waited_s, 2.0);
  }
  EXPECT_EQ(session.state(), BenchState::kDone);
  EXPECT_EQ(session.read_count(), 5U);
  EXPECT_FALSE(session.asked());
}

TEST(BenchSession, StruckReadingStaysAndItsStepIsAskedAgain) {
  BenchSession session(SmallPlan(), 2, {});
  double clock = 0.0;
  for (int i = 0; i < 2; ++i) {
    session.Placed();
    ASSERT_TRUE(Hold(session, 500.0 * i, clock));
  }
  EXPECT_FALSE(session.Strike(2, "")) << "a reason is needed";
  EXPECT_FALSE(session.Strike(9, "no such reading"));
  ASSERT_TRUE(session.Strike(2, "the weight leaned on the frame"));
  EXPECT_EQ(*session.asked(), 1U);
  EXPECT_EQ(session.readings().size(), 2U);
  EXPECT_EQ(session.readings()[1].struck, "the weight leaned on the frame");
  EXPECT_FALSE(session.Strike(2, "again"));
  session.Placed();
  const auto taken = Hold(session, 510.0, clock);
  ASSERT_TRUE(taken);
  EXPECT_EQ(taken->number, 3);
  EXPECT_EQ(taken->step, 1U);
}

TEST(BenchSession, GoesOnWhereItStoppedFromWhatHappened) {
  BenchSession first(SmallPlan(), 2, {});
  double clock = 0.0;
  for (int i = 0; i < 3; ++i) {
    first.Placed();
    ASSERT_TRUE(Hold(first, 500.0 * i, clock));
  }
  first.Strike(3, "bumped");
  first.Skip();
  BenchSession second(SmallPlan(), 2, {});
  for (BenchReading r : first.readings()) {
    r.struck.clear();
    second.Restore(r);
  }
  second.RestoreStrike(3, "bumped", true);
  second.RestoreSkip(2);
  EXPECT_EQ(second.asked(), first.asked());
  EXPECT_EQ(*second.asked(), 3U);
  EXPECT_EQ(second.read_count(), 2U);
  EXPECT_EQ(ReadingsCsv(second, {"a", "b"}), ReadingsCsv(first, {"a", "b"}));
}

TEST(BenchSession, LosesPatienceAndTakesWhatThereIsAtAWord) {
  SettleRule rule;
  rule.patience_s = 5.0;
  BenchSession session(SmallPlan(), 2, rule);
  session.Placed();
  double clock = 0.0;
  EXPECT_FALSE(session.TakeAsItIs()) << "no window yet";
  for (int i = 0; i < 3000; ++i) {
    clock += 0.002;
    const double swing = 50.0 * std::sin(6.0 * clock);
    ASSERT_FALSE(session.Add(clock, std::vector<double>{swing, swing}, false,
                             std::nullopt));
  }
  EXPECT_EQ(session.state(), BenchState::kImpatient);
  const auto taken = session.TakeAsItIs();
  ASSERT_TRUE(taken);
  EXPECT_FALSE(taken->value.settled);
}

TEST(BenchSession, ReadingsAreAFileThatTheReaderOfReadingsTakes) {
  BenchSession session(SmallPlan(), 2, {});
  double clock = 0.0;
  for (const double load : {0.0, 5.0, 10.0, 5.0, 0.0}) {
    session.Placed();
    ASSERT_TRUE(Hold(session, 100.0 * load, clock));
  }
  ASSERT_TRUE(session.Strike(2, "first\nline"));
  session.Placed();
  ASSERT_TRUE(Hold(session, 501.0, clock));
  Rig rig;
  rig.channels.resize(2);
  rig.channels[0].name = "a";
  rig.channels[1].name = "b";
  const std::string csv = ReadingsCsv(session, {"a", "b"});
  const auto table = ParseReadings(csv, "readings.csv", rig);
  ASSERT_TRUE(table) << table.error().Text();
  ASSERT_EQ(table->rows.size(), 5U);
  EXPECT_TRUE(table->by_mass);
  EXPECT_EQ(table->rows[1].mass_kg, 5.0);
  EXPECT_NEAR(table->rows[1].signal[0], 501.0, 0.5);
  EXPECT_TRUE(table->rows[1].rising);
  EXPECT_FALSE(table->rows[3].rising);
  EXPECT_EQ(table->rows[4].temp_c, 20.0);
}

}  // namespace
}  // namespace masseter
