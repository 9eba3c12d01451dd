/* Reads the golden vectors as firmware would: each frame decodes to its raw
 * bytes, and what was read from it builds the same bytes again. Ends with 0
 * when all of them do. */
#include <stdio.h>
#include <string.h>

#include "wire/cobs.h"
#include "wire/frame.h"
#include "wire/message.h"
#include "wire/text.h"

enum { kRoom = 4096 };

static const char* const kFiles[] = {
    "samples_24bit.hex", "samples_32bit.hex", "samples_stamped.hex",
    "samples_long.hex",  "ack.hex",           "hello.hex",
    "recorder_hello.hex"};

struct vector {
  uint8_t raw[kRoom];
  size_t raw_size;
  uint8_t wire[kRoom];
  size_t wire_size;
  char text[16][128];
  size_t texts;
};

static int hex_value(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

static size_t read_hex(const char* text, uint8_t* out) {
  size_t used = 0;
  while (*text != '\0') {
    const int high = hex_value(*text++);
    if (high < 0) continue;
    out[used++] = (uint8_t)(high * 16 + hex_value(*text++));
  }
  return used;
}

static int read_vector(const char* folder, const char* name, struct vector* v) {
  static char line[3 * kRoom];
  char path[1024];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  FILE* file = fopen(path, "r");
  if (file == NULL) return 0;
  memset(v, 0, sizeof *v);
  while (fgets(line, sizeof line, file) != NULL) {
    line[strcspn(line, "\n")] = '\0';
    if (strncmp(line, "raw ", 4) == 0) v->raw_size = read_hex(line + 4, v->raw);
    if (strncmp(line, "wire ", 5) == 0) {
      v->wire_size = read_hex(line + 5, v->wire);
    }
    if (strncmp(line, "text ", 5) == 0) {
      memcpy(v->text[v->texts++], line + 5, sizeof v->text[0] - 1);
    }
  }
  fclose(file);
  return v->raw_size > 0 && v->wire_size > 0;
}

static int same(const char* what, const char* name, const uint8_t* a,
                size_t a_size, const uint8_t* b, size_t b_size) {
  if (a_size == b_size && memcmp(a, b, a_size) == 0) return 1;
  printf("%s: %s differs\n", name, what);
  return 0;
}

static size_t rebuild_samples(const struct vector* v,
                              const struct wire_samples* head, uint8_t* out) {
  size_t used = wire_put_samples_head(out, head);
  for (uint8_t i = 0; i < head->count; ++i) {
    int32_t counts[WIRE_MOST_CHANNELS];
    char line[WIRE_TEXT_ROOM(WIRE_MOST_CHANNELS)];
    const uint64_t t_us = wire_get_sample(v->raw, head, i, counts);
    used += wire_put_sample(out + used, head, (uint32_t)(t_us - head->t_us),
                            counts);
    if (i >= v->texts) continue;
    const size_t size =
        wire_text_sample(line, head, head->first_seq + i, t_us, counts);
    if (!same("the text form", v->text[i], (const uint8_t*)line, size - 1,
              (const uint8_t*)v->text[i], strlen(v->text[i]))) {
      return 0;
    }
  }
  return used;
}

/* What was read, written again; 0 when it could not be read. */
static size_t rebuild(const struct vector* v, uint8_t* out) {
  struct wire_samples head;
  struct wire_ack ack;
  struct wire_message message;
  const uint8_t* cbor = NULL;
  size_t cbor_size = 0;
  if (wire_get_samples(v->raw, v->raw_size, &head)) {
    return rebuild_samples(v, &head, out);
  }
  if (wire_get_ack(v->raw, v->raw_size, &ack)) return wire_put_ack(out, &ack);
  if (wire_get_message(v->raw, v->raw_size, &cbor, &cbor_size) &&
      wire_read_message(cbor, cbor_size, &message)) {
    return wire_put_message(out, kRoom, &message);
  }
  return 0;
}

static int check(const char* folder, const char* name) {
  static struct vector v;
  static uint8_t out[kRoom];
  static uint8_t again[kRoom];
  static uint8_t buffer[WIRE_COBS_ROOM(WIRE_MOST_BYTES)];
  if (!read_vector(folder, name, &v)) {
    printf("%s/%s cannot be read\n", folder, name);
    return 0;
  }
  struct wire_reader reader = {buffer, sizeof buffer, 0, false, NULL, 0};
  for (size_t i = 0; i + 1 < v.wire_size; ++i) {
    if (wire_take(&reader, v.wire[i]) != WIRE_NOTHING) return 0;
  }
  if (wire_take(&reader, 0) != WIRE_FRAME) {
    printf("%s: no frame\n", name);
    return 0;
  }
  const size_t rebuilt = rebuild(&v, out);
  memcpy(again, out, rebuilt);
  static uint8_t sent[kRoom];
  const size_t sent_size = wire_close(again, rebuilt, sent);
  return same("the frame read", name, reader.frame, reader.size, v.raw,
              v.raw_size) &&
         same("the frame built", name, out, rebuilt, v.raw, v.raw_size) &&
         same("the frame sent", name, sent, sent_size, v.wire, v.wire_size);
}

int main(int argc, char** argv) {
  int failed = 0;
  if (argc != 2) return 2;
  for (size_t i = 0; i < sizeof kFiles / sizeof kFiles[0]; ++i) {
    if (!check(argv[1], kFiles[i])) ++failed;
  }
  printf("%d of %d golden vectors failed\n", failed,
         (int)(sizeof kFiles / sizeof kFiles[0]));
  return failed == 0 ? 0 : 1;
}
