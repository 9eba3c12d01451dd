#include "device/frame_intake.h"

#include <algorithm>
#include <cassert>
#include <utility>

#include "device/block_builder.h"
#include "wire/cobs.h"
#include "wire/message.h"

namespace masseter {
namespace {

constexpr std::size_t kFirstBroken = 20;
constexpr std::size_t kMostWarnings = 20;
constexpr double kHelloS = 1.0;  // until it is answered
constexpr double kNamesS = 0.5;  // samples wait so long for the names
constexpr double kFilledS = 0.04;
constexpr double kAskS = 0.15;  // between two askings for the same
constexpr double kAcknowledgeS = 0.25;

std::string TextOf(const wire_text_view& view) {
  return std::string(view.text, view.size);
}

}  // namespace

struct FrameIntake::Impl {
  Impl(const Rig& r, std::size_t block_rows, Sink s)
      : rig(r),
        sink(std::move(s)),
        builder(block_rows),
        window([this](const SampleFrame& f, std::uint8_t skip) {
          AddRows(f, skip);
        }) {
    for (std::size_t c = 0; c < rig.channels.size(); ++c) {
      place.push_back(c);
    }
    reader = {buffer, sizeof buffer, 0, false, nullptr, 0};
  }

  void Take(std::uint8_t byte) {
    const wire_got got = wire_take(&reader, byte);
    if (got == WIRE_NOTHING) return;
    ++report.lines;
    const bool joined = std::exchange(joining, false);
    if (got == WIRE_FRAME) {
      TakeFrame();
    } else if (joined) {
      --report.lines;  // the rest of a frame whose beginning was not seen
    } else {
      Broken("a frame with a wrong check sum");
    }
  }

  void TakeFrame() {
    const std::uint8_t* cbor = nullptr;
    std::size_t size = 0;
    wire_message message;
    SampleFrame frame;
    if (wire_get_samples(reader.frame, reader.size, &frame.head)) {
      TakeSamples(std::move(frame));
    } else if (wire_get_message(reader.frame, reader.size, &cbor, &size) &&
               wire_read_message(cbor, size, &message)) {
      TakeMessage(message);
    } else if (reader.frame[1] != WIRE_VERSION) {
      Fail("the device sends frames of version " +
           std::to_string(reader.frame[1]) + ", this program reads version " +
           std::to_string(WIRE_VERSION) + "; use programs of the same time");
    } else if (reader.frame[0] != WIRE_ACK) {
      Broken("a frame that is not understood");
    }
  }

  void TakeSamples(SampleFrame frame) {
    const std::size_t channels = rig.channels.size();
    if (frame.head.channels != channels) {
      Fail("the device sends " + std::to_string(frame.head.channels) +
           " channels, the rig has " + std::to_string(channels));
      return;
    }
    frame.bytes.assign(reader.frame, reader.frame + reader.size);
    if (!first_s) {
      first_s = now_s;
      const bool names_may_come =
          reply && (frame.head.flags & WIRE_RESENDS) != 0 && !hello_seen;
      window.Hold(names_may_come);
    }
    window.Push(std::move(frame), now_s);
  }

  // A sample frame's rows, from its sample `skip` on.
  void AddRows(const SampleFrame& frame, std::uint8_t skip) {
    const wire_samples& head = frame.head;
    if (builder.layout().empty()) ChooseLayout(head.supply_mv != 0);
    if (head.supply_mv != 0) supply_mv = head.supply_mv;
    std::int32_t counts[WIRE_MOST_CHANNELS];
    for (std::uint8_t i = skip; i < head.count && !failed; ++i) {
      const std::uint64_t t_us =
          wire_get_sample(frame.bytes.data(), &head, i, counts);
      row[0].integer = head.boot;
      row[1].integer = static_cast<std::uint32_t>(head.first_seq + i);
      row[2].integer = static_cast<std::int64_t>(t_us);
      for (std::size_t c = 0; c < place.size(); ++c) {
        row[3 + place[c]].integer = counts[c];
      }
      if (row.size() > 3 + place.size()) row.back().integer = supply_mv;
      builder.Add(row);
      ++report.rows;
      if (builder.full()) Emit();
    }
  }

