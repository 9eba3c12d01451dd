// Any bytes as a rig file: a rig that keeps its promises, or one error that
// names the file.
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "app/rig_file.h"

namespace {

void Require(bool holds) {
  if (!holds) std::abort();
}

void CheckRig(const masseter::Rig& rig) {
  Require(!rig.name.empty());
  Require(rig.sample_rate_hz > 0.0 && std::isfinite(rig.sample_rate_hz));
  Require(!rig.channels.empty());
  for (const masseter::Channel& channel : rig.channels) {
    Require(!channel.name.empty());
    Require(channel.x.has_value() == channel.y.has_value());
    Require(channel.adc_min.has_value() == channel.adc_max.has_value());
    if (channel.adc_min) Require(*channel.adc_min < *channel.adc_max);
    if (channel.capacity) Require(channel.capacity->si() > 0.0);
  }
  std::size_t columns = 0;
  for (const masseter::ColumnRole& role : rig.text.columns) {
    if (role.role != masseter::Role::kChannel) continue;
    Require(role.channel >= 0);
    Require(static_cast<std::size_t>(role.channel) < rig.channels.size());
    ++columns;
  }
  Require(columns == rig.channels.size());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto rig = masseter::ParseRig(text, "rig.toml");
  if (rig) {
    CheckRig(*rig);
  } else {
    Require(rig.error().where.rfind("rig.toml", 0) == 0);
    Require(!rig.error().what.empty());
  }
  return 0;
}
