// Reads QR codes back with ZBar, which is none of what draws them.
#ifndef MASSETER_PAGES_QR_TESTING_H_
#define MASSETER_PAGES_QR_TESTING_H_

#include <zbar.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

namespace masseter::qr_testing {

// Grey pixels, row after row; 0 is black.
struct Picture {
  std::size_t width = 0;
  std::size_t height = 0;
  std::vector<unsigned char> grey;
};

// Modules ('1' dark) as a picture, four pixels each, with a quiet zone of
// `quiet` modules.
inline Picture Drawn(const std::vector<std::string>& rows,
                     std::size_t quiet = 4) {
  constexpr std::size_t kScale = 4;
  const std::size_t across = rows.empty() ? 0 : rows[0].size();
  Picture out;
  out.width = (across + 2 * quiet) * kScale;
  out.height = (rows.size() + 2 * quiet) * kScale;
  out.grey.assign(out.width * out.height, 255);
  for (std::size_t y = 0; y < rows.size() * kScale; ++y) {
    for (std::size_t x = 0; x < across * kScale; ++x) {
      if (rows[y / kScale][x / kScale] != '1') continue;
      out.grey[(y + quiet * kScale) * out.width + x + quiet * kScale] = 0;
    }
  }
  return out;
}

// What ZBar finds in a picture; several codes are joined by a space, in the
// order of their left edges.
inline std::string Decode(const Picture& picture) {
  zbar::ImageScanner scanner;
  scanner.set_config(zbar::ZBAR_NONE, zbar::ZBAR_CFG_ENABLE, 0);
  scanner.set_config(zbar::ZBAR_QRCODE, zbar::ZBAR_CFG_ENABLE, 1);
  zbar::Image image(static_cast<unsigned>(picture.width),
                    static_cast<unsigned>(picture.height), "Y800",
                    picture.grey.data(), picture.grey.size());
  scanner.scan(image);
  std::vector<std::pair<int, std::string>> found;
  for (auto symbol = image.symbol_begin(); symbol != image.symbol_end();
       ++symbol) {
    found.emplace_back(symbol->get_location_x(0), symbol->get_data());
  }
  std::sort(found.begin(), found.end());
  std::string out;
  for (const auto& [x, text] : found) out += (out.empty() ? "" : " ") + text;
  return out;
}

}  // namespace masseter::qr_testing

#endif  // MASSETER_PAGES_QR_TESTING_H_
