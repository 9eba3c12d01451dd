// Sockets on the loopback for tests that play a device.
#ifndef MASSETER_TESTS_INTEGRATION_SOCKETS_H_
#define MASSETER_TESTS_INTEGRATION_SOCKETS_H_

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cstdint>
#include <string_view>

namespace masseter::integration {

// A socket at a port that the system chooses.
inline int Bound(int kind, int* port) {
  const int fd = socket(AF_INET, kind | SOCK_CLOEXEC, 0);
  sockaddr_in at{};
  at.sin_family = AF_INET;
  at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof at;
  bind(fd, reinterpret_cast<sockaddr*>(&at), size);
  getsockname(fd, reinterpret_cast<sockaddr*>(&at), &size);
  *port = ntohs(at.sin_port);
  return fd;
}

// Free as far as one can know beforehand.
inline int FreeUdpPort() {
  int port = 0;
  close(Bound(SOCK_DGRAM, &port));
  return port;
}
inline int FreeTcpPort() {
  int port = 0;
  close(Bound(SOCK_STREAM, &port));
  return port;
}

// A device that waits to be connected to.
struct Listener {
  Listener() : fd(Bound(SOCK_STREAM, &port)) { listen(fd, 1); }
  ~Listener() { close(fd); }
  Listener(const Listener&) = delete;
  Listener& operator=(const Listener&) = delete;
  int Accept() const { return accept4(fd, nullptr, nullptr, SOCK_CLOEXEC); }
  int port = 0;
  int fd;
};

// A connection to a port of this machine, or -1.
inline int ConnectTo(int port) {
  const int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in at{};
  at.sin_family = AF_INET;
  at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  at.sin_port = htons(static_cast<std::uint16_t>(port));
  if (connect(fd, reinterpret_cast<sockaddr*>(&at), sizeof at) == 0) return fd;
  close(fd);
  return -1;
}

inline void SendAll(int fd, std::string_view text) {
  while (!text.empty()) {
    const ssize_t n = send(fd, text.data(), text.size(), MSG_NOSIGNAL);
    if (n <= 0) return;
    text.remove_prefix(static_cast<std::size_t>(n));
  }
}

}  // namespace masseter::integration

#endif  // MASSETER_TESTS_INTEGRATION_SOCKETS_H_
