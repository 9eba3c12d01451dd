// The instrument as built: what the rig file says, validated, in SI units.
// The TOML text itself is read in src/app/rig_file.h; nothing here parses.
#ifndef MASSETER_CORE_RIG_RIG_H_
#define MASSETER_CORE_RIG_RIG_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/quantity/quantity.h"

namespace masseter {

// What a channel's number stands for before calibration.
enum class SignalUnit { kCount, kNewton, kKilogramForce, kPoundForce, kVolt };

// Newtons per unit for units that are already a force; nullopt for counts and
// volts, which mean nothing until calibrated. Factors: NIST SP 811 App. B.
std::optional<double> NewtonsPerUnit(SignalUnit unit);

// One load cell with its amplifier and converter.
struct Channel {
  std::string name;
  std::optional<Length> x;  // along the sleeve from its middle, + to the elbow
  std::optional<Length> y;  // across the sleeve
  std::optional<Force> capacity;
  // The ends of the converter's scale, in the channel's own unit. From
  // `adc_bits` (two's complement) or `adc_min`/`adc_max`.
  std::optional<double> adc_min;
  std::optional<double> adc_max;
  SignalUnit unit = SignalUnit::kCount;
};

// What one column of the device's text means.
enum class Role : std::uint8_t {
  kSequence,
  kTimeUs,
  kTimeMs,
  kTimeS,
  kChannel,
  kSupplyMv,
  kTemperatureC,
  kAccelXG,
  kAccelYG,
  kAccelZG,
  kSkip,
  kBoot,  // another number after each start of the device
};

struct ColumnRole {
  Role role = Role::kSkip;
  int channel = -1;  // index into Rig::channels when role == kChannel
  bool operator==(const ColumnRole&) const = default;
};

// How the device prints one sample a line.
struct TextFormat {
  char separator = ',';  // ',' ';' '\t' or ' ' (any run of blanks)
  std::vector<ColumnRole> columns;
};

struct Rig {
  std::string name;
  double sample_rate_hz = 0.0;  // nominal, > 0
  std::optional<Force> safe_load;
  std::optional<double> bandwidth_hz;
  std::optional<Mass> moving_mass;
  std::optional<Length> grip_thickness;
  std::string cover;
  TextFormat text;
  std::vector<Channel> channels;  // one at least
  std::optional<double> supply_minimum_mv;

  // True when every channel has a place, so that a grip can be located.
  bool HasPositions() const;
  // The sleeve's full range in newtons: safe load, else the sum of the cells'
  // capacities, else nullopt.
  std::optional<Force> FullRange() const;
  // Index of the channel called `name`, or -1.
  int ChannelIndex(const std::string& name) const;
};

// The role a column or header name stands for ("t_us", "c1", "-"); nullopt for
// a name that is neither a role nor one of the rig's channels.
std::optional<ColumnRole> RoleOfName(const Rig& rig, const std::string& name);

}  // namespace masseter

#endif  // MASSETER_CORE_RIG_RIG_H_
