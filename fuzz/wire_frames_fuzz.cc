// Arbitrary bytes through the frame reader and every decoder. What must hold:
// what was read as a frame, written again, gives the same bytes; nothing is
// read beyond a frame's end.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <vector>

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
  Bytes coded(WIRE_COBS_ROOM(size));
  coded.resize(wire_cobs_encode(data, size, coded.data()));
  for (const std::uint8_t byte : coded) Require(byte != 0);
  Require(wire_cobs_decode(coded.data(), coded.size()) == size);
  Require(size == 0 || std::memcmp(coded.data(), data, size) == 0);
  return 0;
}
