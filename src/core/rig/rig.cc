#include "core/rig/rig.h"

#include <algorithm>
#include <array>
#include <utility>

namespace masseter {

std::optional<double> NewtonsPerUnit(SignalUnit unit) {
  switch (unit) {
    case SignalUnit::kNewton:
      return 1.0;
    case SignalUnit::kKilogramForce:
      return 9.80665;  // exact, NIST SP 811 App. B
    case SignalUnit::kPoundForce:
      return 4.4482216152605;  // exact product, NIST SP 811 App. B
    case SignalUnit::kCount:
    case SignalUnit::kVolt:
      break;
  }
  return std::nullopt;
}

bool Rig::HasPositions() const {
  return std::all_of(channels.begin(), channels.end(),
                     [](const Channel& c) { return c.x && c.y; });
}

std::optional<Force> Rig::FullRange() const {
  if (safe_load) return safe_load;
  Force sum;
  for (const Channel& c : channels) {
    if (!c.capacity) return std::nullopt;
    sum = sum + *c.capacity;
  }
  return sum;
}

int Rig::ChannelIndex(const std::string& channel_name) const {
  for (std::size_t i = 0; i < channels.size(); ++i) {
    if (channels[i].name == channel_name) return static_cast<int>(i);
  }
  return -1;
}

std::optional<ColumnRole> RoleOfName(const Rig& rig, const std::string& name) {
  static constexpr std::array<std::pair<const char*, Role>, 11> kRoles = {{
      {"seq", Role::kSequence},
      {"t_us", Role::kTimeUs},
      {"t_ms", Role::kTimeMs},
      {"t_s", Role::kTimeS},
      {"supply_mv", Role::kSupplyMv},
      {"temp_c", Role::kTemperatureC},
      {"ax_g", Role::kAccelXG},
      {"ay_g", Role::kAccelYG},
      {"az_g", Role::kAccelZG},
      {"-", Role::kSkip},
      {"boot", Role::kBoot},
  }};
  const int channel = rig.ChannelIndex(name);
  if (channel >= 0) return ColumnRole{Role::kChannel, channel};
  for (const auto& [word, role] : kRoles) {
    if (name == word) return ColumnRole{role, -1};
  }
  return std::nullopt;
}

}  // namespace masseter
