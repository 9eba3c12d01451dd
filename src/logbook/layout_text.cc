#include "logbook/layout_text.h"

#include <array>
#include <charconv>
#include <utility>

namespace masseter {
namespace {

constexpr std::array<std::pair<Role, std::string_view>, 11> kWords = {{
    {Role::kSequence, "seq"},
    {Role::kTimeUs, "t_us"},
    {Role::kTimeMs, "t_ms"},
    {Role::kTimeS, "t_s"},
    {Role::kSupplyMv, "supply_mv"},
    {Role::kTemperatureC, "temp_c"},
    {Role::kAccelXG, "ax_g"},
    {Role::kAccelYG, "ay_g"},
    {Role::kAccelZG, "az_g"},
    {Role::kSkip, "-"},
    {Role::kBoot, "boot"},
}};

constexpr std::string_view kChannelWord = "ch";

std::optional<ColumnRole> ParseWord(std::string_view word) {
  for (const auto& [role, text] : kWords) {
    if (word == text) return ColumnRole{role, -1};
  }
  if (!word.starts_with(kChannelWord)) return std::nullopt;
  word.remove_prefix(kChannelWord.size());
  int channel = 0;
  const char* end = word.data() + word.size();
  const auto [stop, failed] = std::from_chars(word.data(), end, channel);
  if (failed != std::errc() || stop != end) return std::nullopt;
  return ColumnRole{Role::kChannel, channel};
}

std::string WordFor(const ColumnRole& column) {
  for (const auto& [role, text] : kWords) {
    if (column.role == role) return std::string(text);
  }
  return std::string(kChannelWord) + std::to_string(column.channel);
}

}  // namespace

std::string LayoutText(const std::vector<ColumnRole>& layout) {
  std::string out;
  for (const ColumnRole& column : layout) {
    if (!out.empty()) out += ' ';
    out += WordFor(column);
  }
  return out;
}

std::optional<std::vector<ColumnRole>> ParseLayoutText(std::string_view text) {
  std::vector<ColumnRole> layout;
  while (!text.empty()) {
    const std::string_view word = text.substr(0, text.find(' '));
    const auto column = ParseWord(word);
    if (!column) return std::nullopt;
    layout.push_back(*column);
    text.remove_prefix(word.size());
    if (!text.empty()) text.remove_prefix(1);
  }
  return layout;
}

}  // namespace masseter
