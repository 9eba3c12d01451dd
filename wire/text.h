/* The text form: what a samples frame says, readable by eye, one sample a line
 * of docs/formats/capture.md, with a check sum behind it:
 *
 *   boot,seq,t_us,c1,c2,supply_mv*4E734C50
 *   7,1000,2000000,8388,-120,4102*F917C92D
 *
 * Behind the star stand eight hexadecimal digits: the CRC-32C of the line's
 * bytes before it.
 */
#ifndef MASSETER_WIRE_TEXT_H_
#define MASSETER_WIRE_TEXT_H_

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "wire/frame.h"

#ifdef __cplusplus
extern "C" {
#endif

#define WIRE_TEXT_SUM 9u /* bytes of "*5D0C2F11" */
/* Longest line of a sample, check sum and line end included. */
#define WIRE_TEXT_ROOM(channels) (58u + 12u * (channels))

/* Appends the check sum and a line feed to `size` bytes of `line`, which has
 * WIRE_TEXT_SUM + 1 bytes more; returns the new size. For header lines. */
size_t wire_text_close(char* line, size_t size);

/* One sample as a line: boot, seq, t_us, counts, supply_mv. Returns its size;
 * `line` has WIRE_TEXT_ROOM(channels) bytes. Not zero-terminated. */
size_t wire_text_sample(char* line, const struct wire_samples* head,
                        uint32_t seq, uint64_t t_us, const int32_t* counts);

enum wire_text_check {
  WIRE_TEXT_BARE, /* ends in no check sum */
  WIRE_TEXT_GOOD,
  WIRE_TEXT_WRONG /* has one that does not fit */
};

/* Looks at a line without its line end. */
enum wire_text_check wire_text_check(const char* line, size_t size);

#ifdef __cplusplus
}
#endif

#endif /* MASSETER_WIRE_TEXT_H_ */
