// Numbers as text: no locale, the same bytes everywhere.
#ifndef MASSETER_DEVICE_SIM_NUMBER_PRINT_H_
#define MASSETER_DEVICE_SIM_NUMBER_PRINT_H_

#include <array>
#include <charconv>
#include <cstdint>
#include <string>

namespace masseter::sim {

inline void AppendInteger(std::string& out, std::int64_t value) {
  std::array<char, 24> text;
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value);
  out.append(text.data(), end.ptr);
}

// `decimals` digits after the point, |value| < 1e15.
inline void AppendFixed(std::string& out, double value, int decimals) {
  std::array<char, 48> text;
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value,
                                 std::chars_format::fixed, decimals);
  out.append(text.data(), end.ptr);
}

inline std::string Fixed(double value, int decimals) {
  std::string out;
  AppendFixed(out, value, decimals);
  return out;
}

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_NUMBER_PRINT_H_
