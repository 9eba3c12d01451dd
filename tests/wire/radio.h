// A sleeve of firmware/ and a recorder's intake with a bad radio between them,
// in simulated time.
#ifndef MASSETER_TESTS_WIRE_RADIO_H_
#define MASSETER_TESTS_WIRE_RADIO_H_

#include <cstdint>
#include <deque>
#include <map>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "core/signal/timeline.h"
#include "device/device_intake.h"
#include "firmware/sleeve.h"

namespace masseter {

inline constexpr int kChannels = 4;

// What channel `c` of sample `seq` reads: every sample differs from the others.
inline std::int32_t CountOf(std::uint32_t seq, int c) {
  return static_cast<std::int32_t>(
             (seq * 2654435761u + 977u * static_cast<unsigned>(c)) >> 9) -
         4194304;
}

struct RadioFaults {
  double loss = 0.0;         // share of datagrams, each way
  double duplication = 0.0;  // share that comes twice
  double jitter_s = 0.0;     // delays spread so far: datagrams overtake
  double gap_begin_s = 1e9;  // nothing comes through from here
  double gap_end_s = 1e9;    // to here
};

// A sleeve of four channels. The ring holds `ring` samples.
class RadioSleeve {
 public:
  explicit RadioSleeve(std::uint32_t ring, double rate_hz = 1000.0)
      : period_us_(1e6 / rate_hz), ring_(ring * SLEEVE_SLOT(kChannels, 0)) {}

  // Begins anew at `now_us` of the simulation, as after a power cut.
  void Boot(std::uint32_t boot, double now_us) {
    born_us_ = now_us;
    taken_ = 0;
    inbox.clear();
    sleeve_board board{};
    board.self = this;
    board.read = Read;
    board.now_us = Now;
    board.send = Send;
    board.receive = Receive;
    board.supply_mv = [](void*) { return std::uint16_t{3900}; };
    static const char* const kNames[] = {"c1", "c2", "c3", "c4"};
    sleeve_config config{};
    config.name = "test sleeve";
    config.channels = kChannels;
    config.channel_names = kNames;
    config.period_ns = static_cast<std::uint32_t>(1000.0 * period_us_);
    config.rate_mhz = static_cast<std::uint32_t>(1e9 / period_us_);
    config.per_frame = 16;
    config.patience_us = 50000;
    config.boot = boot;
    const sleeve_memory memory{ring_.data(), ring_.size(), raw_, sizeof raw_,
                               out_,         sizeof out_,  in_,  sizeof in_};
    started = sleeve_start(&sleeve_, &board, &config, &memory);
  }
  void Step(double now_us) {
    now_us_ = now_us;
    sleeve_step(&sleeve_);
  }

  bool started = false;
  bool sampling = true;
  std::deque<std::uint8_t> inbox;
  std::vector<std::string> sent;  // since last looked at
  std::uint32_t taken() const { return taken_; }
  sleeve& core() { return sleeve_; }

 private:
  static RadioSleeve& Me(void* self) {
    return *static_cast<RadioSleeve*>(self);
  }
  static bool Read(void* self, std::int32_t* counts, std::uint64_t* t_us) {
    RadioSleeve& me = Me(self);
    const double at = me.born_us_ + me.period_us_ * (me.taken_ + 1);
    if (!me.sampling || at > me.now_us_) return false;
    for (int c = 0; c < kChannels; ++c) counts[c] = CountOf(me.taken_, c);
    *t_us = static_cast<std::uint64_t>(at - me.born_us_);
    ++me.taken_;
    return true;
  }
  static std::uint64_t Now(void* self) {
    return static_cast<std::uint64_t>(Me(self).now_us_ - Me(self).born_us_);
  }
  static std::size_t Send(void* self, const std::uint8_t* bytes,
                          std::size_t size) {
    Me(self).sent.emplace_back(bytes, bytes + size);
    return size;
  }
  static std::size_t Receive(void* self, std::uint8_t* bytes,
                             std::size_t room) {
    auto& inbox = Me(self).inbox;
    std::size_t n = 0;
    for (; n < room && !inbox.empty(); ++n) {
      bytes[n] = inbox.front();
      inbox.pop_front();
    }
    return n;
  }

