// What the operator of the made-up day has said: roster, running order, limits,
// notes, bites struck out, who is up. Every word can be taken back.
//
// Thread rule: one thread at a time.
#ifndef MASSETER_PAGES_REPLAY_BOOK_H_
#define MASSETER_PAGES_REPLAY_BOOK_H_

#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

#include "core/base/error.h"

namespace masseter::replay {

// The moment at which the operator speaks.
struct Moment {
  std::string clock;
  std::vector<std::string> up;  // the dog of each sleeve
  int bites = 0;                // measured so far; their numbers are 1 to this
};

class ReplayBook {
 public:
  using Json = nlohmann::json;
  ReplayBook();

  // Obeys one action of api/README.md, but for those of the checks. kBadInput
  // with a sentence for the page when it cannot be done.
  Expected<void> Take(const Json& action, const Moment& moment);

  const Json& roster() const { return said_.roster; }
  const Json& order() const { return said_.order; }
  const Json& notes() const { return said_.notes; }
  // {bites, minutes} of a dog, null where none is set.
  Json Limits(const std::string& dog) const;
  // Why a bite was struck out, "" while it counts.
  std::string Struck(int bite) const;
  // The dog that the operator sent to a sleeve, or null.
  const std::string* Chosen(int sleeve) const;
  // What `undo` would take back, or null.
  Json Undo() const;

 private:
  struct Said {
    Json roster = Json::array();
    Json order = Json::array();
    Json notes = Json::array();
    std::map<std::string, Json> limits;
    std::map<int, std::string> struck;
    std::map<int, std::string> chosen;
  };
  // Each gives what `undo` will call it.
  Expected<std::string> Up(const Json& action, const Moment& moment);
  Expected<std::string> Dog(const Json& action);
  Expected<std::string> Order(const Json& action);
  Expected<std::string> Limit(const Json& action);
  Expected<std::string> Note(const Json& action, const Moment& moment);
  Expected<std::string> Strike(const Json& action, const Moment& moment);
  Expected<std::string> Restore(const Json& action, const Moment& moment);
  Expected<std::string> Obey(const Json& action, const Moment& moment);
  bool Listed(const std::string& dog) const;

  Said said_;
  std::vector<std::pair<std::string, Said>> before_;
  int next_note_ = 1;
};

// True when an action names this sleeve or none.
bool IsFor(const nlohmann::json& action, int sleeve);

// The text under `key`, or "".
std::string TextOf(const nlohmann::json& object, const char* key);

}  // namespace masseter::replay

#endif  // MASSETER_PAGES_REPLAY_BOOK_H_