  void ChooseLayout(bool with_supply) {
    std::vector<ColumnRole> layout = {
        {Role::kBoot, -1}, {Role::kSequence, -1}, {Role::kTimeUs, -1}};
    for (std::size_t c = 0; c < rig.channels.size(); ++c) {
      layout.push_back({Role::kChannel, static_cast<int>(c)});
    }
    if (with_supply) layout.push_back({Role::kSupplyMv, -1});
    row.assign(layout.size(), NumberText{});
    builder.SetLayout(std::move(layout));
  }

  void TakeMessage(const wire_message& m) {
    if (m.kind == WIRE_HELLO) TakeHello(m);
    if (m.brownouts > sleeve.brownouts) {
      sleeve.brownouts = m.brownouts;
      WarnOnce(
          "the sleeve says that its supply has broken down before; see to "
          "its battery");
    }
    if (m.overruns > sleeve.overruns) {
      sleeve.overruns = m.overruns;
      WarnOnce("the sleeve could not send all that it sampled");
    }
    if (m.supply_mv != 0) sleeve.supply_mv = m.supply_mv;
    if (m.kind == WIRE_GOODBYE) sleeve.left = true;
    window.Sent(m.boot, m.next_seq);
  }

  void TakeHello(const wire_message& m) {
    hello_seen = true;
    sleeve.left = false;
    if (m.name.size > 0) sleeve.name = TextOf(m.name);
    if (m.lowest_version > WIRE_VERSION ||
        (m.highest_version != 0 && m.highest_version < WIRE_VERSION)) {
      Fail("the device speaks versions " + std::to_string(m.lowest_version) +
           " to " + std::to_string(m.highest_version) + ", this program " +
           std::to_string(WIRE_VERSION));
    } else if (m.channels > 0) {
      TakeNames(m);
    }
    if (!failed) window.Hold(false);
  }

  // The device's order of channels; once samples were handed on it stays.
  void TakeNames(const wire_message& m) {
    std::vector<std::size_t> order;
    for (std::uint8_t c = 0; c < m.channels; ++c) {
      const std::string name = TextOf(m.channel[c]);
      const int index = rig.ChannelIndex(name);
      if (index < 0) {
        Fail("the device names a channel " + Quoted(name) +
             " that the rig does not have");
        return;
      }
      order.push_back(static_cast<std::size_t>(index));
    }
    std::vector<std::size_t> sorted = order;
    std::sort(sorted.begin(), sorted.end());
    const bool each_once =
        std::adjacent_find(sorted.begin(), sorted.end()) == sorted.end();
    if (!each_once || order.size() != rig.channels.size()) {
      Fail("the channels that the device names are not those of the rig");
    } else if (order != place && report.rows > 0) {
      Fail("the device names its channels in another order than before");
    } else {
      place = std::move(order);
    }
  }

  // --- the way back ---

  void Say(std::uint8_t* raw, std::size_t size) {
    if (!reply || size == 0) return;
    std::uint8_t out[WIRE_ROOM(128)];
    reply(std::span<const std::uint8_t>(out, wire_close(raw, size, out)));
  }

  void SayHello() {
    wire_message m{};
    m.kind = WIRE_HELLO;
    m.lowest_version = WIRE_VERSION;
    m.highest_version = WIRE_VERSION;
    std::uint8_t raw[128];
    hello_s = now_s;
    Say(raw, wire_put_message(raw, sizeof raw - WIRE_CRC_BYTES, &m));
  }

  void Acknowledge() {
    const std::optional<wire_ack> ack = window.Ack();
    if (!ack) return;
    // The first hole that was asked for is filled: on to the others, since an
    // acknowledgement has room for a few only.
    const bool filled = ack->ranges > 0 && ack->next_seq != acked_seq;
    const double pause = filled             ? kFilledS
                         : window.Missing() ? kAskS
                                            : kAcknowledgeS;
    if (ack_s && now_s - *ack_s < pause) return;
    std::uint8_t raw[128];
    ack_s = now_s;
    acked_seq = ack->next_seq;
    Say(raw, wire_put_ack(raw, &*ack));
  }

