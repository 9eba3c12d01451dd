#include "wire/frame.h"

#include "wire/cobs.h"
#include "wire/crc32c.h"

static void put_le(uint8_t* at, uint32_t value, uint8_t bytes) {
  for (uint8_t i = 0; i < bytes; ++i) {
    at[i] = (uint8_t)value;
    value >>= 8;
  }
}

static uint32_t get_le(const uint8_t* at, uint8_t bytes) {
  uint32_t value = 0;
  while (bytes > 0) value = (value << 8) | at[--bytes];
  return value;
}

static uint32_t get_u32(const uint8_t* at) { return get_le(at, 4); }

size_t wire_sample_bytes(uint8_t flags, uint8_t channels) {
  const size_t count_bytes = (flags & WIRE_WIDE) != 0 ? 4u : 3u;
  return channels * count_bytes + ((flags & WIRE_STAMPS) != 0 ? 4u : 0u);
}

size_t wire_put_samples_head(uint8_t* raw, const struct wire_samples* head) {
  raw[0] = WIRE_SAMPLES;
  raw[1] = WIRE_VERSION;
  raw[2] = head->flags;
  raw[3] = 0;
  put_le(raw + 4, head->boot, 4);
  put_le(raw + 8, head->first_seq, 4);
  put_le(raw + 12, head->oldest_seq, 4);
  put_le(raw + 16, (uint32_t)head->t_us, 4);
  put_le(raw + 20, (uint32_t)(head->t_us >> 32), 4);
  put_le(raw + 24, head->period_ns, 4);
  put_le(raw + 28, head->supply_mv, 2);
  raw[30] = head->channels;
  raw[31] = head->count;
  return WIRE_SAMPLES_HEAD;
}

static int32_t within_24_bits(int32_t count) {
  if (count > 8388607) return 8388607;
  if (count < -8388608) return -8388608;
  return count;
}

size_t wire_put_sample(uint8_t* at, const struct wire_samples* head,
                       uint32_t after_us, const int32_t* counts) {
  const bool wide = (head->flags & WIRE_WIDE) != 0;
  uint8_t* to = at;
  if ((head->flags & WIRE_STAMPS) != 0) {
    put_le(to, after_us, 4);
    to += 4;
  }
  for (uint8_t c = 0; c < head->channels; ++c) {
    const int32_t count = wide ? counts[c] : within_24_bits(counts[c]);
    put_le(to, (uint32_t)count, wide ? 4 : 3);
    to += wide ? 4 : 3;
  }
  return (size_t)(to - at);
}

size_t wire_put_ack(uint8_t* raw, const struct wire_ack* ack) {
  uint8_t* to = raw + WIRE_ACK_HEAD;
  raw[0] = WIRE_ACK;
  raw[1] = WIRE_VERSION;
  raw[2] = ack->ranges;
  raw[3] = 0;
  put_le(raw + 4, ack->boot, 4);
  put_le(raw + 8, ack->next_seq, 4);
  for (uint8_t i = 0; i < ack->ranges; ++i) {
    put_le(to, ack->range[i].first, 4);
    put_le(to + 4, ack->range[i].count, 4);
    to += 8;
  }
  return (size_t)(to - raw);
}

size_t wire_put_message_head(uint8_t* raw) {
  raw[0] = WIRE_MESSAGE;
  raw[1] = WIRE_VERSION;
  raw[2] = 0;
  raw[3] = 0;
  return WIRE_MESSAGE_HEAD;
}

size_t wire_close(uint8_t* raw, size_t size, uint8_t* out) {
  put_le(raw + size, wire_crc32c(0, raw, size), WIRE_CRC_BYTES);
  out[0] = 0;
  const size_t used = wire_cobs_encode(raw, size + WIRE_CRC_BYTES, out + 1);
  out[used + 1] = 0;
  return used + 2;
}

