#include "wire/text.h"

#include "wire/crc32c.h"

static const char kDigits[] = "0123456789ABCDEF";

/* Writes a number in decimal and a character behind it. */
static size_t put_number(char* at, uint64_t value, char behind) {
  char digits[20];
  size_t count = 0;
  size_t used = 0;
  do {
    digits[count++] = kDigits[value % 10u];
    value /= 10u;
  } while (value != 0);
  while (count > 0) at[used++] = digits[--count];
  at[used++] = behind;
  return used;
}

size_t wire_text_close(char* line, size_t size) {
  const uint32_t sum = wire_crc32c(0, (const uint8_t*)line, size);
  line[size++] = '*';
  for (uint8_t shift = 32; shift > 0; shift -= 4) {
    line[size++] = kDigits[(sum >> (shift - 4)) & 15u];
  }
  line[size++] = '\n';
  return size;
}

size_t wire_text_sample(char* line, const struct wire_samples* head,
                        uint32_t seq, uint64_t t_us, const int32_t* counts) {
  size_t used = put_number(line, head->boot, ',');
  used += put_number(line + used, seq, ',');
  used += put_number(line + used, t_us, ',');
  for (uint8_t c = 0; c < head->channels; ++c) {
    const int64_t count = counts[c];
    if (count < 0) line[used++] = '-';
    used +=
        put_number(line + used, (uint64_t)(count < 0 ? -count : count), ',');
  }
  used += put_number(line + used, head->supply_mv, '*');
  return wire_text_close(line, used - 1);
}

static int digit_value(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  return -1;
}

enum wire_text_check wire_text_check(const char* line, size_t size) {
  if (size < WIRE_TEXT_SUM) return WIRE_TEXT_BARE;
  const size_t body = size - WIRE_TEXT_SUM;
  if (line[body] != '*') return WIRE_TEXT_BARE;
  uint32_t told = 0;
  for (size_t i = body + 1; i < size; ++i) {
    const int value = digit_value(line[i]);
    if (value < 0) return WIRE_TEXT_BARE;
    told = (told << 4) | (uint32_t)value;
  }
  const uint32_t sum = wire_crc32c(0, (const uint8_t*)line, body);
  return told == sum ? WIRE_TEXT_GOOD : WIRE_TEXT_WRONG;
}
