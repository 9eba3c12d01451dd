/* Frames: what a sleeve and the recorder say to each other, byte by byte.
 * docs/formats/wire.md has the tables; golden vectors stand in wire/golden/.
 *
 * A frame is a type, a version and a body, closed by the CRC-32C of all that
 * (little-endian, as all numbers here), COBS-encoded, between two zero bytes.
 * Frames may follow each other with one zero between them.
 */
#ifndef MASSETER_WIRE_FRAME_H_
#define MASSETER_WIRE_FRAME_H_

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define WIRE_VERSION 1u
/* Longest frame before COBS, check sum included. A sleeve may use less; its
 * frames then hold fewer samples. */
#define WIRE_MOST_BYTES 1024u
#define WIRE_CRC_BYTES 4u
#define WIRE_SAMPLES_HEAD 32u
#define WIRE_ACK_HEAD 12u
#define WIRE_MESSAGE_HEAD 4u
#define WIRE_MOST_RANGES 8u
#define WIRE_MOST_CHANNELS 16u

enum wire_type {
  WIRE_SAMPLES = 1, /* sleeve to recorder */
  WIRE_ACK = 2,     /* recorder to sleeve */
  WIRE_MESSAGE = 3  /* either way, CBOR */
};

enum wire_flag {
  WIRE_WIDE = 1,   /* counts of 32 bits instead of 24 */
  WIRE_STAMPS = 2, /* each sample has its own time */
  WIRE_RESENDS = 4 /* the sleeve listens and sends again what is asked for */
};

/* The head of a samples frame. */
struct wire_samples {
  uint8_t flags;
  uint32_t boot;       /* another number after every start of the device */
  uint32_t first_seq;  /* of the first sample; samples count from 0 at boot */
  uint32_t oldest_seq; /* the oldest sample that can still be asked for */
  uint64_t t_us;       /* the device's clock at the first sample */
  uint32_t period_ns;  /* between samples; not used with WIRE_STAMPS */
  uint16_t supply_mv;  /* 0: not known */
  uint8_t channels;    /* 1 to WIRE_MOST_CHANNELS */
  uint8_t count;       /* samples, 1 at least */
};

/* Samples [first, first + count) that the recorder lacks. */
struct wire_range {
  uint32_t first;
  uint32_t count;
};

struct wire_ack {
  uint32_t boot;
  uint32_t next_seq; /* everything before it has arrived or is given up */
  uint8_t ranges;    /* what to send again, oldest first */
  struct wire_range range[WIRE_MOST_RANGES];
};

/* --- building: one frame at a time, in a buffer of the caller's ------------
 */

/* Room for the frame `raw` bytes long before COBS (check sum included), as it
 * goes out, zeros included. */
#define WIRE_ROOM(raw) ((raw) + (raw) / 254u + 3u)

/* Bytes of one sample. */
size_t wire_sample_bytes(uint8_t flags, uint8_t channels);

/* Writes the head; the samples follow with wire_put_sample from
 * raw + WIRE_SAMPLES_HEAD on. Returns WIRE_SAMPLES_HEAD. */
size_t wire_put_samples_head(uint8_t* raw, const struct wire_samples* head);
/* One sample; `after_us` since the head's t_us, used with WIRE_STAMPS only.
 * Counts that do not fit 24 bits are set to the end of that range. Returns its
 * size. */
size_t wire_put_sample(uint8_t* at, const struct wire_samples* head,
                       uint32_t after_us, const int32_t* counts);
/* Returns the size. */
size_t wire_put_ack(uint8_t* raw, const struct wire_ack* ack);
/* The head of a message; CBOR follows. Returns WIRE_MESSAGE_HEAD. */
size_t wire_put_message_head(uint8_t* raw);
/* Appends the check sum to `size` bytes in `raw` (which has WIRE_CRC_BYTES
 * more) and encodes all to `out` (WIRE_ROOM(size + WIRE_CRC_BYTES)), zeros
 * around. Returns the bytes to send. */
size_t wire_close(uint8_t* raw, size_t size, uint8_t* out);

/* --- reading ---------------------------------------------------------------
 */

enum wire_got {
  WIRE_NOTHING, /* nothing complete yet */
  WIRE_FRAME,   /* `frame` and `size`: type, version, body, without check sum */
  WIRE_BROKEN   /* bytes between two zeros that are no frame */
};

/* Cuts a byte stream into frames. */
struct wire_reader {
  uint8_t* buffer; /* of `room` bytes: WIRE_COBS_ROOM of the longest frame */
  size_t room;
  size_t used;
  bool too_long;
  const uint8_t* frame; /* valid until the next byte */
  size_t size;
};

enum wire_got wire_take(struct wire_reader* r, uint8_t byte);

/* The head of a samples frame; false when the frame is no samples frame of
 * this version or does not hold what its head says. */
bool wire_get_samples(const uint8_t* frame, size_t size,
                      struct wire_samples* head);
/* Sample `index` of such a frame: its counts and its time on the device's
 * clock. */
uint64_t wire_get_sample(const uint8_t* frame, const struct wire_samples* head,
                         uint8_t index, int32_t* counts);
bool wire_get_ack(const uint8_t* frame, size_t size, struct wire_ack* ack);
/* The CBOR of a message: false when the frame is no message of this version. */
bool wire_get_message(const uint8_t* frame, size_t size, const uint8_t** cbor,
                      size_t* cbor_size);

#ifdef __cplusplus
}
#endif

#endif /* MASSETER_WIRE_FRAME_H_ */
