#include "pages/qr_code.h"

#include <qrencode.h>

#include <memory>

namespace masseter {

std::vector<std::string> QrModules(std::string_view text) {
  constexpr int kAnyVersion = 0;
  const std::string bytes(text);
  if (bytes.empty() || bytes.find('\0') != std::string::npos) return {};
  const std::unique_ptr<QRcode, void (*)(QRcode*)> code(
      QRcode_encodeString8bit(bytes.c_str(), kAnyVersion, QR_ECLEVEL_M),
      QRcode_free);
  if (!code) return {};
  const auto width = static_cast<std::size_t>(code->width);
  std::vector<std::string> rows(width, std::string(width, '0'));
  for (std::size_t y = 0; y < width; ++y) {
    for (std::size_t x = 0; x < width; ++x) {
      if ((code->data[y * width + x] & 1U) != 0) rows[y][x] = '1';
    }
  }
  return rows;
}

}  // namespace masseter
