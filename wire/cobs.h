/* Consistent overhead byte stuffing: bytes without any zero, so that a zero
 * can stand between frames (Cheshire and Baker, IEEE/ACM Transactions on
 * Networking 7(2), 1999). The overhead is one byte for each 254, at least one.
 */
#ifndef MASSETER_WIRE_COBS_H_
#define MASSETER_WIRE_COBS_H_

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Room that `size` bytes may need once encoded, without the zeros around. */
#define WIRE_COBS_ROOM(size) ((size) + (size) / 254u + 1u)

/* Encodes `size` bytes to `out`, which has WIRE_COBS_ROOM(size) bytes and does
 * not overlap `in`; returns how many were written. */
size_t wire_cobs_encode(const uint8_t* in, size_t size, uint8_t* out);

/* Decodes in place what stood between two zeros; returns the decoded length,
 * or 0 when the bytes are no encoding (empty, cut off, or with a zero). */
size_t wire_cobs_decode(uint8_t* bytes, size_t size);

#ifdef __cplusplus
}
#endif

#endif /* MASSETER_WIRE_COBS_H_ */
