/* What a played sleeve sends over, with faults on demand: UDP, a TCP port that
 * it listens on, a pseudo-terminal that plays a serial port, or a file.
 */
#ifndef MASSETER_FIRMWARE_HOST_LINE_H_
#define MASSETER_FIRMWARE_HOST_LINE_H_

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct faults {
  double loss;        /* share of datagrams, each way; UDP only */
  double duplication; /* share of datagrams sent twice */
  double reordering;  /* share of datagrams held back behind the next one */
  double cut_at_s;    /* the line is lost from here */
  double away_s;      /* for so long */
  bool stall;         /* it is not cut, it only takes nothing any more */
  uint64_t random;    /* seed */
};

struct line {
  enum { LINE_UDP, LINE_TCP, LINE_PTY, LINE_FILE } kind;
  int fd;            /* the connection, -1 when there is none */
  int listening;     /* TCP */
  char address[256]; /* what to give to --from */
  char link[200];    /* PTY: a name that stays */
  struct faults faults;
  bool away;
  bool came_up; /* a connection was opened since this was last cleared */
  uint8_t held[2048];
  size_t held_size;
};

/* "udp:HOST:PORT", "tcp", "pty:LINK" or "file:PATH"; false with a word on
 * stderr. */
bool line_open(struct line* line, const char* to);
/* Minds connections and faults; once a turn. */
void line_mind(struct line* line, double elapsed_s);
size_t line_send(void* self, const uint8_t* bytes, size_t size);
size_t line_receive(void* self, uint8_t* bytes, size_t room);

#endif /* MASSETER_FIRMWARE_HOST_LINE_H_ */
