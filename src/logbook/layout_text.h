// A capture's column layout as words for the logbook: "seq t_us ch0 ch1
// supply_mv". "chN" is the rig's channel N, counted from 0.
#ifndef MASSETER_LOGBOOK_LAYOUT_TEXT_H_
#define MASSETER_LOGBOOK_LAYOUT_TEXT_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/rig/rig.h"

namespace masseter {

std::string LayoutText(const std::vector<ColumnRole>& layout);

// nullopt for a word that is not in the list.
std::optional<std::vector<ColumnRole>> ParseLayoutText(std::string_view text);

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_LAYOUT_TEXT_H_
