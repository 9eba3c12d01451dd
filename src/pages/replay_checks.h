// The guided checks of the made-up day. Their items settle with time, as a
// sleeve's would; the check load is read by a curve that strays with the mass.
//
// Thread rule: one thread at a time.
#ifndef MASSETER_PAGES_REPLAY_CHECKS_H_
#define MASSETER_PAGES_REPLAY_CHECKS_H_

#include <nlohmann/json.hpp>
#include <string>

#include "core/base/error.h"

namespace masseter::replay {

class ReplayChecks {
 public:
  using Json = nlohmann::json;
  explicit ReplayChecks(int sleeves) : sleeves_(sleeves) {}

  // Obeys `checks`, `load` and `passed`; `clock` is the moment.
  Expected<void> Take(const Json& action, const std::string& clock);
  // Goes on by a twentieth of a second. True when Message() should be sent.
  bool Tick();
  // The `checks` message of api/README.md.
  Json Message() const;
  static bool Knows(const std::string& type);

 private:
  Expected<void> Open(const std::string& stage);
  Expected<void> Pass(const Json& action, const std::string& clock);
  Json Items() const;
  Json Item(const char* what, int sleeve) const;
  Json LoadItem(int sleeve) const;

  int sleeves_;
  std::string stage_ = "none";
  int ticks_ = 0;       // since the stage was opened
  int load_ticks_ = 0;  // until the check load is read
  double mass_kg_ = 0.0;
  Json load_;
  Json passed_;
};

}  // namespace masseter::replay

#endif  // MASSETER_PAGES_REPLAY_CHECKS_H_
