// A text as a QR code (ISO/IEC 18004), by libqrencode.
#ifndef MASSETER_PAGES_QR_CODE_H_
#define MASSETER_PAGES_QR_CODE_H_

#include <string>
#include <string_view>
#include <vector>

namespace masseter {

// Rows of modules, '1' dark and '0' light, without the quiet zone of four
// light modules that must surround them. Error correction M (15 %). Empty when
// the text is empty or too long for any code.
std::vector<std::string> QrModules(std::string_view text);

}  // namespace masseter

#endif  // MASSETER_PAGES_QR_CODE_H_
