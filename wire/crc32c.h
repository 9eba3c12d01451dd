/* CRC-32C (Castagnoli), the check sum of every frame and of the text form.
 *
 * Polynomial 0x1EDC6F41 reflected, start and end value all ones, as in
 * RFC 3720 (iSCSI) section 12.1. The check value of "123456789" is 0xE3069283.
 * A table of 16 words: 64 bytes of flash, two look-ups a byte.
 *
 * Here as in all of wire/: no allocation, no library, no state of its own.
 */
#ifndef MASSETER_WIRE_CRC32C_H_
#define MASSETER_WIRE_CRC32C_H_

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* The check sum of `size` bytes. To go on with more bytes, give the result of
 * the call before as `before`; 0 begins. */
uint32_t wire_crc32c(uint32_t before, const uint8_t* bytes, size_t size);

#ifdef __cplusplus
}
#endif

#endif /* MASSETER_WIRE_CRC32C_H_ */
