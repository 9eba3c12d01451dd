// `claim`: what a quoted pressure would mean in force, and against what was
// measured. Answers a claim; never states a bite as a pressure.
#ifndef MASSETER_APP_CLAIM_ANSWER_H_
#define MASSETER_APP_CLAIM_ANSWER_H_

#include <cstddef>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/study/claim.h"

namespace masseter {

// As typed; empty where not given.
struct ClaimQuestion {
  std::string pressure;
  std::string area;
  std::string force;     // to convert, instead of a pressure
  std::string measured;  // "743 N"
  std::string book;      // measured by this logbook's sound bites
};

struct ClaimMeasured {
  RangeOf<Force> range;   // lowest to highest
  Force middle;           // median of a logbook's bites
  std::size_t bites = 0;  // 0 when it was typed
  std::string from;
};

struct ClaimAnswer {
  ClaimQuestion question;
  std::optional<RangeOf<Pressure>> pressure;
  std::optional<RangeOf<Area>> area;
  std::optional<RangeOf<Force>> force;  // claimed, or the one to convert
  std::optional<ClaimMeasured> measured;
  std::optional<RangeOf<Area>> fitting;
  std::optional<ClaimFit> fit;
  std::vector<std::string> words;  // plain sentences
};

Expected<ClaimAnswer> AnswerClaim(const ClaimQuestion& question);
nlohmann::ordered_json ClaimJson(const ClaimAnswer& answer);

// The picture: the measured force where there is one, else the claimed.
std::string ClaimSvg(const ClaimAnswer& answer);

}  // namespace masseter

#endif  // MASSETER_APP_CLAIM_ANSWER_H_
