// The golden vectors for C++ tests.
#ifndef MASSETER_WIRE_GOLDEN_TESTING_H_
#define MASSETER_WIRE_GOLDEN_TESTING_H_

#include <cstdint>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace masseter {

struct GoldenVector {
  std::vector<std::uint8_t> raw;   // before check sum and COBS
  std::vector<std::uint8_t> wire;  // as it is sent
  std::vector<std::string> text;   // the same samples as text
};

inline std::vector<std::uint8_t> HexBytes(const std::string& text) {
  std::vector<std::uint8_t> bytes;
  std::istringstream in(text);
  for (std::string word; in >> word;) {
    bytes.push_back(static_cast<std::uint8_t>(std::stoul(word, nullptr, 16)));
  }
  return bytes;
}

inline GoldenVector ReadGolden(const std::string& name) {
  GoldenVector golden;
  std::ifstream file(std::string(MASSETER_SOURCE_DIR) + "/wire/golden/" + name +
                     ".hex");
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("raw ")) golden.raw = HexBytes(line.substr(4));
    if (line.starts_with("wire ")) golden.wire = HexBytes(line.substr(5));
    if (line.starts_with("text ")) golden.text.push_back(line.substr(5));
  }
  return golden;
}

}  // namespace masseter

#endif  // MASSETER_WIRE_GOLDEN_TESTING_H_
