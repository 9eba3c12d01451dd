#include "firmware/sleeve.h"

#include "wire/crc32c.h"
#include "wire/message.h"

enum { kStatusUs = 1000000, kReadAtOnce = 32 };

static bool before(uint32_t a, uint32_t b) { return (int32_t)(a - b) < 0; }

static void put_le(uint8_t* at, uint32_t value, uint8_t bytes) {
  for (uint8_t i = 0; i < bytes; ++i) at[i] = (uint8_t)(value >> (8u * i));
}

static uint32_t get_le(const uint8_t* at, uint8_t bytes) {
  uint32_t value = 0;
  while (bytes > 0) value = (value << 8) | at[--bytes];
  return value;
}

uint32_t sleeve_boot_id(uint32_t serial, uint32_t starts) {
  uint8_t bytes[8];
  put_le(bytes, serial, 4);
  put_le(bytes + 4, starts, 4);
  const uint32_t id = wire_crc32c(0, bytes, sizeof bytes);
  return id != 0 ? id : 1; /* 0 stands for unknown in messages */
}

static size_t slot_size(const struct sleeve* s) {
  return SLEEVE_SLOT((size_t)s->config.channels, s->config.wide);
}

static uint8_t* slot_of(const struct sleeve* s, uint32_t seq) {
  const uint32_t slot = (s->oldest_slot + (seq - s->oldest_seq)) % s->slots;
  return s->memory.ring + slot * slot_size(s);
}

bool sleeve_start(struct sleeve* s, const struct sleeve_board* board,
                  const struct sleeve_config* config,
                  const struct sleeve_memory* memory) {
  *s = (struct sleeve){0};
  s->board = *board;
  s->config = *config;
  s->memory = *memory;
  s->reader.buffer = memory->in;
  s->reader.room = memory->in_size;
  s->slots = (uint32_t)(memory->ring_size / slot_size(s));
  s->say_hello = true;
  /* As many samples a frame as both buffers take. */
  while (s->config.per_frame > 0 &&
         (SLEEVE_RAW((size_t)s->config.per_frame, config->channels,
                     config->wide) > memory->raw_size ||
          SLEEVE_OUT((size_t)s->config.per_frame, config->channels,
                     config->wide) > memory->out_size)) {
    --s->config.per_frame;
  }
  return s->slots >= 2 && s->config.per_frame > 0 &&
         memory->in_size >= SLEEVE_IN;
}

/* --- the ring --------------------------------------------------------------
 */

static void drop_oldest(struct sleeve* s) {
  if (s->sent_seq == s->oldest_seq) {
    ++s->sent_seq;
    ++s->overruns;
  }
  ++s->oldest_seq;
  s->oldest_slot = (s->oldest_slot + 1) % s->slots;
}

static void keep(struct sleeve* s, const int32_t* counts, uint64_t t_us) {
  const uint8_t bytes = s->config.wide ? 4 : 3;
  if (s->next_seq - s->oldest_seq == s->slots) drop_oldest(s);
  uint8_t* at = slot_of(s, s->next_seq);
  put_le(at, (uint32_t)t_us, 4);
  at += 4;
  for (uint8_t c = 0; c < s->config.channels; ++c) {
    put_le(at, (uint32_t)counts[c], bytes);
    at += bytes;
  }
  ++s->next_seq;
}

static int32_t get_count(const uint8_t* at, bool wide) {
  const uint32_t bits = get_le(at, wide ? 4 : 3);
  return wide ? (int32_t)bits : (int32_t)(bits ^ 0x800000u) - (int32_t)0x800000;
}

/* The whole clock of a sample, from its lower half: it is not older than the
 * half lasts (71 minutes). */
static uint64_t clock_of(const struct sleeve* s, uint32_t low) {
  const uint64_t now = s->board.now_us(s->board.self);
  return now - (uint32_t)((uint32_t)now - low);
}

/* --- sending ---------------------------------------------------------------
 */

