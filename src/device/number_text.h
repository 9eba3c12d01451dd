// Numbers as devices print them, and text from a device made fit to print.
#ifndef MASSETER_DEVICE_NUMBER_TEXT_H_
#define MASSETER_DEVICE_NUMBER_TEXT_H_

#include <cstdint>
#include <string>
#include <string_view>

namespace masseter {

// One value as printed: an integer when it has neither decimal sign nor
// exponent, else a double.
struct NumberText {
  bool decimal = false;
  std::int64_t integer = 0;  // when !decimal
  double real = 0.0;         // when decimal
};

enum class NumberFault {
  kNone,
  kEmpty,
  kNotANumber,
  kNotFinite,   // "nan", "inf"
  kBeyond64,    // an integer beyond 64 bits
  kOutOfRange,  // a decimal beyond the range of a double
};

// Reads the whole of `text`: [+-] digits, or a decimal with '.' or, when
// `decimal_comma`, ',' as its sign, with or without exponent. No blanks, no
// thousands marks, no locale. `value` is set only when kNone is returned.
NumberFault ParseNumber(std::string_view text, bool decimal_comma,
                        NumberText& value);

// `text` between double quotes, at most 32 bytes of it, fewer when many are
// not printable ("..." follows where it was cut); bytes that are neither
// printable ASCII nor well-formed UTF-8 appear as \x00.
std::string Quoted(std::string_view text);

}  // namespace masseter

#endif  // MASSETER_DEVICE_NUMBER_TEXT_H_
