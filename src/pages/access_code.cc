#include "pages/access_code.h"

#include <sodium.h>

namespace masseter {
namespace {

std::string NewCode() {
  std::string code;
  while (code.size() < kCodeLength) {
    code += kCodeLetters[randombytes_uniform(kCodeLetters.size())];
  }
  return code;
}

}  // namespace

std::string_view RoleName(PageRole role) {
  return role == PageRole::kOperator ? "operator" : "onlooker";
}

Expected<AccessCodes> NewAccessCodes() {
  if (sodium_init() < 0) {
    return MachineFailure("", "this system gives no random numbers for codes");
  }
  AccessCodes codes{NewCode(), NewCode()};
  while (codes.look_on == codes.operate) codes.look_on = NewCode();
  return codes;
}

std::string CodeToType(std::string_view code) {
  const std::string_view head = code.substr(0, code.size() / 2);
  return std::string(head) + "-" + std::string(code.substr(head.size()));
}

std::string CodeAsTyped(std::string_view typed) {
  std::string code;
  for (char c : typed) {
    if (c == ' ' || c == '-' || c == '\t' || c == '\r' || c == '\n') continue;
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    if (c == 'O') c = '0';
    if (c == 'I' || c == 'L') c = '1';
    code += c;
    if (code.size() > kCodeLength) break;
  }
  return code;
}

}  // namespace masseter