static void send_raw(struct sleeve* s, size_t size) {
  s->out_used = wire_close(s->memory.raw, size, s->memory.out);
  s->out_at = 0;
}

static void send_samples(struct sleeve* s, uint32_t first, uint32_t count) {
  const bool wide = s->config.wide;
  const bool stamps = s->config.period_ns == 0;
  int32_t counts[WIRE_MOST_CHANNELS];
  if (count > s->config.per_frame) count = s->config.per_frame;
  const uint32_t low = get_le(slot_of(s, first), 4);
  struct wire_samples head = {0};
  head.flags = (uint8_t)(WIRE_RESENDS | (wide ? WIRE_WIDE : 0) |
                         (stamps ? WIRE_STAMPS : 0));
  head.boot = s->config.boot;
  head.first_seq = first;
  head.oldest_seq = s->oldest_seq;
  head.t_us = clock_of(s, low);
  head.period_ns = s->config.period_ns;
  head.supply_mv = s->board.supply_mv(s->board.self);
  head.channels = s->config.channels;
  head.count = (uint8_t)count;
  size_t used = wire_put_samples_head(s->memory.raw, &head);
  for (uint32_t i = 0; i < count; ++i) {
    const uint8_t* at = slot_of(s, first + i);
    for (uint8_t c = 0; c < head.channels; ++c) {
      counts[c] = get_count(at + 4 + c * (wide ? 4u : 3u), wide);
    }
    used += wire_put_sample(s->memory.raw + used, &head, get_le(at, 4) - low,
                            counts);
  }
  send_raw(s, used);
}

static struct wire_text_view view(const char* text) {
  struct wire_text_view v = {text, 0};
  while (text != NULL && text[v.size] != '\0') ++v.size;
  return v;
}

/* Names that do not fit the buffer are left out. */
static void send_message(struct sleeve* s, uint8_t kind) {
  struct wire_message m = {0};
  m.kind = kind;
  m.boot = s->config.boot;
  m.brownouts = s->config.brownouts;
  m.supply_mv = s->board.supply_mv(s->board.self);
  m.overruns = s->overruns;
  m.next_seq = s->sent_seq;
  if (kind == WIRE_HELLO) {
    m.lowest_version = WIRE_VERSION;
    m.highest_version = WIRE_VERSION;
    m.rate_mhz = s->config.rate_mhz;
    m.ring = s->slots;
    m.name = view(s->config.name);
    if (s->config.channel_names != NULL) m.channels = s->config.channels;
    for (uint8_t c = 0; c < m.channels; ++c) {
      m.channel[c] = view(s->config.channel_names[c]);
    }
  }
  /* raw and out were made for samples: what fits one fits the other. */
  const size_t room = s->memory.raw_size - WIRE_CRC_BYTES;
  size_t size = wire_put_message(s->memory.raw, room, &m);
  if (size == 0) {
    m.channels = 0;
    m.name.size = 0;
    size = wire_put_message(s->memory.raw, room, &m);
  }
  if (size != 0 && WIRE_ROOM(size + WIRE_CRC_BYTES) <= s->memory.out_size) {
    send_raw(s, size);
  }
}

static bool send_new(struct sleeve* s) {
  const uint32_t ready = s->next_seq - s->sent_seq;
  if (ready == 0) return false;
  const uint64_t now = s->board.now_us(s->board.self);
  const uint32_t age = (uint32_t)now - get_le(slot_of(s, s->sent_seq), 4);
  if (ready < s->config.per_frame && age < s->config.patience_us &&
      !s->leaving) {
    return false;
  }
  const uint32_t count =
      ready < s->config.per_frame ? ready : s->config.per_frame;
  send_samples(s, s->sent_seq, count);
  s->sent_seq += count;
  return true;
}

/* Sends one frame of what is wanted again; what has left the ring is skipped:
 * each frame tells the recorder what is the oldest. */
