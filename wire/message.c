#include "wire/message.h"

#include "wire/cbor.h"

static void put_number(struct wire_cbor_writer* w, uint8_t key,
                       uint32_t value) {
  if (value == 0) return;
  wire_cbor_put_uint(w, key);
  wire_cbor_put_uint(w, value);
}

static void put_channels(struct wire_cbor_writer* w,
                         const struct wire_message* m) {
  if (m->channels == 0) return;
  wire_cbor_put_uint(w, WIRE_KEY_CHANNELS);
  wire_cbor_put_array(w, m->channels);
  for (uint8_t c = 0; c < m->channels; ++c) {
    wire_cbor_put_text(w, m->channel[c].text, m->channel[c].size);
  }
}

static size_t count_fields(const struct wire_message* m) {
  size_t n = 1;
  n += m->highest_version != 0;
  n += m->boot != 0;
  n += m->name.size != 0;
  n += m->channels != 0;
  n += m->rate_mhz != 0;
  n += m->ring != 0;
  n += m->brownouts != 0;
  n += m->supply_mv != 0;
  n += m->overruns != 0;
  n += m->next_seq != 0;
  return n;
}

size_t wire_put_message(uint8_t* raw, size_t room,
                        const struct wire_message* m) {
  struct wire_cbor_writer w = {raw, room, 0, false};
  if (room < WIRE_MESSAGE_HEAD) return 0;
  w.used = wire_put_message_head(raw);
  wire_cbor_put_map(&w, count_fields(m));
  wire_cbor_put_uint(&w, WIRE_KEY_KIND);
  wire_cbor_put_uint(&w, m->kind);
  if (m->highest_version != 0) {
    wire_cbor_put_uint(&w, WIRE_KEY_VERSIONS);
    wire_cbor_put_array(&w, 2);
    wire_cbor_put_uint(&w, m->lowest_version);
    wire_cbor_put_uint(&w, m->highest_version);
  }
  put_number(&w, WIRE_KEY_BOOT, m->boot);
  if (m->name.size != 0) {
    wire_cbor_put_uint(&w, WIRE_KEY_NAME);
    wire_cbor_put_text(&w, m->name.text, m->name.size);
  }
  put_channels(&w, m);
  put_number(&w, WIRE_KEY_RATE_MHZ, m->rate_mhz);
  put_number(&w, WIRE_KEY_RING, m->ring);
  put_number(&w, WIRE_KEY_BROWNOUTS, m->brownouts);
  put_number(&w, WIRE_KEY_SUPPLY_MV, m->supply_mv);
  put_number(&w, WIRE_KEY_OVERRUNS, m->overruns);
  put_number(&w, WIRE_KEY_NEXT_SEQ, m->next_seq);
  return w.full ? 0 : w.used;
}

static bool read_number(struct wire_cbor_reader* r, uint32_t* value) {
  const struct wire_cbor_item item = wire_cbor_next(r);
  if (item.kind != WIRE_CBOR_UINT || item.number > 0xFFFFFFFFu) return false;
  *value = (uint32_t)item.number;
  return true;
}

static bool read_text(struct wire_cbor_reader* r, struct wire_text_view* text) {
  const struct wire_cbor_item item = wire_cbor_next(r);
  text->text = (const char*)item.bytes;
  text->size = (size_t)item.number;
  return item.kind == WIRE_CBOR_TEXT;
}

static bool read_channels(struct wire_cbor_reader* r, struct wire_message* m) {
  const struct wire_cbor_item list = wire_cbor_next(r);
  if (list.kind != WIRE_CBOR_ARRAY || list.number > WIRE_MOST_CHANNELS) {
    return false;
  }
  m->channels = (uint8_t)list.number;
  for (uint8_t c = 0; c < m->channels; ++c) {
    if (!read_text(r, &m->channel[c])) return false;
  }
  return true;
}

static bool read_versions(struct wire_cbor_reader* r, struct wire_message* m) {
  const struct wire_cbor_item list = wire_cbor_next(r);
  return list.kind == WIRE_CBOR_ARRAY && list.number == 2 &&
         read_number(r, &m->lowest_version) &&
         read_number(r, &m->highest_version);
}

static bool read_value(struct wire_cbor_reader* r, uint64_t key,
                       struct wire_message* m) {
  uint32_t kind = 0;
  if (key > 255u) return wire_cbor_skip(r);
  switch ((uint8_t)key) {
    case WIRE_KEY_KIND:
      if (!read_number(r, &kind)) return false;
      m->kind = kind;
      return true;
    case WIRE_KEY_VERSIONS:
      return read_versions(r, m);
    case WIRE_KEY_BOOT:
      return read_number(r, &m->boot);
    case WIRE_KEY_NAME:
      return read_text(r, &m->name);
    case WIRE_KEY_CHANNELS:
      return read_channels(r, m);
    case WIRE_KEY_RATE_MHZ:
      return read_number(r, &m->rate_mhz);
    case WIRE_KEY_RING:
      return read_number(r, &m->ring);
    case WIRE_KEY_BROWNOUTS:
      return read_number(r, &m->brownouts);
    case WIRE_KEY_SUPPLY_MV:
      return read_number(r, &m->supply_mv);
    case WIRE_KEY_OVERRUNS:
      return read_number(r, &m->overruns);
    case WIRE_KEY_NEXT_SEQ:
      return read_number(r, &m->next_seq);
    default:
      return wire_cbor_skip(r);
  }
}

bool wire_read_message(const uint8_t* cbor, size_t size,
                       struct wire_message* message) {
  struct wire_cbor_reader r = {cbor, size};
  *message = (struct wire_message){0};
  const struct wire_cbor_item map = wire_cbor_next(&r);
  if (map.kind != WIRE_CBOR_MAP) return false;
  for (uint64_t i = 0; i < map.number; ++i) {
    const struct wire_cbor_item key = wire_cbor_next(&r);
    if (key.kind != WIRE_CBOR_UINT || !read_value(&r, key.number, message)) {
      return false;
    }
  }
  return r.left == 0 && message->kind != 0;
}
