#include <gtest/gtest.h>

#include <string>
#include <utility>
//
#include <boost/asio/buffer.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ip/udp.hpp>
#include <boost/asio/write.hpp>

#include "device/source_testing.h"

namespace masseter {
namespace {

using boost::asio::buffer;
using boost::asio::ip::tcp;
using boost::asio::ip::udp;

// A sleeve that listens on a free port of this machine.
struct Sleeve {
  explicit Sleeve(const char* address = "127.0.0.1")
      : acceptor(io, tcp::endpoint(boost::asio::ip::make_address(address), 0)),
        socket(io),
        port(std::to_string(acceptor.local_endpoint().port())) {}
  boost::asio::io_context io;
  tcp::acceptor acceptor;
  tcp::socket socket;
  std::string port;
};

TEST(TcpSource, HandsOnWhatTheDeviceSends) {
  Sleeve sleeve;
  Listening listening("tcp:localhost:" + sleeve.port);
  ASSERT_TRUE(listening.RunUntil([&] { return !listening.up.empty(); }))
      << listening.EndText();
  EXPECT_EQ(listening.up, "connected to 127.0.0.1:" + sleeve.port);
  sleeve.acceptor.accept(sleeve.socket);
  std::string sent;
  for (int i = 0; i < 500; ++i) {
    const std::string piece = std::to_string(i * 7919) + (i % 3 ? "," : "\r\n");
    boost::asio::write(sleeve.socket, buffer(piece));
    sent += piece;
  }
  ASSERT_TRUE(listening.RunUntil([&] { return listening.bytes == sent; }));
  EXPECT_GT(listening.times.front(), 1.7e9);
  EXPECT_EQ(listening.ends, 0);
}

TEST(TcpSource, EndsWithAnErrorWhenTheDeviceClosesAndKeepsWhatCameBefore) {
  Sleeve sleeve;
  Listening listening("tcp:127.0.0.1:" + sleeve.port);
  ASSERT_TRUE(listening.RunUntil([&] { return !listening.up.empty(); }));
  sleeve.acceptor.accept(sleeve.socket);
  boost::asio::write(sleeve.socket, buffer(std::string("1,2,3\n4,5")));
  sleeve.socket.close();
  ASSERT_TRUE(listening.RunToEnd());
  EXPECT_EQ(listening.bytes, "1,2,3\n4,5");
  EXPECT_EQ(listening.EndText(),
            "127.0.0.1:" + sleeve.port + ": the device closed the connection");
  EXPECT_EQ(listening.end_error->kind, ErrorKind::kMachine);
}

TEST(TcpSource, ConnectsToAnIpv6AddressInBrackets) {
  try {
    Sleeve sleeve("::1");
    Listening listening("tcp:[::1]:" + sleeve.port);
    ASSERT_TRUE(listening.RunUntil([&] { return !listening.up.empty(); }))
        << listening.EndText();
    EXPECT_EQ(listening.up, "connected to [::1]:" + sleeve.port);
  } catch (const boost::system::system_error&) {
    GTEST_SKIP() << "no IPv6 here";
  }
}

TEST(TcpSource, SaysThatNothingListens) {
  std::string port;
  {
    Sleeve sleeve;
    port = sleeve.port;
  }
  Listening listening("tcp:127.0.0.1:" + port);
  ASSERT_TRUE(listening.RunToEnd());
  EXPECT_EQ(listening.EndText(), "127.0.0.1:" + port +
                                     ": nothing listens there; is the sleeve "
                                     "on and the port right");
  EXPECT_EQ(listening.end_error->kind, ErrorKind::kMachine);
}

TEST(TcpSource, MayBeDestroyedWhileItConnects) {
  Sleeve sleeve;
  Listening listening("tcp:127.0.0.1:" + sleeve.port);
  listening.io.poll_one();
  listening.source.reset();
  listening.io.restart();
  listening.io.run();
  EXPECT_EQ(listening.up, "");
  EXPECT_EQ(listening.ends, 0);
}

// A free UDP port, as far as one can know beforehand.
std::string FreeUdpPort() {
  boost::asio::io_context io;
  udp::socket probe(io, udp::endpoint(udp::v4(), 0));
  return std::to_string(probe.local_endpoint().port());
}

TEST(UdpSource, AppendsDatagramsInTheOrderOfTheirArrival) {
  const std::string port = FreeUdpPort();
  Listening listening("udp:" + port);
  ASSERT_TRUE(listening.RunUntil([&] { return !listening.up.empty(); }))
      << listening.EndText();
  EXPECT_EQ(listening.up, "listening on UDP port " + port);
  boost::asio::io_context io;
  udp::socket device(io, udp::endpoint(udp::v4(), 0));
  const udp::endpoint here(boost::asio::ip::make_address("127.0.0.1"),
                           static_cast<unsigned short>(std::stoi(port)));
  for (const char* text : {"1,2\n", "", "3,4\n5,", "6\n"}) {
    device.send_to(buffer(std::string(text)), here);
  }
  ASSERT_TRUE(listening.RunUntil([&] { return listening.bytes.size() >= 12; }));
  EXPECT_EQ(listening.bytes, "1,2\n3,4\n5,6\n");
  EXPECT_EQ(listening.ends, 0);
}

TEST(UdpSource, SaysThatThePortIsTaken) {
  const std::string port = FreeUdpPort();
  Listening first("udp:" + port);
  ASSERT_TRUE(first.RunUntil([&] { return !first.up.empty(); }));
  Listening second("udp:" + port);
  ASSERT_TRUE(second.RunToEnd());
  EXPECT_EQ(second.EndText(),
            "udp:" + port +
                ": the port is taken by another program; choose another one "
                "here and in the sleeve");
}

}  // namespace
}  // namespace masseter
