// The codes that open shared pages. There are two, one for each role; whoever
// has one has what it opens, so they are made anew at every start and stand
// nowhere but in the links that the user asked for.
#ifndef MASSETER_PAGES_ACCESS_CODE_H_
#define MASSETER_PAGES_ACCESS_CODE_H_

#include <string>
#include <string_view>

#include "core/base/error.h"

namespace masseter {

enum class PageRole {
  kOnlooker,  // sees everything, changes nothing
  kOperator,  // may also say who is up, give "out", set zero, add a dog
};

// "operator" or "onlooker", as in api/README.md.
std::string_view RoleName(PageRole role);

struct AccessCodes {
  std::string operate;  // opens as the operator
  std::string look_on;  // opens as an onlooker
};

// Digits and letters without I, L, O and U: those of Crockford's base 32
// (https://www.crockford.com/base32.html), five bits each.
inline constexpr std::string_view kCodeLetters =
    "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
inline constexpr std::size_t kCodeLength = 10;  // 50 bits

// Two different codes from the operating system's random numbers (libsodium).
// kMachine when there are none.
Expected<AccessCodes> NewAccessCodes();

// "K7QF3-M2XPD": easier to read aloud and to type.
std::string CodeToType(std::string_view code);

// What was typed, as a code is written: capitals, without spaces and dashes,
// O read as 0, I and L as 1 (as Crockford's base 32 does). At most
// kCodeLength + 1 characters, so that what is too long stays wrong.
std::string CodeAsTyped(std::string_view typed);

}  // namespace masseter

#endif  // MASSETER_PAGES_ACCESS_CODE_H_
