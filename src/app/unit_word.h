// A channel's unit as the rig file writes it.
#ifndef MASSETER_APP_UNIT_WORD_H_
#define MASSETER_APP_UNIT_WORD_H_

#include <string_view>

#include "core/rig/rig.h"

namespace masseter {

inline std::string_view UnitWord(SignalUnit unit) {
  switch (unit) {
    case SignalUnit::kCount:
      return "count";
    case SignalUnit::kNewton:
      return "N";
    case SignalUnit::kKilogramForce:
      return "kgf";
    case SignalUnit::kPoundForce:
      return "lbf";
    case SignalUnit::kVolt:
      break;
  }
  return "V";
}

}  // namespace masseter

#endif  // MASSETER_APP_UNIT_WORD_H_
