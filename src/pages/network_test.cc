#include "pages/network.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace masseter {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

boost::asio::ip::address Address(const char* text) {
  return boost::asio::ip::make_address(text);
}

TEST(NetworkOf, TellsAMachineByWhatItCannotChange) {
  EXPECT_EQ(NetworkOf(Address("192.0.2.7")), "192.0.2.7");
  EXPECT_EQ(NetworkOf(Address("::ffff:192.0.2.7")), "192.0.2.7");
  EXPECT_EQ(NetworkOf(Address("2001:db8:1:2:3:4:5:6")), "2001:db8:1:2::/64");
  EXPECT_EQ(NetworkOf(Address("2001:db8:1:2:ffff::1")), "2001:db8:1:2::/64");
  EXPECT_NE(NetworkOf(Address("2001:db8:1:3::1")), "2001:db8:1:2::/64");
}

// Addresses of RFC 5737, 3849, 3927, 4193 and 4291.
TEST(Callable, LeavesOutWhatOthersCannotCall) {
  EXPECT_THAT(
      Callable({Address("::1"), Address("127.0.0.1"), Address("fe80::1"),
                Address("fd00::2"), Address("169.254.7.7"),
                Address("192.0.2.7"), Address("192.0.2.7"), Address("0.0.0.0"),
                Address("224.0.0.1"), Address("198.51.100.1")}),
      ElementsAre("192.0.2.7", "198.51.100.1", "fd00::2"));
  EXPECT_THAT(Callable({}), IsEmpty());
}

TEST(InterfaceAddresses, HoldTheLoopbackOne) {
  EXPECT_THAT(InterfaceAddresses(), ::testing::Contains(Address("127.0.0.1")));
}

TEST(CallableAt, NamesTheOneAddressThatWasGiven) {
  const auto own = CallableAt({"192.0.2.7", 8600});
  ASSERT_EQ(own.size(), 1U);
  EXPECT_EQ(own[0].Url(), "http://192.0.2.7:8600/");
  EXPECT_THAT(CallableAt({"127.0.0.1", 8600}), IsEmpty());
  for (const ListenAddress& each : CallableAt({"0.0.0.0", 8600})) {
    EXPECT_EQ(each.host.find(':'), std::string::npos) << each.host;
    EXPECT_EQ(each.port, 8600);
  }
}

}  // namespace
}  // namespace masseter
