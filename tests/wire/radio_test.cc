// What a radio does to a sleeve's frames, and that nothing of it is left in the
// recording as long as the sleeve's ring lasts.
#include "tests/wire/radio.h"

#include <gtest/gtest.h>

#include <numeric>

#include "wire/golden_testing.h"
#include "wire/message.h"

namespace masseter {
namespace {

// How many of the rows [from, ...) of one boot are not the next in turn.
std::size_t Steps(const Radio& radio) {
  std::size_t steps = 0;
  for (std::size_t i = 1; i < radio.rows.size(); ++i) {
    if (radio.rows[i].second != radio.rows[i - 1].second + 1) ++steps;
  }
  return steps;
}

bool Rises(const Radio& radio) {
  for (std::size_t i = 1; i < radio.rows.size(); ++i) {
    if (radio.rows[i].first == radio.rows[i - 1].first &&
        radio.rows[i].second <= radio.rows[i - 1].second) {
      return false;
    }
  }
  return true;
}

void ExpectComplete(const Radio& radio) {
  EXPECT_TRUE(radio.ok);
  ASSERT_FALSE(radio.rows.empty());
  EXPECT_EQ(radio.rows.front().second, 0);
  EXPECT_EQ(radio.rows.size(), radio.sleeve.taken());
  EXPECT_EQ(Steps(radio), 0u);
  EXPECT_EQ(radio.wrong_counts, 0u);
  EXPECT_EQ(radio.intake.window().lost, 0u);
  EXPECT_EQ(radio.timeline.report().gaps, 0u);
  EXPECT_EQ(radio.timeline.report().late, 0u);
}

TEST(Radio, AGoodOneCostsNothing) {
  Radio radio(5000, {});
  ASSERT_TRUE(radio.sleeve.started);
  radio.RunFor(5.0);
  radio.Settle();
  ExpectComplete(radio);
  EXPECT_EQ(radio.intake.window().twice, 0u);
  // 5000 samples in frames of 16, hello, status, goodbye, four
  // acknowledgements a second over eight seconds.
  EXPECT_LT(radio.datagrams, 5000u / 16 + 70);
}

TEST(Radio, LossDuplicationAndReorderingLeaveTheRecordingWhole) {
  for (const std::uint32_t seed : {1u, 2u, 3u, 4u, 5u, 6u}) {
    RadioFaults faults;
    faults.loss = 0.2;
    faults.duplication = 0.05;
    faults.jitter_s = 0.06;  // frames are sent every 16 ms
    Radio radio(5000, faults, seed);
    radio.RunFor(20.0);
    radio.Settle();
    ExpectComplete(radio);
    EXPECT_GT(radio.intake.window().twice, 0u);
    EXPECT_GT(radio.intake.window().recovered, 2000u);
  }
}

TEST(Radio, AGapOfThreeSecondsIsFilledFromARingOfFive) {
  for (const double begin_s : {0.0, 2.0, 2.013}) {
    RadioFaults faults;
    faults.gap_begin_s = begin_s;
    faults.gap_end_s = begin_s + 3.0;
    Radio radio(5000, faults);
    radio.RunFor(8.0);
    radio.Settle();
    if (begin_s > 0.0) {
      ExpectComplete(radio);
    } else {
      // Nothing was heard before: the first second back is asked for.
      EXPECT_EQ(Steps(radio), 0u);
      EXPECT_LE(radio.rows.front().second, 2010);
    }
  }
}

TEST(Radio, AGapLongerThanTheRingLosesOnlyWhatTheRingLost) {
  RadioFaults faults;
  faults.gap_begin_s = 2.0;
  faults.gap_end_s = 9.0;
  Radio radio(5000, faults);
  radio.RunFor(14.0);
  radio.Settle();
  EXPECT_TRUE(radio.ok);
  EXPECT_TRUE(Rises(radio));
  EXPECT_EQ(Steps(radio), 1u);
  EXPECT_EQ(radio.wrong_counts, 0u);
  // Seven seconds were missed, five are in the ring; what it loses while it is
  // being asked is about a tenth of a second more.
  const std::uint64_t lost = radio.intake.window().lost;
  EXPECT_EQ(radio.rows.size() + lost, radio.sleeve.taken());
  EXPECT_GE(lost, 1990u);
  EXPECT_LE(lost, 2500u);
  EXPECT_EQ(radio.timeline.report().gaps, 1u);
  EXPECT_EQ(radio.timeline.report().breaks.front().missing, lost);
}

TEST(Radio, ARestartIsSeenByItsBootNumberAndKeepsWhatCameSince) {
  RadioFaults faults;
  faults.gap_begin_s = 3.0;
  faults.gap_end_s = 4.0;
  Radio radio(5000, faults);
  radio.RunFor(2.999);
  radio.sleeve.Boot(8, radio.now_us());
  const std::size_t before = radio.rows.size();
  radio.RunFor(4.0);
  radio.Settle();
  EXPECT_TRUE(radio.ok);
  EXPECT_TRUE(Rises(radio));
  EXPECT_EQ(radio.intake.window().restarts, 1u);
  ASSERT_EQ(radio.timeline.report().gaps, 1u);
  EXPECT_EQ(radio.timeline.report().breaks.front().kind, Break::kRestart);
  // The new boot's first second went unheard and was asked for.
  std::size_t i = before;
  while (i < radio.rows.size() && radio.rows[i].first == 7) ++i;
  ASSERT_LT(i, radio.rows.size());
  EXPECT_EQ(radio.rows[i], (std::pair<std::int64_t, std::int64_t>(8, 0)));
  EXPECT_EQ(radio.rows.size() - i, radio.sleeve.taken());
}

TEST(Radio, ARestartWithoutABootNumberOfItsOwnIsSeenWithinSeconds) {
  Radio radio(5000, {});
  radio.RunFor(3.0);
  radio.sleeve.Boot(7, radio.now_us());
  radio.RunFor(6.0);
  radio.Settle();
  EXPECT_EQ(radio.intake.window().restarts, 1u);
  ASSERT_EQ(radio.timeline.report().gaps, 1u);
  EXPECT_EQ(radio.timeline.report().breaks.front().kind, Break::kRestart);
  // Once it is seen, the ring still has all of the new samples.
  EXPECT_EQ(radio.rows.back().second + 1, radio.sleeve.taken());
}

TEST(Radio, WithoutAWayBackLossesAreGapsAndTheOrderIsRight) {
  RadioFaults faults;
  faults.loss = 0.1;
  faults.duplication = 0.05;
  faults.jitter_s = 0.03;
  Radio radio(5000, faults);
  radio.intake.SetReply(nullptr);
  radio.RunFor(10.0);
  radio.Settle();
  EXPECT_TRUE(radio.ok);
  EXPECT_TRUE(Rises(radio));
  EXPECT_EQ(radio.wrong_counts, 0u);
  const double kept = static_cast<double>(radio.rows.size()) /
                      static_cast<double>(radio.sleeve.taken());
  // 625 frames, each lost with 0.1: standard deviation 1.2 %; four of them.
  EXPECT_NEAR(kept, 0.9, 0.05);
  EXPECT_EQ(radio.timeline.report().gaps, Steps(radio));
  EXPECT_GT(Steps(radio), 20u);
}

TEST(Radio, ASleeveOfAnotherVersionIsNotUnderstoodAndSaysSo) {
  Radio radio(5000, {});
  // {0: 1, 1: [2, 3]}: a recorder of the future says hello.
  const std::uint8_t hello[] = {3, 1, 0, 0, 0xA2, 0, 1, 1, 0x82, 2, 3};
  std::uint8_t raw[64];
  std::copy(std::begin(hello), std::end(hello), raw);
  std::uint8_t out[64];
  const std::size_t size = wire_close(raw, sizeof hello, out);
  radio.sleeve.inbox.insert(radio.sleeve.inbox.end(), out, out + size);
  radio.intake.SetReply(nullptr);
  radio.RunFor(1.0);
  EXPECT_TRUE(radio.rows.empty());
  EXPECT_TRUE(radio.sleeve.core().mute);
}

TEST(Radio, AnotherNumberOfChannelsIsRefusedInWords) {
  Rig rig;
  rig.sample_rate_hz = 1000;
  rig.channels.emplace_back().name = "c1";
  DeviceIntake intake(rig, 8, [](const RawBlock&) { return Expected<void>(); });
  RadioSleeve sleeve(100);
  sleeve.Boot(1, 0.0);
  Expected<void> taken;
  for (double us = 0.0; us < 1e5 && taken; us += 500.0) {
    sleeve.Step(us);
    for (const std::string& d : std::exchange(sleeve.sent, {})) {
      if (taken) taken = intake.Push(d);
    }
  }
  ASSERT_FALSE(taken);
  EXPECT_EQ(taken.error().kind, ErrorKind::kBadInput);
  EXPECT_EQ(taken.error().what,
            "the device names a channel \"c2\" that the rig does not have");
}

// Frames that a sleeve sent, taken apart.
struct Sent {
  std::vector<std::uint32_t> samples;  // sequence numbers, as they came
  int hellos = 0;