  double period_us_;
  double born_us_ = 0.0;
  double now_us_ = 0.0;
  std::uint32_t taken_ = 0;
  sleeve sleeve_{};
  std::vector<std::uint8_t> ring_;
  std::uint8_t raw_[SLEEVE_RAW(16, kChannels, 0)];
  std::uint8_t out_[SLEEVE_OUT(16, kChannels, 0)];
  std::uint8_t in_[SLEEVE_IN];
};

// Sleeve, radio and recorder together.
class Radio {
 public:
  Radio(std::uint32_t ring, RadioFaults faults, std::uint32_t seed = 1)
      : sleeve(ring),
        faults_(faults),
        random_(seed),
        rig_(MakeRig()),
        timeline(rig_),
        intake(rig_, 256, [this](const RawBlock& b) { return Take(b); }) {
    intake.SetReply([this](std::span<const std::uint8_t> bytes) {
      Fly({bytes.begin(), bytes.end()}, uplink_);
    });
    sleeve.Boot(7, 0.0);
  }

  void RunFor(double seconds) {
    const double end_us = now_us_ + 1e6 * seconds;
    for (; now_us_ < end_us; now_us_ += 500.0) {
      sleeve.Step(now_us_);
      for (std::string& datagram : std::exchange(sleeve.sent, {})) {
        Fly(std::move(datagram), downlink_);
      }
      Arrive();
      if (++steps_ % 100 == 0) {
        ok = ok && intake.Tick(now_us_ / 1e6) && intake.Flush();
      }
    }
  }
  // The sleeve stops sampling; what is still missing may come.
  void Settle() {
    sleeve.sampling = false;
    faults_ = {};
    RunFor(3.0);
    ok = ok && intake.Finish();
  }
  double now_us() const { return now_us_; }

  // Rows as they came: boot and seq.
  std::vector<std::pair<std::int64_t, std::int64_t>> rows;
  std::size_t wrong_counts = 0;
  std::size_t datagrams = 0;
  bool ok = true;
  RadioSleeve sleeve;

 private:
  static Rig MakeRig() {
    Rig rig;
    rig.sample_rate_hz = 1000;
    for (const char* name : {"c1", "c2", "c3", "c4"}) {
      rig.channels.emplace_back().name = name;
      rig.text.columns.push_back(RoleOfName(rig, name).value());
    }
    return rig;
  }
  double Chance() { return std::uniform_real_distribution<>()(random_); }

  void Fly(std::string datagram, std::multimap<double, std::string>& link) {
    ++datagrams;
    const double now_s = now_us_ / 1e6;
    if (now_s >= faults_.gap_begin_s && now_s < faults_.gap_end_s) return;
    if (Chance() < faults_.loss) return;
    const int copies = Chance() < faults_.duplication ? 2 : 1;
    for (int i = 0; i < copies; ++i) {
      link.emplace(now_s + 0.004 + faults_.jitter_s * Chance(), datagram);
    }
  }
  void Arrive() {
    const double now_s = now_us_ / 1e6;
    while (!downlink_.empty() && downlink_.begin()->first <= now_s) {
      const auto node = downlink_.extract(downlink_.begin());
      ok = ok && intake.Push(node.mapped(), 1.7e9 + now_s);
    }
    while (!uplink_.empty() && uplink_.begin()->first <= now_s) {
      const auto node = uplink_.extract(uplink_.begin());
      for (const char c : node.mapped()) {
        sleeve.inbox.push_back(static_cast<std::uint8_t>(c));
      }
    }
  }
  Expected<void> Take(const RawBlock& block) {
    SampleBlock out;
    timeline.Push(block, out);
    const auto value = [&](std::size_t column, std::size_t i) {
      return std::get<std::vector<std::int64_t>>(block.columns[column])[i];
    };
    for (std::size_t i = 0; i < block.rows; ++i) {
      rows.emplace_back(value(0, i), value(1, i));
      for (int c = 0; c < kChannels; ++c) {
        const auto seq = static_cast<std::uint32_t>(value(1, i));
        if (value(3 + static_cast<std::size_t>(c), i) != CountOf(seq, c)) {
          ++wrong_counts;
        }
      }
    }
    return {};
  }

  RadioFaults faults_;
  std::mt19937 random_;
  Rig rig_;
  double now_us_ = 0.0;
  std::uint64_t steps_ = 0;
  std::multimap<double, std::string> downlink_;
  std::multimap<double, std::string> uplink_;

 public:
  Timeline timeline;
  DeviceIntake intake;
};

}  // namespace masseter

#endif  // MASSETER_TESTS_WIRE_RADIO_H_