static enum wire_got end_of_frame(struct wire_reader* r) {
  const size_t used = r->used;
  const bool too_long = r->too_long;
  r->used = 0;
  r->too_long = false;
  if (used == 0) return WIRE_NOTHING;
  if (too_long) return WIRE_BROKEN;
  const size_t size = wire_cobs_decode(r->buffer, used);
  if (size < WIRE_CRC_BYTES + 2) return WIRE_BROKEN;
  const size_t body = size - WIRE_CRC_BYTES;
  if (get_u32(r->buffer + body) != wire_crc32c(0, r->buffer, body)) {
    return WIRE_BROKEN;
  }
  r->frame = r->buffer;
  r->size = body;
  return WIRE_FRAME;
}

enum wire_got wire_take(struct wire_reader* r, uint8_t byte) {
  if (byte == 0) return end_of_frame(r);
  if (r->used < r->room) {
    r->buffer[r->used++] = byte;
  } else {
    r->too_long = true;
  }
  return WIRE_NOTHING;
}

static bool is_frame(const uint8_t* frame, size_t size, size_t head,
                     uint8_t type) {
  return size >= head && frame[0] == type && frame[1] == WIRE_VERSION;
}

bool wire_get_samples(const uint8_t* frame, size_t size,
                      struct wire_samples* head) {
  if (!is_frame(frame, size, WIRE_SAMPLES_HEAD, WIRE_SAMPLES)) return false;
  head->flags = frame[2];
  head->boot = get_u32(frame + 4);
  head->first_seq = get_u32(frame + 8);
  head->oldest_seq = get_u32(frame + 12);
  head->t_us = get_u32(frame + 16) | (uint64_t)get_u32(frame + 20) << 32;
  head->period_ns = get_u32(frame + 24);
  head->supply_mv = (uint16_t)get_le(frame + 28, 2);
  head->channels = frame[30];
  head->count = frame[31];
  if (head->channels == 0 || head->channels > WIRE_MOST_CHANNELS) return false;
  return head->count > 0 &&
         size ==
             WIRE_SAMPLES_HEAD +
                 head->count * wire_sample_bytes(head->flags, head->channels);
}

uint64_t wire_get_sample(const uint8_t* frame, const struct wire_samples* head,
                         uint8_t index, int32_t* counts) {
  const bool wide = (head->flags & WIRE_WIDE) != 0;
  const uint8_t* at = frame + WIRE_SAMPLES_HEAD +
                      index * wire_sample_bytes(head->flags, head->channels);
  uint64_t t_us = head->t_us;
  if ((head->flags & WIRE_STAMPS) != 0) {
    t_us += get_u32(at);
    at += 4;
  } else {
    t_us += ((uint64_t)index * head->period_ns + 500u) / 1000u;
  }
  for (uint8_t c = 0; c < head->channels; ++c) {
    const uint32_t bits = get_le(at, wide ? 4 : 3);
    /* The sign of 24 bits, spread over 32. */
    counts[c] =
        wide ? (int32_t)bits : (int32_t)(bits ^ 0x800000u) - (int32_t)0x800000;
    at += wide ? 4 : 3;
  }
  return t_us;
}

bool wire_get_ack(const uint8_t* frame, size_t size, struct wire_ack* ack) {
  if (!is_frame(frame, size, WIRE_ACK_HEAD, WIRE_ACK)) return false;
  ack->ranges = frame[2];
  ack->boot = get_u32(frame + 4);
  ack->next_seq = get_u32(frame + 8);
  if (ack->ranges > WIRE_MOST_RANGES ||
      size != WIRE_ACK_HEAD + 8u * ack->ranges) {
    return false;
  }
  for (uint8_t i = 0; i < ack->ranges; ++i) {
    ack->range[i].first = get_u32(frame + WIRE_ACK_HEAD + 8u * i);
    ack->range[i].count = get_u32(frame + WIRE_ACK_HEAD + 8u * i + 4u);
  }
  return true;
}

bool wire_get_message(const uint8_t* frame, size_t size, const uint8_t** cbor,
                      size_t* cbor_size) {
  if (!is_frame(frame, size, WIRE_MESSAGE_HEAD, WIRE_MESSAGE)) return false;
  *cbor = frame + WIRE_MESSAGE_HEAD;
  *cbor_size = size - WIRE_MESSAGE_HEAD;
  return true;
}
