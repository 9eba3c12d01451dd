// Addresses: those of this machine that others can call, and whose try a
// connection counts as.
#ifndef MASSETER_PAGES_NETWORK_H_
#define MASSETER_PAGES_NETWORK_H_

#include <string>
#include <utility>
#include <vector>

// After <utility>, which Boost 1.74's Asio misses with g++ 12.
#include <boost/asio/ip/address.hpp>

#include "pages/gate.h"

namespace masseter {

// What of an address cannot be changed at will: an IPv4 address (also one that
// is mapped into IPv6), the first 64 bits of an IPv6 address (a subnet, RFC
// 4291 2.5.4, within which a machine picks what it likes).
std::string NetworkOf(const boost::asio::ip::address& address);

// The numeric addresses that other machines can call: no loopback, no
// link-local one (which needs a zone that browsers do not take), none twice;
// IPv4 first, since it is shorter to type.
std::vector<std::string> Callable(
    const std::vector<boost::asio::ip::address>& addresses);

// Those of this machine's interfaces that are up. Empty without a network.
std::vector<boost::asio::ip::address> InterfaceAddresses();

// Where others find what listens on `listen`: every callable address of this
// machine in its family when it listens everywhere (both families for "::"),
// else its own.
std::vector<ListenAddress> CallableAt(const ListenAddress& listen);

}  // namespace masseter

#endif  // MASSETER_PAGES_NETWORK_H_
