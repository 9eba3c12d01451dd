#include "wire/cbor.h"

enum { kUint = 0, kNegative, kBytes, kText, kArray, kMap, kTag, kSimple };

static void put(struct wire_cbor_writer* w, uint8_t byte) {
  if (w->used >= w->room) w->full = true;
  if (!w->full) w->out[w->used++] = byte;
}

static void put_head(struct wire_cbor_writer* w, uint8_t major, uint64_t n) {
  uint8_t size = 0; /* bytes behind the first one */
  uint8_t info = (uint8_t)n;
  if (n > 0xFFFFFFFFu) {
    size = 8;
    info = 27;
  } else if (n > 0xFFFFu) {
    size = 4;
    info = 26;
  } else if (n > 0xFFu) {
    size = 2;
    info = 25;
  } else if (n > 23u) {
    size = 1;
    info = 24;
  }
  put(w, (uint8_t)((major << 5) | info));
  while (size > 0) put(w, (uint8_t)(n >> (8u * --size)));
}

static void put_string(struct wire_cbor_writer* w, uint8_t major,
                       const uint8_t* bytes, size_t size) {
  put_head(w, major, size);
  for (size_t i = 0; i < size && !w->full; ++i) put(w, bytes[i]);
}

void wire_cbor_put_uint(struct wire_cbor_writer* w, uint64_t value) {
  put_head(w, kUint, value);
}

void wire_cbor_put_int(struct wire_cbor_writer* w, int64_t value) {
  if (value >= 0) {
    put_head(w, kUint, (uint64_t)value);
  } else {
    put_head(w, kNegative, ~(uint64_t)value);
  }
}

void wire_cbor_put_bytes(struct wire_cbor_writer* w, const uint8_t* bytes,
                         size_t size) {
  put_string(w, kBytes, bytes, size);
}

void wire_cbor_put_text(struct wire_cbor_writer* w, const char* text,
                        size_t size) {
  put_string(w, kText, (const uint8_t*)text, size);
}

void wire_cbor_put_array(struct wire_cbor_writer* w, size_t count) {
  put_head(w, kArray, count);
}

void wire_cbor_put_map(struct wire_cbor_writer* w, size_t count) {
  put_head(w, kMap, count);
}

void wire_cbor_put_bool(struct wire_cbor_writer* w, bool value) {
  put(w, value ? 0xF5 : 0xF4);
}

void wire_cbor_put_null(struct wire_cbor_writer* w) { put(w, 0xF6); }

static struct wire_cbor_item broken(struct wire_cbor_reader* r) {
  const struct wire_cbor_item item = {WIRE_CBOR_BROKEN, 0, NULL};
  r->left = 0;
  return item;
}

/* The argument of a head; false when cut off or reserved (RFC 8949, 3). */
static bool take_argument(struct wire_cbor_reader* r, uint8_t info,
                          uint64_t* n) {
  if (info < 24) {
    *n = info;
    return true;
  }
  if (info > 27) return false;
  size_t size = (size_t)1 << (info - 24);
  if (size > r->left) return false;
  r->left -= size;
  for (*n = 0; size > 0; --size) *n = (*n << 8) | *r->in++;
  return true;
}

static enum wire_cbor_kind simple_kind(uint8_t info) {
  if (info == 20) return WIRE_CBOR_FALSE;
  if (info == 21) return WIRE_CBOR_TRUE;
  if (info == 22) return WIRE_CBOR_NULL;
  return WIRE_CBOR_BROKEN;
}

struct wire_cbor_item wire_cbor_next(struct wire_cbor_reader* r) {
  static const enum wire_cbor_kind kKinds[] = {
      WIRE_CBOR_UINT, WIRE_CBOR_NEGATIVE, WIRE_CBOR_BYTES,
      WIRE_CBOR_TEXT, WIRE_CBOR_ARRAY,    WIRE_CBOR_MAP};
  struct wire_cbor_item item = {WIRE_CBOR_BROKEN, 0, NULL};
  if (r->left == 0) return item;
  const uint8_t first = *r->in++;
  r->left -= 1;
  const uint8_t major = first >> 5;
  if (major == kTag) return broken(r);
  if (major == kSimple) {
    item.kind = simple_kind(first & 31u);
    return item.kind == WIRE_CBOR_BROKEN ? broken(r) : item;
  }
  if (!take_argument(r, first & 31u, &item.number)) return broken(r);
  item.kind = kKinds[major];
  if (major == kBytes || major == kText) {
    if (item.number > r->left) return broken(r);
    item.bytes = r->in;
    r->in += item.number;
    r->left -= (size_t)item.number;
  }
  return item;
}

bool wire_cbor_skip(struct wire_cbor_reader* r) {
  /* Every item takes a byte at least, so more to come than bytes is broken;
   * this also bounds the loop and the sum. */
  uint64_t to_come = 1;
  while (to_come > 0) {
    const struct wire_cbor_item item = wire_cbor_next(r);
    --to_come;
    if (item.kind == WIRE_CBOR_BROKEN) return false;
    if (item.kind != WIRE_CBOR_ARRAY && item.kind != WIRE_CBOR_MAP) continue;
    if (item.number > r->left) return false;
    to_come += item.kind == WIRE_CBOR_MAP ? 2 * item.number : item.number;
    if (to_come > r->left) return false;
  }
  return true;
}
