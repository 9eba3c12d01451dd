/* A sleeve on the host: the firmware's loop plays a recorded capture
 * (docs/formats/capture.md, columns seq, t_us, channels, supply_mv) in real
 * time or faster. The simulated device of the integration tests.
 *
 *   masseter_sleeve capture.csv TO [--speed 20] [--ring 5000] [--boot 1]
 *     [--loss 0.2] [--duplication 0.05] [--reordering 0.1]
 *     [--cut 2 --away 3 [--stall]] [--reboot 4] [--linger 2]
 *
 * TO: udp:HOST:PORT, tcp (prints where it listens) pty:LINK or file:PATH. Times
 * are of the sleeve's own clock, which --speed makes run faster. It waits for a
 * reader, plays the capture, says goodbye, and stays for --linger seconds to
 * send again what is missing.
 */
#define _GNU_SOURCE
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "firmware/host/line.h"
#include "firmware/sleeve.h"

enum { kMostRows = 200000, kPerFrame = 16 };

struct row {
  uint64_t t_us;
  int32_t counts[WIRE_MOST_CHANNELS];
  uint16_t supply_mv;
};

struct player {
  struct row* rows;
  size_t count;
  size_t next;
  uint8_t channels;
  double speed;
  double began_s;   /* host clock when the capture's clock stood at... */
  uint64_t zero_us; /* ...this */
  uint64_t boot_us; /* clock of the capture at the last start */
  struct line line;
};

