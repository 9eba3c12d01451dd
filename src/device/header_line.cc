#include "device/header_line.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <utility>

#include "device/number_text.h"

namespace masseter {
namespace {

constexpr std::array<char, 4> kSeparators = {',', ';', '\t', ' '};

bool IsTime(Role role) {
  return role == Role::kTimeUs || role == Role::kTimeMs || role == Role::kTimeS;
}

bool Has(const std::vector<ColumnRole>& roles, ColumnRole role) {
  return std::find(roles.begin(), roles.end(), role) != roles.end();
}

std::string_view Unquoted(std::string_view name) {
  if (name.size() >= 2 && name.front() == '"' && name.back() == '"') {
    name.remove_prefix(1);
    name.remove_suffix(1);
  }
  return name;
}

// The line's names under one separator; nullopt when a field is a number.
std::optional<HeaderLine> NamesUnder(const Rig& rig, std::string_view line,
                                     char separator) {
  std::vector<std::string_view> fields;
  SplitFields(line, separator, fields);
  HeaderLine header;
  header.separator = separator;
  for (const std::string_view field : fields) {
    NumberText number;
    if (ParseNumber(field, true, number) != NumberFault::kNotANumber) {
      return std::nullopt;
    }
    std::string name(Unquoted(field));
    const std::optional<ColumnRole> role = RoleOfName(rig, name);
    if (!role) header.unknown.push_back(name);
    header.roles.push_back(role.value_or(ColumnRole{}));
    header.names.push_back(std::move(name));
  }
  return header;
}

std::size_t KnownCount(const HeaderLine& header) {
  return static_cast<std::size_t>(
      std::count_if(header.roles.begin(), header.roles.end(),
                    [](ColumnRole r) { return r.role != Role::kSkip; }));
}

bool LooksLikeHeader(const Rig& rig, const HeaderLine& header) {
  const std::size_t known = KnownCount(header);
  const std::size_t fields = header.roles.size();
  const std::size_t enough = rig.channels.size() == 1 ? 1 : 2;
  if (known >= enough && 2 * known >= fields) return true;
  // Words of chatter are parted by blanks; there one known word proves little.
  return known >= 1 && header.separator != ' ' &&
         fields == rig.text.columns.size();
}

bool Lists(const std::vector<std::string>& names, std::string_view name) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

}  // namespace

std::string NameOfRole(const Rig& rig, ColumnRole role) {
  switch (role.role) {
    case Role::kSequence:
      return "seq";
    case Role::kTimeUs:
      return "t_us";
    case Role::kTimeMs:
      return "t_ms";
    case Role::kTimeS:
      return "t_s";
    case Role::kChannel:
      return rig.channels.at(static_cast<std::size_t>(role.channel)).name;
    case Role::kSupplyMv:
      return "supply_mv";
    case Role::kTemperatureC:
      return "temp_c";
    case Role::kAccelXG:
      return "ax_g";
    case Role::kAccelYG:
      return "ay_g";
    case Role::kAccelZG:
      return "az_g";
    case Role::kBoot:
      return "boot";
    case Role::kSkip:
      break;
  }
  return "-";
}

std::optional<HeaderLine> ReadHeader(const Rig& rig, std::string_view line) {
  std::optional<HeaderLine> best = NamesUnder(rig, line, rig.text.separator);
  for (const char separator : kSeparators) {
    std::optional<HeaderLine> other = NamesUnder(rig, line, separator);
    if (!other) continue;
    if (!best || KnownCount(*other) > KnownCount(*best)) best = other;
  }
  if (!best || !LooksLikeHeader(rig, *best)) return std::nullopt;
  return best;
}

std::string HeaderFault(const Rig& rig, const HeaderLine& header) {
  for (const char* load : {"mass_kg", "force_n"}) {
    if (!Lists(header.unknown, "direction") || !Lists(header.unknown, load)) {
      continue;
    }
    return std::string("direction and ") + load +
           ": these are bench readings, which masseter calibrate takes";
  }
  std::vector<ColumnRole> seen;
  for (const ColumnRole role : header.roles) {
    if (role.role == Role::kSkip) continue;
    if (Has(seen, role)) return "the name " + NameOfRole(rig, role) + " twice";
    seen.push_back(role);
  }
  for (std::size_t i = 0; i < rig.channels.size(); ++i) {
    const ColumnRole role{Role::kChannel, static_cast<int>(i)};
    if (Has(seen, role)) continue;
    std::string names;
    for (const std::string& name : header.names) {
      if (names.size() > 100) {
        names += ", ...";
        break;
      }
      names += names.empty() ? name : ", " + name;
    }
    return "no channel " + rig.channels[i].name + " (it names " + names + ")";
  }
  return "";
}

bool IsTailOfHeader(const Rig& rig, const HeaderLine& header) {
  const std::vector<ColumnRole>& whole = rig.text.columns;
  const std::size_t count = header.roles.size();
  if (count == 0 || count > whole.size()) return false;
  const std::size_t start = whole.size() - count;
  const std::string first = NameOfRole(rig, whole[start]);
  const std::string& cut = header.names.front();
  const bool first_whole = cut == first;
  if (!first.ends_with(cut) || (first_whole && start == 0)) return false;
  return std::equal(header.roles.begin() + 1, header.roles.end(),
                    whole.begin() + static_cast<std::ptrdiff_t>(start) + 1);
}

std::vector<std::string> HeaderWarnings(const Rig& rig,
                                        const HeaderLine& header) {
  std::vector<std::string> warnings;
  for (const std::string& name : header.unknown) {
    warnings.push_back("the header names " + Quoted(name) +
                       ", which the rig does not have; the column is skipped");
  }
  const auto time = std::find_if(header.roles.begin(), header.roles.end(),
                                 [](ColumnRole r) { return IsTime(r.role); });
  for (const ColumnRole role : rig.text.columns) {
    if (role.role == Role::kSkip || Has(header.roles, role)) continue;
    const std::string name = NameOfRole(rig, role);
    if (IsTime(role.role) && time != header.roles.end()) {
      warnings.push_back("the header names " + NameOfRole(rig, *time) +
                         ", the rig file " + name + "; the header is followed");
    } else {
      warnings.push_back("the header lacks " + name +
                         ", which the rig file names");
    }
  }
  return warnings;
}

std::vector<ColumnRole> KeptLayout(const std::vector<ColumnRole>& roles) {
  std::vector<ColumnRole> layout;
  for (const ColumnRole role : roles) {
    if (role.role != Role::kSkip && !Has(layout, role)) layout.push_back(role);
  }
  return layout;
}

std::optional<FieldPlan> PlanFields(const Rig& rig,
                                    const std::vector<ColumnRole>& roles,
                                    const std::vector<ColumnRole>& layout) {
  FieldPlan plan;
  std::vector<ColumnRole> found;
  for (const ColumnRole role : roles) {
    const auto at = std::find(layout.begin(), layout.end(), role);
    const bool kept = at != layout.end() && !Has(found, role);
    if (kept) found.push_back(role);
    plan.slots.push_back(kept ? static_cast<int>(at - layout.begin())
                              : FieldPlan::kSkipped);
    plan.names.push_back(NameOfRole(rig, role));
  }
  if (found.size() != layout.size()) return std::nullopt;
  return plan;
}

}  // namespace masseter
