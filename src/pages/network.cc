#include "pages/network.h"

#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <algorithm>
#include <cstring>
#include <memory>

namespace masseter {
namespace {

namespace ip = boost::asio::ip;

// The IPv4 address inside an IPv6 one that only carries it.
ip::address Plain(const ip::address& address) {
  if (address.is_v6() && address.to_v6().is_v4_mapped()) {
    return ip::make_address_v4(ip::v4_mapped, address.to_v6());
  }
  return address;
}

bool LinkLocal(const ip::address& address) {
  if (address.is_v6()) return address.to_v6().is_link_local();
  const auto bytes = address.to_v4().to_bytes();
  return bytes[0] == 169 && bytes[1] == 254;  // RFC 3927
}

bool OthersCanCall(const ip::address& address) {
  return !address.is_loopback() && !address.is_unspecified() &&
         !address.is_multicast() && !LinkLocal(address);
}

ip::address AddressOf(const sockaddr* address) {
  if (address->sa_family == AF_INET) {
    sockaddr_in v4{};
    std::memcpy(&v4, address, sizeof v4);
    return ip::address_v4(ntohl(v4.sin_addr.s_addr));
  }
  sockaddr_in6 v6{};
  std::memcpy(&v6, address, sizeof v6);
  ip::address_v6::bytes_type bytes;
  std::memcpy(bytes.data(), &v6.sin6_addr, bytes.size());
  return ip::address_v6(bytes);
}

}  // namespace

std::string NetworkOf(const ip::address& address) {
  const ip::address plain = Plain(address);
  if (plain.is_v4()) return plain.to_string();
  auto bytes = plain.to_v6().to_bytes();
  std::fill(bytes.begin() + 8, bytes.end(), static_cast<unsigned char>(0));
  return ip::address_v6(bytes).to_string() + "/64";
}

std::vector<std::string> Callable(const std::vector<ip::address>& addresses) {
  std::vector<std::string> out;
  for (const bool v4 : {true, false}) {
    for (const ip::address& address : addresses) {
      if (address.is_v4() != v4 || !OthersCanCall(address)) continue;
      const std::string text = address.to_string();
      if (std::find(out.begin(), out.end(), text) == out.end()) {
        out.push_back(text);
      }
    }
  }
  return out;
}

std::vector<ip::address> InterfaceAddresses() {
  ifaddrs* all = nullptr;
  if (getifaddrs(&all) != 0) return {};
  const std::unique_ptr<ifaddrs, void (*)(ifaddrs*)> owner(all, freeifaddrs);
  std::vector<ip::address> out;
  for (const ifaddrs* i = all; i != nullptr; i = i->ifa_next) {
    if (i->ifa_addr == nullptr || (i->ifa_flags & IFF_UP) == 0) continue;
    const int family = i->ifa_addr->sa_family;
    if (family == AF_INET || family == AF_INET6) {
      out.push_back(AddressOf(i->ifa_addr));
    }
  }
  return out;
}

std::vector<ListenAddress> CallableAt(const ListenAddress& listen) {
  std::vector<ListenAddress> out;
  if (!listen.any()) {
    boost::system::error_code error;
    const ip::address own = ip::make_address(listen.host, error);
    if (!error && OthersCanCall(own)) out.push_back(listen);
    return out;
  }
  for (const std::string& host : Callable(InterfaceAddresses())) {
    const bool v6 = host.find(':') != std::string::npos;
    if (!v6 || listen.host == "::") out.push_back({host, listen.port});
  }
  return out;
}

}  // namespace masseter
