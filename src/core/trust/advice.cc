#include "core/trust/advice.h"

namespace masseter {

std::string AdviceFor(ReasonCode code, const std::string& channel) {
  const std::string plug =
      channel.empty() ? "the plugs" : "the plug of " + channel;
  const std::string cell = channel.empty() ? "its cell" : channel;
  switch (code) {
    case ReasonCode::kGap:
      return "bring the receiver nearer, send fewer digits, or let the device "
             "store its samples; a shielded cable for a wired sleeve";
    case ReasonCode::kRestart:
      return "charge the battery; a buffer capacitor near the controller "
             "carries it over the radio's bursts";
    case ReasonCode::kSag:
      return "charge or change the battery and look at its leads";
    case ReasonCode::kRail:
      return "a lower gain, or a converter with a longer scale, for " + cell;
    case ReasonCode::kOverload:
      return "look at the zero of " + cell +
             " unloaded, then give it a check load; a bent cell is replaced";
    case ReasonCode::kStuck:
      return "reseat " + plug + ", then press on " + cell +
             " by hand: its value must move";
    case ReasonCode::kGlitch:
      return "read the converter with interrupts off, over short wires";
    case ReasonCode::kLoose:
      return "reseat " + plug +
             " and tie its cable down; shake it unloaded and look for jumps";
    case ReasonCode::kZero:
      return "look for a wedged cover or a bent cell; take the zero anew "
             "before the next dog";
    case ReasonCode::kSlow:
      return "sample faster; with a converter for scales choose its higher "
             "rate";
    case ReasonCode::kEdge:
      return "calibrate with loads out there too, or mark the sleeve's middle "
             "for the helper";
    case ReasonCode::kOdd:
      return "put one known weight on several places; if they disagree, look "
             "at mounts and plugs and calibrate anew";
    case ReasonCode::kMotion:
      return "let the helper swing the unloaded sleeve in all directions "
             "before the "
             "next dog: then its own mass is known";
    case ReasonCode::kUncalibrated:
      return "calibrate with known weights at several places";
    case ReasonCode::kStale:
      return "give the sleeve its check load, or calibrate anew";
    case ReasonCode::kPlace:
      return "three or four cells with known places see where it was gripped";
    case ReasonCode::kClock:
      return "print the time of the conversion, not of the printing, from a "
             "free-running counter";
    case ReasonCode::kWithdrawn:
      return "";  // what a person said needs no cure
  }
  return "";
}

}  // namespace masseter