  explicit Sent(const std::vector<std::string>& datagrams) {
    std::uint8_t buffer[WIRE_COBS_ROOM(WIRE_MOST_BYTES)];
    wire_reader reader{buffer, sizeof buffer, 0, false, nullptr, 0};
    for (const std::string& datagram : datagrams) {
      for (const char c : datagram) {
        if (wire_take(&reader, static_cast<std::uint8_t>(c)) == WIRE_FRAME) {
          Take(reader.frame, reader.size);
        }
      }
    }
  }
  void Take(const std::uint8_t* frame, std::size_t size) {
    wire_samples head;
    if (wire_get_samples(frame, size, &head)) {
      for (std::uint32_t i = 0; i < head.count; ++i) {
        samples.push_back(head.first_seq + i);
      }
    }
    wire_message m;
    const std::uint8_t* cbor = nullptr;
    if (wire_get_message(frame, size, &cbor, &size) &&
        wire_read_message(cbor, size, &m)) {
      hellos += m.kind == WIRE_HELLO;
    }
  }
};

TEST(Firmware, DoesWhatTheGoldenAcknowledgementAndHelloAsk) {
  RadioSleeve sleeve(5000);
  sleeve.Boot(7, 0.0);
  double us = 0.0;
  for (; us < 1.2e6; us += 500.0) sleeve.Step(us);
  sleeve.sampling = false;
  for (; us < 1.4e6; us += 500.0) sleeve.Step(us);
  sleeve.sent.clear();
  // Samples 1000 to 1031 and 1100 of boot 7 again, and a recorder's hello.
  for (const char* name : {"ack", "recorder_hello"}) {
    for (const std::uint8_t byte : ReadGolden(name).wire) {
      sleeve.inbox.push_back(byte);
    }
  }
  for (; us < 1.6e6; us += 500.0) sleeve.Step(us);
  const Sent sent(sleeve.sent);
  std::vector<std::uint32_t> expected(32);
  std::iota(expected.begin(), expected.end(), 1000u);
  expected.push_back(1100);
  EXPECT_EQ(sent.samples, expected);
  EXPECT_EQ(sent.hellos, 1);
}

TEST(Firmware, AnAcknowledgementOfAnotherBootIsNotItsOwn) {
  RadioSleeve sleeve(5000);
  sleeve.Boot(8, 0.0);
  double us = 0.0;
  for (; us < 1.2e6; us += 500.0) sleeve.Step(us);
  sleeve.sampling = false;
  for (; us < 1.4e6; us += 500.0) sleeve.Step(us);
  sleeve.sent.clear();
  for (const std::uint8_t byte : ReadGolden("ack").wire) {
    sleeve.inbox.push_back(byte);
  }
  for (; us < 1.6e6; us += 500.0) sleeve.Step(us);
  EXPECT_TRUE(Sent(sleeve.sent).samples.empty());
}

TEST(Firmware, SaysWhatItsRingLostUnsent) {
  // Nothing can be sent for the first two seconds, and the ring holds one.
  RadioSleeve sleeve(1000);
  sleeve.Boot(7, 0.0);
  sleeve.core().board.send = [](void*, const std::uint8_t*, std::size_t) {
    return std::size_t{0};
  };
  for (double us = 0.0; us < 2.0e6; us += 500.0) sleeve.Step(us);
  // The frame that waits to go out has left the ring in order.
  EXPECT_NEAR(sleeve.core().overruns, sleeve.taken() - 1000.0, 16.0);
  EXPECT_EQ(sleeve.core().next_seq - sleeve.core().oldest_seq, 1000u);
}

TEST(Firmware, BootNumbersDifferFromStartToStartAndFromSleeveToSleeve) {
  EXPECT_NE(sleeve_boot_id(1, 1), sleeve_boot_id(1, 2));
  EXPECT_NE(sleeve_boot_id(1, 1), sleeve_boot_id(2, 1));
  EXPECT_NE(sleeve_boot_id(0, 0), 0u);
}

}  // namespace
}  // namespace masseter
