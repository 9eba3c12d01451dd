#define _GNU_SOURCE
#include "firmware/host/line.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

/* Numbers from 0 to 1 that are the same on every machine (xorshift64*). */
static double chance(struct line* line) {
  uint64_t* x = &line->faults.random;
  *x ^= *x >> 12;
  *x ^= *x << 25;
  *x ^= *x >> 27;
  return (double)((*x * 2685821657736338717u) >> 11) / 9007199254740992.0;
}

static bool open_udp(struct line* line, const char* to) {
  char host[64];
  int port = 0;
  if (sscanf(to, "%63[^:]:%d", host, &port) != 2) return false;
  struct sockaddr_in peer = {0};
  peer.sin_family = AF_INET;
  peer.sin_port = htons((uint16_t)port);
  if (inet_pton(AF_INET, host, &peer.sin_addr) != 1) return false;
  line->kind = LINE_UDP;
  line->fd = socket(AF_INET, SOCK_DGRAM | SOCK_NONBLOCK, 0);
  line->came_up = true;
  return connect(line->fd, (struct sockaddr*)&peer, sizeof peer) == 0;
}

static bool open_tcp(struct line* line) {
  struct sockaddr_in at = {0};
  socklen_t size = sizeof at;
  at.sin_family = AF_INET;
  at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  line->kind = LINE_TCP;
  line->listening = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK, 0);
  if (bind(line->listening, (struct sockaddr*)&at, size) != 0 ||
      listen(line->listening, 1) != 0 ||
      getsockname(line->listening, (struct sockaddr*)&at, &size) != 0) {
    return false;
  }
  snprintf(line->address, sizeof line->address, "tcp:127.0.0.1:%d",
           ntohs(at.sin_port));
  return true;
}

static bool plug_in(struct line* line) {
  line->fd = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
  if (line->fd < 0 || grantpt(line->fd) != 0 || unlockpt(line->fd) != 0) {
    return false;
  }
  struct termios raw;
  tcgetattr(line->fd, &raw);
  cfmakeraw(&raw);
  tcsetattr(line->fd, TCSANOW, &raw);
  unlink(line->link);
  line->came_up = true;
  return symlink(ptsname(line->fd), line->link) == 0;
}

bool line_open(struct line* line, const char* to) {
  bool open = false;
  line->fd = -1;
  line->listening = -1;
  if (strncmp(to, "udp:", 4) == 0) open = open_udp(line, to + 4);
  if (strcmp(to, "tcp") == 0) open = open_tcp(line);
  if (strncmp(to, "pty:", 4) == 0) {
    line->kind = LINE_PTY;
    snprintf(line->link, sizeof line->link, "%s", to + 4);
    snprintf(line->address, sizeof line->address, "serial:%s@921600",
             line->link);
    open = plug_in(line);
  }
  if (strncmp(to, "file:", 5) == 0) {
    line->kind = LINE_FILE;
    line->fd = creat(to + 5, 0600);
    line->came_up = true;
    open = line->fd >= 0;
  }
  if (!open) perror(to);
  return open;
}

static void hang_up(struct line* line) {
  if (line->fd < 0) return;
  /* What is on its way is lost, as with a battery that falls out. */
  const struct linger now = {1, 0};
  if (line->kind == LINE_TCP) {
    setsockopt(line->fd, SOL_SOCKET, SO_LINGER, &now, sizeof now);
  }
  close(line->fd);
  line->fd = -1;
}

void line_mind(struct line* line, double elapsed_s) {
  const struct faults* f = &line->faults;
  const bool away =
      elapsed_s >= f->cut_at_s && elapsed_s < f->cut_at_s + f->away_s;
  if (away && !line->away && !f->stall && line->kind != LINE_UDP) {
    hang_up(line);
    if (line->kind == LINE_PTY) unlink(line->link);
  }
  if (!away && line->away && line->kind == LINE_PTY && !f->stall) {
    plug_in(line);
  }
  line->away = away;
  if (away || line->listening < 0) return;
  const int fd = accept4(line->listening, NULL, NULL, SOCK_NONBLOCK);
  if (fd < 0) return;
  const int one = 1;
  setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &one, sizeof one);
  if (line->fd >= 0) close(line->fd);
  line->fd = fd;
  line->came_up = true;
}

static void send_datagram(struct line* line, const uint8_t* bytes,
                          size_t size) {
  if (line->away || chance(line) < line->faults.loss) return;
  (void)!send(line->fd, bytes, size, 0);
  if (chance(line) < line->faults.duplication) {
    (void)!send(line->fd, bytes, size, 0);
  }
}

size_t line_send(void* self, const uint8_t* bytes, size_t size) {
  struct line* line = self;
  if (line->kind == LINE_UDP) {
    if (line->held_size == 0 && size <= sizeof line->held &&
        chance(line) < line->faults.reordering) {
      memcpy(line->held, bytes, size);
      line->held_size = size;
      return size;
    }
    send_datagram(line, bytes, size);
    if (line->held_size > 0) send_datagram(line, line->held, line->held_size);
    line->held_size = 0;
    return size;
  }
  if (line->fd < 0 || line->away) return 0;
  const ssize_t n = line->kind == LINE_TCP
                        ? send(line->fd, bytes, size, MSG_NOSIGNAL)
                        : write(line->fd, bytes, size);
  return n > 0 ? (size_t)n : 0;
}

size_t line_receive(void* self, uint8_t* bytes, size_t room) {
  struct line* line = self;
  static uint8_t datagram[2048];
  static size_t used, at;
  if (line->fd < 0 || line->away || line->kind == LINE_FILE) return 0;
  if (line->kind != LINE_UDP) {
    const ssize_t n = read(line->fd, bytes, room);
    return n > 0 ? (size_t)n : 0;
  }
  if (at == used) {
    const ssize_t n = recv(line->fd, datagram, sizeof datagram, 0);
    if (n <= 0 || chance(line) < line->faults.loss) return 0;
    used = (size_t)n;
    at = 0;
  }
  size_t n = 0;
  while (n < room && at < used) bytes[n++] = datagram[at++];
  return n;
}
