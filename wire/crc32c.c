#include "wire/crc32c.h"

static const uint32_t kNibble[16] = {
    0x00000000u, 0x105EC76Fu, 0x20BD8EDEu, 0x30E349B1u,
    0x417B1DBCu, 0x5125DAD3u, 0x61C69362u, 0x7198540Du,
    0x82F63B78u, 0x92A8FC17u, 0xA24BB5A6u, 0xB21572C9u,
    0xC38D26C4u, 0xD3D3E1ABu, 0xE330A81Au, 0xF36E6F75u};

uint32_t wire_crc32c(uint32_t before, const uint8_t* bytes, size_t size) {
  uint32_t crc = ~before;
  for (size_t i = 0; i < size; ++i) {
    crc = kNibble[(crc ^ bytes[i]) & 15u] ^ (crc >> 4);
    crc = kNibble[(crc ^ (uint32_t)(bytes[i] >> 4)) & 15u] ^ (crc >> 4);
  }
  return ~crc;
}
