/* The rare messages: who is there, what it can do, how it is. A CBOR map with
 * small numbers as keys; a reader passes over keys that it does not know.
 *
 * Exchange of versions: whoever connects says hello with the versions it
 * speaks; the other answers with its own. Both go on in the highest common one.
 * Version 1 is the only one there is; without a common version a sleeve sends
 * no samples and the recorder says why.
 */
#ifndef MASSETER_WIRE_MESSAGE_H_
#define MASSETER_WIRE_MESSAGE_H_

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "wire/frame.h"

#ifdef __cplusplus
extern "C" {
#endif

enum wire_message_kind {
  WIRE_HELLO = 1,  /* from either side */
  WIRE_STATUS = 2, /* from the sleeve, about once a second */
  WIRE_GOODBYE = 3 /* from the sleeve: it was switched off on purpose */
};

enum wire_key {
  WIRE_KEY_KIND = 0,      /* the number of the message's kind */
  WIRE_KEY_VERSIONS = 1,  /* array of two: lowest and highest spoken */
  WIRE_KEY_BOOT = 2,      /* as in the samples frames */
  WIRE_KEY_NAME = 3,      /* text: which sleeve */
  WIRE_KEY_CHANNELS = 4,  /* array of texts: the channels' names in order */
  WIRE_KEY_RATE_MHZ = 5,  /* samples a second, times 1000 */
  WIRE_KEY_RING = 6,      /* samples the ring holds */
  WIRE_KEY_BROWNOUTS = 7, /* starts after the supply broke down, ever */
  WIRE_KEY_SUPPLY_MV = 8, /* the battery under load */
  WIRE_KEY_OVERRUNS = 9,  /* samples the ring lost unsent since boot */
  WIRE_KEY_NEXT_SEQ = 10  /* all samples before this one have been sent once */
};

/* A string inside the frame or of the caller's; not zero-terminated. */
struct wire_text_view {
  const char* text;
  size_t size;
};

/* What is not known stays 0 or empty and is not sent. */
struct wire_message {
  uint64_t kind;
  uint32_t lowest_version;
  uint32_t highest_version;
  uint32_t boot;
  struct wire_text_view name;
  uint8_t channels;
  struct wire_text_view channel[WIRE_MOST_CHANNELS];
  uint32_t rate_mhz;
  uint32_t ring;
  uint32_t brownouts;
  uint32_t supply_mv;
  uint32_t overruns;
  uint32_t next_seq;
};

/* Builds the whole frame before its check sum in `raw`; returns its size, 0
 * when it does not fit `room`. */
size_t wire_put_message(uint8_t* raw, size_t room,
                        const struct wire_message* message);
/* Reads the CBOR of a message frame; the texts point into it. False when it
 * is not well-formed or a known key has a value of the wrong kind. */
bool wire_read_message(const uint8_t* cbor, size_t size,
                       struct wire_message* message);

#ifdef __cplusplus
}
#endif

#endif /* MASSETER_WIRE_MESSAGE_H_ */
