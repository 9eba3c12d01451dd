#include "wire/cobs.h"

size_t wire_cobs_encode(const uint8_t* in, size_t size, uint8_t* out) {
  size_t code_at = 0;
  size_t used = 1;
  uint8_t code = 1;
  for (size_t i = 0; i < size; ++i) {
    if (in[i] != 0) {
      out[used++] = in[i];
      ++code;
    }
    /* A full run needs a new code byte only when more bytes follow. */
    if (in[i] == 0 || (code == 255 && i + 1 < size)) {
      out[code_at] = code;
      code_at = used++;
      code = 1;
    }
  }
  out[code_at] = code;
  return used;
}

size_t wire_cobs_decode(uint8_t* bytes, size_t size) {
  size_t from = 0;
  size_t to = 0;
  while (from < size) {
    const uint8_t code = bytes[from++];
    if (code == 0 || (size_t)(code - 1) > size - from) return 0;
    for (uint8_t i = 1; i < code; ++i) {
      if (bytes[from] == 0) return 0;
      bytes[to++] = bytes[from++];
    }
    if (code != 255 && from < size) bytes[to++] = 0;
  }
  return to;
}