  void OnTick() {
    const bool waited = first_s && now_s - *first_s > kNamesS;
    if (waited && !hello_seen) window.Hold(false);
    window.Tick(now_s);
    if (!reply) return;
    if (!hello_seen && (!hello_s || now_s - *hello_s >= kHelloS)) SayHello();
    Acknowledge();
  }

  // --- the report ---

  void Broken(std::string why) {
    ++report.broken;
    if (report.first_broken.size() < kFirstBroken) {
      report.first_broken.push_back({report.lines, std::move(why)});
    }
  }

  void WarnOnce(const std::string& text) {
    auto& all = report.warnings;
    if (all.size() == kMostWarnings) return;
    if (std::find(all.begin(), all.end(), text) == all.end()) {
      all.push_back(text);
    }
  }

  void Fail(std::string what) {
    if (!failed) failed = Error{ErrorKind::kBadInput, "", std::move(what)};
  }

  void Emit() {
    if (failed || builder.empty()) return;
    if (Expected<void> done = sink(builder.Take(host_time_s)); !done) {
      failed = std::move(done.error());
    }
  }

  Expected<void> Result() const {
    if (failed) return tl::unexpected<Error>(*failed);
    return {};
  }

  const Rig rig;
  Sink sink;
  Reply reply;
  std::uint8_t buffer[WIRE_COBS_ROOM(WIRE_MOST_BYTES)];
  wire_reader reader;
  BlockBuilder builder;
  SequenceWindow window;
  IntakeReport report;
  SleeveStatus sleeve;
  std::optional<Error> failed;
  double host_time_s = 0.0;
  double now_s = 0.0;
  bool joining = true;  // until the first zero
  bool hello_seen = false;
  std::optional<double> hello_s;
  std::optional<double> ack_s;
  std::uint32_t acked_seq = 0;
  std::optional<double> first_s;
  std::vector<std::size_t> place;  // the rig's channel of each one sent
  std::vector<NumberText> row;     // scratch
  std::int64_t supply_mv = 0;
};

FrameIntake::FrameIntake(const Rig& rig, std::size_t block_rows, Sink sink)
    : impl_(std::make_unique<Impl>(rig, block_rows, std::move(sink))) {
  assert(block_rows > 0);
}

FrameIntake::~FrameIntake() = default;

void FrameIntake::SetReply(Reply reply) {
  impl_->reply = std::move(reply);
  // A second before the first frame may have been overtaken by it.
  impl_->window.SetAsking(
      impl_->reply != nullptr,
      static_cast<std::uint32_t>(std::min(impl_->rig.sample_rate_hz, 1e6)));
}

Expected<void> FrameIntake::Push(std::span<const char> bytes,
                                 double host_time_s) {
  Impl& in = *impl_;
  in.host_time_s = host_time_s;
  for (const char byte : bytes) {
    if (in.failed) break;
    in.Take(static_cast<std::uint8_t>(byte));
  }
  return in.Result();
}

Expected<void> FrameIntake::Tick(double now_s) {
  impl_->now_s = now_s;
  if (!impl_->failed) impl_->OnTick();
  return impl_->Result();
}

void FrameIntake::LinkUp() {
  impl_->reader.used = 0;
  impl_->reader.too_long = false;
  impl_->joining = true;
  impl_->hello_seen = false;
  impl_->ack_s.reset();
  if (impl_->reply) impl_->SayHello();
}

Expected<void> FrameIntake::Flush() {
  impl_->Emit();
  return impl_->Result();
}

Expected<void> FrameIntake::Finish() {
  if (!impl_->failed) impl_->window.Drain();
  return Flush();
}

const IntakeReport& FrameIntake::report() const { return impl_->report; }
const WindowReport& FrameIntake::window() const {
  return impl_->window.report();
}
const SleeveStatus& FrameIntake::sleeve() const { return impl_->sleeve; }

}  // namespace masseter
