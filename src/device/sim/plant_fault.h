// Faults on demand: one planted into a bite of a drawn day.
#ifndef MASSETER_DEVICE_SIM_PLANT_FAULT_H_
#define MASSETER_DEVICE_SIM_PLANT_FAULT_H_

#include <cstddef>
#include <optional>
#include <string_view>

#include "device/sim/day.h"

namespace masseter::sim {

// The kind that FaultWord names so; nullopt for another word.
std::optional<FaultKind> FaultOf(std::string_view word);

// Adds to `day.faults` a fault of this kind that bite `bite` suffers: a gap of
// 81 ms and a rail of 60 ms across the peak, power lost on the way up, a
// channel stuck from before the bite to after it or loose for most of it, a
// jump of zero (an eighth of the peak) half a second in, broken lines. A
// channel that the sleeve lacks becomes its last.
void PlantFault(FaultKind kind, std::size_t bite, int channel, int channels,
                SimDay& day);

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_PLANT_FAULT_H_
