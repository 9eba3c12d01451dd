#include "pages/gate.h"

#include <gtest/gtest.h>

namespace masseter {
namespace {

TEST(ParseListen, ReadsAddressesAndPorts) {
  EXPECT_EQ(ParseListen("127.0.0.1:8600")->Text(), "127.0.0.1:8600");
  EXPECT_EQ(ParseListen("localhost:0")->Text(), "127.0.0.1:0");
  EXPECT_EQ(ParseListen("[::1]:8600")->Text(), "[::1]:8600");
  EXPECT_EQ(ParseListen("0.0.0.0:80")->Url(), "http://127.0.0.1:80/");
}

TEST(ParseListen, RefusesWhatIsNoAddress) {
  for (const char* text :
       {"", ":8600", "8600", "127.0.0.1", "127.0.0.1:", "127.0.0.1:65536",
        "127.0.0.1:-1", "127.0.0.1:8600x", "example.org:8600", "[::1:8600",
        "[::1]8600", "999.0.0.1:8600", "::1:8600"}) {
    const auto listen = ParseListen(text);
    ASSERT_FALSE(listen.has_value()) << text;
    EXPECT_EQ(listen.error().kind, ErrorKind::kBadInput);
    EXPECT_EQ(listen.error().what.find('\n'), std::string::npos);
  }
}

TEST(Gate, KnowsItsOwnNamesAndNoOther) {
  const Gate gate({"127.0.0.1", 8600}, {"laptop.local"});
  for (const char* host : {"127.0.0.1:8600", "localhost:8600", "LocalHost:8600",
                           "[::1]:8600", "laptop.local:8600"}) {
    EXPECT_TRUE(gate.HostAllowed(host)) << host;
  }
  for (const char* host :
       {"", "localhost", "localhost:8601", "stranger.example:8600",
        "127.0.0.1.stranger.example:8600", "192.168.1.5:8600", "[::1",
        "localhost:8600:8600", "localhost.:8600"}) {
    EXPECT_FALSE(gate.HostAllowed(host)) << host;
  }
}

TEST(Gate, TakesAnyNumberWhenItListensEverywhere) {
  const Gate gate({"0.0.0.0", 8600}, {});
  EXPECT_TRUE(gate.HostAllowed("192.168.1.5:8600"));
  EXPECT_TRUE(gate.HostAllowed("[2001:db8::1]:8600"));
  EXPECT_FALSE(gate.HostAllowed("stranger.example:8600"));
  EXPECT_FALSE(gate.HostAllowed("[fe80::1%stranger.example]:8600"));
}

TEST(Gate, LeavesThePortOutOnlyAt80) {
  EXPECT_TRUE(Gate({"127.0.0.1", 80}, {}).HostAllowed("localhost"));
  EXPECT_FALSE(Gate({"127.0.0.1", 8600}, {}).HostAllowed("localhost"));
}

TEST(Gate, LetsOnlyItsOwnPageListen) {
  const Gate gate({"127.0.0.1", 8600}, {});
  const char* host = "127.0.0.1:8600";
  EXPECT_TRUE(gate.OriginAllowed("http://127.0.0.1:8600", host));
  EXPECT_TRUE(gate.OriginAllowed("", host));
  for (const char* origin :
       {"null", "http://stranger.example", "https://127.0.0.1:8600",
        "http://127.0.0.1:8601", "http://localhost:8600"}) {
    EXPECT_FALSE(gate.OriginAllowed(origin, host)) << origin;
  }
  EXPECT_FALSE(gate.OriginAllowed("http://stranger.example:8600",
                                  "stranger.example:8600"));
}

TEST(ListenAddress, KnowsWhatOnlyThisMachineCanCall) {
  for (const char* host : {"127.0.0.1", "127.8.9.1", "::1"}) {
    EXPECT_TRUE((ListenAddress{host, 8600}.loopback())) << host;
  }
  for (const char* host : {"0.0.0.0", "::", "192.0.2.7", "fd00::2", "x", ""}) {
    EXPECT_FALSE((ListenAddress{host, 8600}.loopback())) << host;
  }
}

}  // namespace
}  // namespace masseter
