// Arbitrary bytes through the frame reader, every decoder and the recorder's
// intake. What must hold: what was read as a frame, written again, gives the
// same bytes; nothing is read beyond a frame's end; the intake gives the same
// rows however the bytes are cut, and every answer of its own is a whole frame.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "device/device_intake.h"
#include "wire/cbor.h"
#include "wire/cobs.h"
#include "wire/frame.h"
#include "wire/message.h"
#include "wire/text.h"

namespace {

using Bytes = std::vector<std::uint8_t>;

void Require(bool holds) {
  if (!holds) std::abort();
}

void CheckSamples(const Bytes& frame) {
  wire_samples head;
  if (!wire_get_samples(frame.data(), frame.size(), &head)) return;
  Bytes again(frame.size());
  std::size_t used = wire_put_samples_head(again.data(), &head);
  for (std::uint8_t i = 0; i < head.count; ++i) {
    std::int32_t counts[WIRE_MOST_CHANNELS];
    const std::uint64_t t_us = wire_get_sample(frame.data(), &head, i, counts);
    used +=
        wire_put_sample(again.data() + used, &head,
                        static_cast<std::uint32_t>(t_us - head.t_us), counts);
    char line[WIRE_TEXT_ROOM(WIRE_MOST_CHANNELS)];
    const std::size_t size =
        wire_text_sample(line, &head, head.first_seq + i, t_us, counts);
    Require(size <= sizeof line && line[size - 1] == '\n');
    Require(wire_text_check(line, size - 1) == WIRE_TEXT_GOOD);
  }
  again[3] = frame[3];  // reserved: read whatever it holds
  Require(used == frame.size() && again == frame);
}

void CheckAck(const Bytes& frame) {
  wire_ack ack;
  if (!wire_get_ack(frame.data(), frame.size(), &ack)) return;
  Bytes again(frame.size());
  Require(wire_put_ack(again.data(), &ack) == frame.size());
  again[3] = frame[3];
  Require(again == frame);
}

void CheckMessage(const Bytes& frame) {
  const std::uint8_t* cbor = nullptr;
  std::size_t size = 0;
  if (!wire_get_message(frame.data(), frame.size(), &cbor, &size)) return;
  wire_message message;
  if (!wire_read_message(cbor, size, &message)) return;
  // Its canonical form says the same.
  Bytes again(frame.size() + 64);
  const std::size_t used =
      wire_put_message(again.data(), again.size(), &message);
  Require(used > 0);
  wire_message second;
  Require(wire_read_message(again.data() + WIRE_MESSAGE_HEAD,
                            used - WIRE_MESSAGE_HEAD, &second));
  Require(second.kind == message.kind && second.boot == message.boot);
  Require(second.channels == message.channels);
  Require(second.name.size == message.name.size);
}

void Check(const Bytes& frame) {
  CheckSamples(frame);
  CheckAck(frame);
  CheckMessage(frame);
}

masseter::Rig FourCells() {
  masseter::Rig rig;
  rig.sample_rate_hz = 1000;
  for (const char* name : {"c1", "c2", "c3", "c4"}) {
    rig.channels.emplace_back().name = name;
    rig.text.columns.push_back(masseter::RoleOfName(rig, name).value());
  }
  return rig;
}

// Pieces of the input as frames whose check sums are right: a byte of length,
// then the frame.
std::string AsFrames(const std::uint8_t* data, std::size_t size) {
  std::string stream;
  while (size > 1) {
    const std::size_t n = std::min<std::size_t>(data[0], size - 1);
    Bytes raw(data + 1, data + 1 + n);
    raw.resize(n + WIRE_CRC_BYTES);
    Bytes out(WIRE_ROOM(n + WIRE_CRC_BYTES));
    out.resize(wire_close(raw.data(), n, out.data()));
    stream.append(out.begin(), out.end());
    data += 1 + n;
    size -= 1 + n;
  }
  return stream;
}

struct Taken {
  std::vector<masseter::RawBlock> blocks;
  std::string error;
  std::uint64_t rows = 0;
};

Taken TakeIn(std::string_view stream, std::size_t piece, bool answer) {
  Taken taken;
  masseter::DeviceIntake intake(
      FourCells(), 5,
      [&](const masseter::RawBlock& b) -> masseter::Expected<void> {
        Require(b.rows > 0 && b.rows <= 5);
        for (const auto& column : b.columns) {
          Require(masseter::RawColumnSize(column) == b.rows);
        }
        taken.blocks.push_back(b);
        return {};
      });
  if (answer) {
    intake.SetReply([](std::span<const std::uint8_t> bytes) {
      std::uint8_t buffer[256];
      wire_reader reader{buffer, sizeof buffer, 0, false, nullptr, 0};
      int frames = 0;
      for (const std::uint8_t byte : bytes) {
        frames += wire_take(&reader, byte) == WIRE_FRAME;
      }
      Require(frames == 1);
    });
  }
  masseter::Expected<void> done;
  double now_s = 0.0;
  while (!stream.empty() && done) {
    done = intake.Push(stream.substr(0, piece));
    stream.remove_prefix(std::min(piece, stream.size()));
    if (answer && done) done = intake.Tick(now_s += 0.2);
  }
  if (done) done = intake.Finish();
  if (!done) taken.error = done.error().Text();
  taken.rows = intake.report().rows;
  return taken;
}

void CheckIntake(std::string_view stream) {
  const Taken whole = TakeIn(stream, stream.size() + 1, false);
  const Taken bytewise = TakeIn(stream, 1, false);
  Require(whole.blocks == bytewise.blocks && whole.error == bytewise.error);
  Require(whole.rows == bytewise.rows);
  TakeIn(stream, 7, true);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  std::uint8_t buffer[WIRE_COBS_ROOM(WIRE_MOST_BYTES)];
  wire_reader reader{buffer, sizeof buffer, 0, false, nullptr, 0};
  for (std::size_t i = 0; i < size; ++i) {
    if (wire_take(&reader, data[i]) == WIRE_FRAME) {
      Check(Bytes(reader.frame, reader.frame + reader.size));
    }
  }
  // The check sum keeps most inputs out: the decoders get them bare, too.
  if (size > 0 && size <= WIRE_MOST_BYTES) Check(Bytes(data, data + size));
  if (size < 4096) {
    CheckIntake(AsFrames(data, size));
    CheckIntake({reinterpret_cast<const char*>(data), size});
  }
  Bytes coded(WIRE_COBS_ROOM(size));
  coded.resize(wire_cobs_encode(data, size, coded.data()));
  for (const std::uint8_t byte : coded) Require(byte != 0);
  Require(wire_cobs_decode(coded.data(), coded.size()) == size);
  Require(size == 0 || std::memcmp(coded.data(), data, size) == 0);
  return 0;
}
