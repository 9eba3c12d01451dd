#include "selftest/certified_data.h"

#include <limits>

#include "core/base/text_fields.h"

namespace masseter::selftest {
namespace {

std::string_view NextLine(std::string_view& text) {
  const std::size_t end = text.find('\n');
  const std::string_view line = text.substr(0, end);
  text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
  return line;
}

}  // namespace

Table CertifiedTable(std::string_view name) {
  Table table;
  for (const CertifiedFile& file : CertifiedFiles()) {
    if (file.name != name) continue;
    std::string_view text = file.text;
    const auto names = SplitFields(NextLine(text), ',');
    while (!text.empty()) {
      const auto cells = SplitFields(NextLine(text), ',');
      for (std::size_t i = 0; i < names.size() && i < cells.size(); ++i) {
        table[std::string(Trim(names[i]))].push_back(
            ParseNumber(cells[i]).value_or(
                std::numeric_limits<double>::quiet_NaN()));
      }
    }
  }
  return table;
}

}  // namespace masseter::selftest
