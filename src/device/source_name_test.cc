#include <gtest/gtest.h>

#include <string>

#include "device/source.h"

namespace masseter {
namespace {

const std::string kForms =
    "; a source is serial:PATH@BAUD, tcp:HOST:PORT, udp:PORT, "
    "mqtt:HOST/TOPIC, file:PATH or - (standard input)";

std::string Refusal(const std::string& text) {
  const Expected<SourceName> name = ParseSourceName(text);
  return name ? "taken" : name.error().Text();
}

TEST(SourceName, ReadsASerialPortWithItsBaudRate) {
  const SourceName name = ParseSourceName("serial:/dev/ttyUSB0@921600").value();
  EXPECT_EQ(name.kind, SourceName::Kind::kSerial);
  EXPECT_EQ(name.path, "/dev/ttyUSB0");
  EXPECT_EQ(name.baud, 921600);
  EXPECT_EQ(name.text, "serial:/dev/ttyUSB0@921600");
}

TEST(SourceName, GivesASerialPort115200BaudWhenNoneIsNamed) {
  EXPECT_EQ(ParseSourceName("serial:/dev/ttyACM0").value().baud, 115200);
}

TEST(SourceName, ReadsHostAndPort) {
  const SourceName name = ParseSourceName("tcp:sleeve.local:5000").value();
  EXPECT_EQ(name.kind, SourceName::Kind::kTcp);
  EXPECT_EQ(name.host, "sleeve.local");
  EXPECT_EQ(name.port, 5000);
}

TEST(SourceName, TakesTheBracketsOffAnIpv6Address) {
  const SourceName name = ParseSourceName("tcp:[fe80::1%eth0]:7").value();
  EXPECT_EQ(name.host, "fe80::1%eth0");
  EXPECT_EQ(name.port, 7);
}

TEST(SourceName, ReadsUdpFileAndStandardInput) {
  EXPECT_EQ(ParseSourceName("udp:5005").value().port, 5005);
  EXPECT_EQ(ParseSourceName("file:C:/a day.csv").value().path, "C:/a day.csv");
  EXPECT_EQ(ParseSourceName("-").value().kind, SourceName::Kind::kStdin);
}

TEST(SourceName, RefusesWhatItCannotReadAndListsTheForms) {
  EXPECT_EQ(Refusal(""), "\"\" is not a source" + kForms);
  EXPECT_EQ(Refusal("ttyUSB0"), "\"ttyUSB0\" is not a source" + kForms);
  EXPECT_EQ(Refusal("serial"), "\"serial\" is not a source" + kForms);
  EXPECT_EQ(Refusal("usb:1"), "\"usb:1\" is not a source" + kForms);
  EXPECT_EQ(Refusal("serial:"), "\"serial:\" names no port" + kForms);
  EXPECT_EQ(Refusal("serial:/dev/x@fast"),
            "\"serial:/dev/x@fast\" has no baud rate after the @" + kForms);
  EXPECT_EQ(Refusal("serial:/dev/x@0"),
            "\"serial:/dev/x@0\" has no baud rate after the @" + kForms);
  EXPECT_EQ(Refusal("tcp:sleeve"),
            "\"tcp:sleeve\" has no port number" + kForms);
  EXPECT_EQ(Refusal("tcp::5000"), "\"tcp::5000\" names no host" + kForms);
  EXPECT_EQ(Refusal("tcp:a:65536"),
            "\"tcp:a:65536\" has no port from 1 to 65535" + kForms);
  EXPECT_EQ(Refusal("tcp:::1:5000"),
            "\"tcp:::1:5000\" is not clear: an IPv6 address stands in "
            "brackets, tcp:[::1]:5000" +
                kForms);
  EXPECT_EQ(Refusal("udp:0"), "\"udp:0\" has no port from 1 to 65535" + kForms);
  EXPECT_EQ(Refusal("udp:5 "),
            "\"udp:5 \" has no port from 1 to 65535" + kForms);
  EXPECT_EQ(Refusal("file:"), "\"file:\" names no file" + kForms);
}

TEST(SourceName, ReadsBrokersAndTopics) {
  const auto plain = ParseSourceName("mqtt:broker.local/club/sleeve").value();
  EXPECT_EQ(plain.kind, SourceName::Kind::kMqtt);
  EXPECT_EQ(plain.host, "broker.local");
  EXPECT_EQ(plain.port, 1883);  // registered with IANA
  EXPECT_EQ(plain.path, "club/sleeve");
  const auto ported = ParseSourceName("mqtt:10.0.0.2:1884/s").value();
  EXPECT_EQ(ported.host, "10.0.0.2");
  EXPECT_EQ(ported.port, 1884);
  EXPECT_EQ(ParseSourceName("mqtt:[::1]:1884/s").value().host, "::1");
  EXPECT_EQ(ParseSourceName("mqtt:[::1]/s").value().port, 1883);
  for (const char* text :
       {"mqtt:broker", "mqtt:broker/", "mqtt:/topic", "mqtt:broker:0/t",
        "mqtt:::1/t", "mqtt:broker/a/#", "mqtt:broker/+/b"}) {
    EXPECT_FALSE(ParseSourceName(text)) << text;
  }
}

}  // namespace
}  // namespace masseter
