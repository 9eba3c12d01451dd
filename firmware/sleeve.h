/* The loop of a sleeve, for any board: read the converter, keep the newest
 * samples in a ring, send them in frames, send again what the recorder lacks,
 * tell battery and brown-outs. C11 on wire/ alone; the board comes in through
 * function pointers, memory through the caller. docs/devices.md shows how.
 *
 * Not for interrupts: one thread calls everything here.
 */
#ifndef MASSETER_FIRMWARE_SLEEVE_H_
#define MASSETER_FIRMWARE_SLEEVE_H_

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "wire/cobs.h"
#include "wire/frame.h"

#ifdef __cplusplus
extern "C" {
#endif

/* What the board can do. Nothing here may wait. */
struct sleeve_board {
  void* self; /* handed to each function */
  /* A conversion that is ready and not read yet: its counts, one a channel,
   * and the clock at which it was taken; false when there is none. */
  bool (*read)(void* self, int32_t* counts, uint64_t* t_us);
  /* Microseconds since the start; never falls, never wraps. */
  uint64_t (*now_us)(void* self);
  /* Sends what the line takes just now and returns how much. Over datagrams:
   * all (one frame, one datagram) or nothing. */
  size_t (*send)(void* self, const uint8_t* bytes, size_t size);
  /* What has come in, at most `room` bytes. */
  size_t (*receive)(void* self, uint8_t* bytes, size_t room);
  /* The battery while it works, millivolts; 0 when not measured. */
  uint16_t (*supply_mv)(void* self);
};

struct sleeve_config {
  const char* name;
  uint8_t channels;
  const char* const* channel_names; /* NULL: not told */
  bool wide;                        /* counts of 32 bits */
  uint32_t period_ns;               /* 0: each sample carries its own time */
  uint32_t rate_mhz;                /* samples a second, times 1000 */
  uint8_t per_frame;    /* samples, at most as many as the buffers take */
  uint32_t patience_us; /* a frame goes out this late although not full */
  uint32_t boot;        /* sleeve_boot_id */
  uint32_t brownouts;
};

/* Bytes that one sample takes in the ring; what a frame of `n` samples takes
 * in `raw` and in `out`. */
#define SLEEVE_SLOT(channels, wide) (4u + (channels) * ((wide) ? 4u : 3u))
#define SLEEVE_RAW(n, channels, wide) \
  (WIRE_SAMPLES_HEAD + (n)*SLEEVE_SLOT(channels, wide) + WIRE_CRC_BYTES)
#define SLEEVE_OUT(n, channels, wide) WIRE_ROOM(SLEEVE_RAW(n, channels, wide))
/* The longest acknowledgement, encoded. */
#define SLEEVE_IN \
  WIRE_COBS_ROOM(WIRE_ACK_HEAD + 8u * WIRE_MOST_RANGES + WIRE_CRC_BYTES)

struct sleeve_memory {
  uint8_t* ring;
  size_t ring_size;
  uint8_t* raw;
  size_t raw_size;
  uint8_t* out;
  size_t out_size;
  uint8_t* in; /* SLEEVE_IN bytes at least */
  size_t in_size;
};

struct sleeve {
  struct sleeve_board board;
  struct sleeve_config config;
  struct sleeve_memory memory;
  struct wire_reader reader;
  uint32_t slots;
  uint32_t oldest_slot;
  uint32_t oldest_seq; /* the ring holds [oldest_seq, next_seq) */
  uint32_t next_seq;
  uint32_t sent_seq;      /* everything before it has been sent once */
  uint32_t overruns;      /* samples that left the ring unsent */
  struct wire_ack wanted; /* what is still to be sent again */
  size_t out_used;        /* the frame that is going out */
  size_t out_at;
  uint64_t status_us; /* when the next status is due */
  bool say_hello;
  bool mute; /* the recorder speaks no version that is spoken here */
  bool leaving;
};

/* A boot id that differs from start to start: `starts` from a counter that
 * survives power loss, `serial` anything that differs from sleeve to sleeve. */
uint32_t sleeve_boot_id(uint32_t serial, uint32_t starts);

/* False when the memory does not hold one sample a frame and two in the ring.
 * A power of two of slots is not needed. */
bool sleeve_start(struct sleeve* s, const struct sleeve_board* board,
                  const struct sleeve_config* config,
                  const struct sleeve_memory* memory);
/* One turn of the loop; call it as often as possible. */
void sleeve_step(struct sleeve* s);
/* A connection was opened: begins with a clean frame and says hello. */
void sleeve_link_up(struct sleeve* s);
/* Says goodbye with the next status, at once: it is being switched off. */
void sleeve_leave(struct sleeve* s);

#ifdef __cplusplus
}
#endif

#endif /* MASSETER_FIRMWARE_SLEEVE_H_ */
