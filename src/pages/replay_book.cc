#include "pages/replay_book.h"

#include <algorithm>
#include <utility>

namespace masseter::replay {
namespace {

using Json = nlohmann::json;

int BiteOf(const Json& action, const Moment& moment) {
  const auto bite = action.find("bite");
  if (bite == action.end() || !bite->is_number_integer()) return 0;
  const int id = bite->get<int>();
  return id >= 1 && id <= moment.bites ? id : 0;
}

std::string Named(int bite) { return "bite " + std::to_string(bite); }

}  // namespace

std::string TextOf(const Json& object, const char* key) {
  if (!object.is_object() || !object.contains(key)) return {};
  return object[key].is_string() ? object[key].get<std::string>() : "";
}

bool IsFor(const Json& action, int sleeve) {
  const auto named = action.find("sleeve");
  return named == action.end() || named->is_null() || *named == sleeve;
}

ReplayBook::ReplayBook() {
  const auto dog = [this](const char* name, const char* breed, double mass_kg) {
    said_.roster.push_back(
        {{"dog", name}, {"breed", breed}, {"mass_kg", mass_kg}});
    said_.order.push_back(name);
  };
  dog("Brisk", "Malinois", 29.5);
  dog("Juno", "Rottweiler", 41.0);
  dog("Tarn", "German Shepherd", 34.0);
  dog("Moss", "Dutch Shepherd", 27.5);
}

bool ReplayBook::Listed(const std::string& dog) const {
  return std::any_of(said_.order.begin(), said_.order.end(),
                     [&dog](const Json& name) { return name == dog; });
}

Expected<std::string> ReplayBook::Up(const Json& action, const Moment& moment) {
  const std::string dog = TextOf(action, "dog");
  if (!Listed(dog)) return BadInput("", dog + " is not on the roster");
  for (int i = 0; i < static_cast<int>(moment.up.size()); ++i) {
    if (IsFor(action, i)) said_.chosen[i] = dog;
  }
  return dog + " is up";
}

Expected<std::string> ReplayBook::Dog(const Json& action) {
  const std::string dog = TextOf(action, "dog");
  if (dog.empty()) return BadInput("", "a dog needs a name");
  if (Listed(dog)) return BadInput("", dog + " is on the roster already");
  said_.roster.push_back({{"dog", dog},
                          {"breed", TextOf(action, "breed")},
                          {"mass_kg", action.value("mass_kg", Json())}});
  said_.order.push_back(dog);
  return dog + " on the roster";
}

Expected<std::string> ReplayBook::Order(const Json& action) {
  Json order = Json::array();
  for (const Json& dog : action.value("dogs", Json::array())) {
    if (!dog.is_string() || !Listed(dog.get<std::string>())) {
      return BadInput("", "the running order names a dog that is not known");
    }
    order.push_back(dog);
  }
  for (const Json& dog : said_.order) {
    const bool named =
        std::find(order.begin(), order.end(), dog) != order.end();
    if (!named) order.push_back(dog);
  }
  said_.order = std::move(order);
  return "the new running order";
}

Expected<std::string> ReplayBook::Limit(const Json& action) {
  const std::string dog = TextOf(action, "dog");
  if (!Listed(dog)) return BadInput("", dog + " is not on the roster");
  said_.limits[dog] = {{"bites", action.value("bites", Json())},
                       {"minutes", action.value("minutes", Json())}};
  return "the limits of " + dog;
}

Expected<std::string> ReplayBook::Note(const Json& action,
                                       const Moment& moment) {
  const std::string text = TextOf(action, "text");
  if (text.empty()) return BadInput("", "a note needs words");
  const int bite = BiteOf(action, moment);
  const Json note = {
      {"id", next_note_++},
      {"clock", moment.clock},
      {"dog", bite == 0 && !moment.up.empty() ? moment.up[0] : ""},
      {"bite", bite == 0 ? Json() : Json(bite)},
      {"text", text}};
  said_.notes.insert(said_.notes.begin(), note);
  return "the note \"" + text + "\"";
}

Expected<std::string> ReplayBook::Strike(const Json& action,
                                         const Moment& moment) {
  const int bite = BiteOf(action, moment);
  const std::string reason = TextOf(action, "reason");
  if (bite == 0) return BadInput("", "there is no such bite");
  if (reason.size() < 3) return BadInput("", "striking a bite needs a reason");
  said_.struck[bite] = reason;
  return Named(bite) + " struck out";
}

Expected<std::string> ReplayBook::Restore(const Json& action,
                                          const Moment& moment) {
  const int bite = BiteOf(action, moment);
  if (said_.struck.erase(bite) == 0) {
    return BadInput("", "this bite was not struck out");
  }
  return Named(bite) + " restored";
}

Expected<std::string> ReplayBook::Obey(const Json& action,
                                       const Moment& moment) {
  const std::string type = TextOf(action, "type");
  if (type == "up") return Up(action, moment);
  if (type == "dog") return Dog(action);
  if (type == "order") return Order(action);
  if (type == "limit") return Limit(action);
  if (type == "note") return Note(action, moment);
  if (type == "void") return Strike(action, moment);
  if (type == "restore") return Restore(action, moment);
  if (type == "out") return "\"out\" at " + moment.clock;
  return BadInput("", "there is no action of this name");
}

Expected<void> ReplayBook::Take(const Json& action, const Moment& moment) {
  if (TextOf(action, "type") == "undo") {
    if (before_.empty()) return BadInput("", "there is nothing to take back");
    said_ = std::move(before_.back().second);
    before_.pop_back();
    return {};
  }
  Said before = said_;
  Expected<std::string> done = Obey(action, moment);
  if (!done) {
    said_ = std::move(before);
    return tl::unexpected<Error>(done.error());
  }
  before_.emplace_back(std::move(*done), std::move(before));
  return {};
}

Json ReplayBook::Limits(const std::string& dog) const {
  const auto found = said_.limits.find(dog);
  return found == said_.limits.end()
             ? Json{{"bites", nullptr}, {"minutes", nullptr}}
             : found->second;
}

std::string ReplayBook::Struck(int bite) const {
  const auto found = said_.struck.find(bite);
  return found == said_.struck.end() ? "" : found->second;
}

const std::string* ReplayBook::Chosen(int sleeve) const {
  const auto found = said_.chosen.find(sleeve);
  return found == said_.chosen.end() ? nullptr : &found->second;
}

Json ReplayBook::Undo() const {
  return before_.empty() ? Json() : Json(before_.back().first);
}

}  // namespace masseter::replay
