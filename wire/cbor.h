/* The part of CBOR (RFC 8949) that rare messages need: unsigned and negative
 * integers, byte and text strings, arrays, maps, false, true, null; lengths
 * always told beforehand. Tags, floating-point numbers and indefinite lengths
 * are refused when read as a value and refused when skipped, so that a reader
 * never follows what it does not know.
 *
 * Written in the shortest form (section 4.2.1, core deterministic encoding);
 * longer forms are read too, since a peer may write them.
 */
#ifndef MASSETER_WIRE_CBOR_H_
#define MASSETER_WIRE_CBOR_H_

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Writes into a buffer of the caller's. Once something does not fit, `full` is
 * set and nothing more is written. */
struct wire_cbor_writer {
  uint8_t* out;
  size_t room;
  size_t used;
  bool full;
};

void wire_cbor_put_uint(struct wire_cbor_writer* w, uint64_t value);
/* Any integer from -2^63 on. */
void wire_cbor_put_int(struct wire_cbor_writer* w, int64_t value);
void wire_cbor_put_bytes(struct wire_cbor_writer* w, const uint8_t* bytes,
                         size_t size);
/* UTF-8, `size` bytes of it. */
void wire_cbor_put_text(struct wire_cbor_writer* w, const char* text,
                        size_t size);
/* Followed by `count` items; by `count` pairs. */
void wire_cbor_put_array(struct wire_cbor_writer* w, size_t count);
void wire_cbor_put_map(struct wire_cbor_writer* w, size_t count);
void wire_cbor_put_bool(struct wire_cbor_writer* w, bool value);
void wire_cbor_put_null(struct wire_cbor_writer* w);

enum wire_cbor_kind {
  WIRE_CBOR_BROKEN, /* cut off, or not of the part above */
  WIRE_CBOR_UINT,
  WIRE_CBOR_NEGATIVE, /* the value is -1 - number */
  WIRE_CBOR_BYTES,
  WIRE_CBOR_TEXT,
  WIRE_CBOR_ARRAY,
  WIRE_CBOR_MAP,
  WIRE_CBOR_FALSE,
  WIRE_CBOR_TRUE,
  WIRE_CBOR_NULL
};

/* One head, and for strings their bytes, which point into the input. */
struct wire_cbor_item {
  enum wire_cbor_kind kind;
  uint64_t number; /* the integer; the length of a string, array or map */
  const uint8_t* bytes;
};

struct wire_cbor_reader {
  const uint8_t* in;
  size_t left;
};

/* The next head. After WIRE_CBOR_BROKEN the reader stands still at the end. */
struct wire_cbor_item wire_cbor_next(struct wire_cbor_reader* r);
/* Passes over one whole item, nested as it may be; false when it is broken.
 * Uses no stack beyond its own: what is still to come is counted. */
bool wire_cbor_skip(struct wire_cbor_reader* r);

#ifdef __cplusplus
}
#endif

#endif /* MASSETER_WIRE_CBOR_H_ */