static bool send_again(struct sleeve* s) {
  struct wire_ack* w = &s->wanted;
  while (w->ranges > 0) {
    struct wire_range* r = &w->range[w->ranges - 1];
    if (before(r->first, s->oldest_seq)) {
      const uint32_t gone = s->oldest_seq - r->first;
      r->first = s->oldest_seq;
      r->count = r->count > gone ? r->count - gone : 0;
    }
    const uint32_t left = s->sent_seq - r->first;
    if (before(s->sent_seq, r->first)) r->count = 0;
    if (r->count > left) r->count = left;
    if (r->count == 0) {
      --w->ranges;
      continue;
    }
    const uint32_t count =
        r->count < s->config.per_frame ? r->count : s->config.per_frame;
    send_samples(s, r->first, count);
    r->first += count;
    r->count -= count;
    return true;
  }
  return false;
}

static void begin_next(struct sleeve* s) {
  const uint64_t now = s->board.now_us(s->board.self);
  if (s->say_hello) {
    s->say_hello = false;
    send_message(s, WIRE_HELLO);
  } else if (s->mute) {
    return;
  } else if (send_new(s) || send_again(s)) {
    return;
  } else if (now >= s->status_us) {
    s->status_us = now + kStatusUs;
    send_message(s, s->leaving ? WIRE_GOODBYE : WIRE_STATUS);
  }
}

/* --- listening -------------------------------------------------------------
 */

/* Ranges are worked off from the back: the oldest come last in the list, so
 * that the samples that leave the ring first are sent first. */
static void take_ack(struct sleeve* s, const struct wire_ack* ack) {
  if (ack->boot != s->config.boot) return;
  s->wanted.ranges = ack->ranges;
  for (uint8_t i = 0; i < ack->ranges; ++i) {
    s->wanted.range[ack->ranges - 1 - i] = ack->range[i];
  }
}

static void take_hello(struct sleeve* s, const struct wire_message* m) {
  s->mute = m->highest_version != 0 && (m->lowest_version > WIRE_VERSION ||
                                        m->highest_version < WIRE_VERSION);
  s->say_hello = true;
}

static void take_frame(struct sleeve* s) {
  struct wire_ack ack;
  struct wire_message m;
  const uint8_t* cbor = NULL;
  size_t size = 0;
  if (wire_get_ack(s->reader.frame, s->reader.size, &ack)) {
    take_ack(s, &ack);
  } else if (wire_get_message(s->reader.frame, s->reader.size, &cbor, &size) &&
             wire_read_message(cbor, size, &m) && m.kind == WIRE_HELLO) {
    take_hello(s, &m);
  }
}

static void listen(struct sleeve* s) {
  uint8_t bytes[16];
  size_t count = s->board.receive(s->board.self, bytes, sizeof bytes);
  while (count > 0) {
    for (size_t i = 0; i < count; ++i) {
      if (wire_take(&s->reader, bytes[i]) == WIRE_FRAME) take_frame(s);
    }
    count = s->board.receive(s->board.self, bytes, sizeof bytes);
  }
}

/* --- the loop --------------------------------------------------------------
 */

void sleeve_step(struct sleeve* s) {
  int32_t counts[WIRE_MOST_CHANNELS];
  uint64_t t_us = 0;
  for (uint8_t i = 0; i < kReadAtOnce; ++i) {
    if (!s->board.read(s->board.self, counts, &t_us)) break;
    keep(s, counts, t_us);
  }
  listen(s);
  if (s->out_at == s->out_used) begin_next(s);
  if (s->out_at < s->out_used) {
    s->out_at += s->board.send(s->board.self, s->memory.out + s->out_at,
                               s->out_used - s->out_at);
  }
}

void sleeve_link_up(struct sleeve* s) {
  s->out_used = 0;
  s->out_at = 0;
  s->reader.used = 0;
  s->reader.too_long = false;
  s->wanted.ranges = 0;
  s->say_hello = true;
  s->mute = false;
}

void sleeve_leave(struct sleeve* s) {
  s->leaving = true;
  s->status_us = 0;
}