static double host_s(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static uint64_t capture_us(const struct player* p) {
  const double elapsed_s = (host_s() - p->began_s) * p->speed;
  return p->zero_us + (uint64_t)(1e6 * elapsed_s);
}

static bool read_row(void* self, int32_t* counts, uint64_t* t_us) {
  struct player* p = self;
  if (p->next == p->count || p->rows[p->next].t_us > capture_us(p)) {
    return false;
  }
  const struct row* row = &p->rows[p->next++];
  memcpy(counts, row->counts, sizeof row->counts);
  *t_us = row->t_us - p->boot_us;
  return true;
}

static uint64_t now_us(void* self) {
  const struct player* p = self;
  return capture_us(p) - p->boot_us;
}

static uint16_t supply_mv(void* self) {
  const struct player* p = self;
  return p->rows[p->next > 0 ? p->next - 1 : 0].supply_mv;
}

static size_t send_bytes(void* self, const uint8_t* bytes, size_t size) {
  return line_send(&((struct player*)self)->line, bytes, size);
}

static size_t receive_bytes(void* self, uint8_t* bytes, size_t room) {
  return line_receive(&((struct player*)self)->line, bytes, room);
}

static bool read_capture(struct player* p, const char* path) {
  static char text[1024];
  FILE* file = fopen(path, "r");
  if (file == NULL || fgets(text, sizeof text, file) == NULL) return false;
  uint8_t commas = 0;
  for (const char* c = text; *c != '\0'; ++c) {
    if (*c == ',') ++commas;
  }
  p->channels = (uint8_t)(commas - 2); /* seq, t_us and supply_mv beside */
  p->rows = calloc(kMostRows, sizeof *p->rows);
  while (p->count < kMostRows && fgets(text, sizeof text, file) != NULL) {
    struct row* row = &p->rows[p->count];
    char* at = strchr(text, ',');
    if (at == NULL) continue;
    row->t_us = strtoull(at + 1, &at, 10);
    for (uint8_t c = 0; c < p->channels; ++c) {
      row->counts[c] = (int32_t)strtol(at + 1, &at, 10);
    }
    row->supply_mv = (uint16_t)strtoul(at + 1, &at, 10);
    ++p->count;
  }
  fclose(file);
  return p->count > 0 && p->channels > 0 && p->channels <= WIRE_MOST_CHANNELS;
}

static double option(int argc, char** argv, const char* name, double value) {
  for (int i = 3; i + 1 < argc; ++i) {
    if (strcmp(argv[i], name) == 0) value = strtod(argv[i + 1], NULL);
  }
  return value;
}

static bool flag(int argc, char** argv, const char* name) {
  for (int i = 3; i < argc; ++i) {
    if (strcmp(argv[i], name) == 0) return true;
  }
  return false;
}

static void boot(struct player* p, struct sleeve* s, uint32_t starts,
                 size_t ring) {
  static uint8_t memory_raw[SLEEVE_RAW(kPerFrame, WIRE_MOST_CHANNELS, 0)];
  static uint8_t memory_out[SLEEVE_OUT(kPerFrame, WIRE_MOST_CHANNELS, 0)];
  static uint8_t memory_in[SLEEVE_IN];
  static uint8_t* memory_ring;
  const size_t ring_size = ring * SLEEVE_SLOT((size_t)p->channels, 0);
  if (memory_ring == NULL) memory_ring = malloc(ring_size);
  const struct sleeve_board board = {p,          read_row,      now_us,
                                     send_bytes, receive_bytes, supply_mv};
  struct sleeve_config config = {0};
  config.name = "played sleeve";
  config.channels = p->channels;
  config.per_frame = kPerFrame;
  config.patience_us = 50000;
  config.boot = sleeve_boot_id(1, starts);
  config.brownouts = starts - 1;
  const struct sleeve_memory memory = {
      memory_ring, ring_size,         memory_raw, sizeof memory_raw,
      memory_out,  sizeof memory_out, memory_in,  sizeof memory_in};
  p->boot_us = capture_us(p);
  if (!sleeve_start(s, &board, &config, &memory)) exit(2);
}

/* Waits for the reader; the clock starts when it is there. */
static void wait_for_reader(struct player* p) {
  printf("--from %s\n", p->line.address);
  fflush(stdout);
  const struct timespec pause = {0, 1000000};
  while (!p->line.came_up) {
    line_mind(&p->line, -1.0);
    nanosleep(&pause, NULL);
  }
  /* Whoever opens a pseudo-terminal cannot be seen: it is given a second. */
  const struct timespec second = {1, 0};
  if (p->line.kind == LINE_PTY) nanosleep(&second, NULL);
}

static void play(struct player* p, size_t ring, double reboot_s,
                 double linger_s) {
  struct sleeve s;
  uint32_t starts = 1;
  double left_at_s = -1.0;
  const struct timespec pause = {0, 200000};
  p->zero_us = p->rows[0].t_us;
  p->began_s = host_s();
  boot(p, &s, starts, ring);
  while (left_at_s < 0.0 || host_s() - left_at_s < linger_s) {
    const double elapsed_s = 1e-6 * (double)(capture_us(p) - p->zero_us);
    line_mind(&p->line, elapsed_s);
    if (starts == 1 && elapsed_s >= reboot_s) boot(p, &s, ++starts, ring);
    if (p->line.came_up) sleeve_link_up(&s);
    p->line.came_up = false;
    for (int i = 0; i < 8; ++i) sleeve_step(&s);
    if (p->next == p->count && left_at_s < 0.0) {
      sleeve_leave(&s);
      left_at_s = host_s();
    }
    nanosleep(&pause, NULL);
  }
}

int main(int argc, char** argv) {
  static struct player p;
  if (argc < 3 || !read_capture(&p, argv[1])) {
    fputs("masseter_sleeve capture.csv TO [options]\n", stderr);
    return 2;
  }
  p.speed = option(argc, argv, "--speed", 1.0);
  struct faults* f = &p.line.faults;
  f->loss = option(argc, argv, "--loss", 0.0);
  f->duplication = option(argc, argv, "--duplication", 0.0);
  f->reordering = option(argc, argv, "--reordering", 0.0);
  f->cut_at_s = option(argc, argv, "--cut", 1e9);
  f->away_s = option(argc, argv, "--away", 0.0);
  f->stall = flag(argc, argv, "--stall");
  f->random = (uint64_t)option(argc, argv, "--seed", 1.0) * 2654435769u;
  if (!line_open(&p.line, argv[2])) return 2;
  wait_for_reader(&p);
  play(&p, (size_t)option(argc, argv, "--ring", 5000.0),
       option(argc, argv, "--reboot", 1e9),
       option(argc, argv, "--linger", 2.0));
  if (p.line.kind == LINE_PTY) unlink(p.line.link);
  return 0;
}
