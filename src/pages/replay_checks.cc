#include "pages/replay_checks.h"

#include <cmath>

#include "pages/replay_book.h"

namespace masseter::replay {
namespace {

using Json = nlohmann::json;

constexpr int kSecond = 20;  // ticks

// A sleeve that reads 1 newton in 5000 too much for each kilogram above 15.
Json ReadLoad(double mass_kg) {
  const double put_n = mass_kg * 9.81;
  const double sleeve_n = put_n * (1.0 + 0.0002 * (mass_kg - 15.0));
  const double u95_n = 0.01 * put_n;
  return {{"mass_kg", mass_kg},
          {"sleeve_n", sleeve_n},
          {"sleeve_u95_n", u95_n},
          {"difference_n", sleeve_n - put_n},
          {"within", std::abs(sleeve_n - put_n) <= u95_n}};
}

struct Settling {
  const char* what;
  int after;  // ticks until it is known
  const char* meanwhile;
  const char* state;
  const char* text;
};

constexpr Settling kItems[] = {
    {"link", 0, "", "ok", "1000 samples a second arrive, none missing"},
    {"supply", 0, "", "look", "3512 mV; the sleeve needs 3400 mV"},
    {"rate", kSecond, "counting for a second", "ok", "1000.02 Hz"},
    {"zero", kSecond, "leave the sleeve alone", "ok", "taken"},
    {"noise", 2 * kSecond, "leave the sleeve alone", "ok", "1.4 N"},
    {"calibration", 0, "", "ok", "of 16 May 2026, 49 N to 883 N"}};

}  // namespace

bool ReplayChecks::Knows(const std::string& type) {
  return type == "checks" || type == "load" || type == "passed";
}

Expected<void> ReplayChecks::Open(const std::string& stage) {
  if (stage != "before" && stage != "after") {
    return BadInput("", "checks are before or after");
  }
  if (stage != stage_) passed_ = Json();
  stage_ = stage;
  ticks_ = load_ticks_ = 0;
  load_ = Json();
  return {};
}

Expected<void> ReplayChecks::Pass(const Json& action,
                                  const std::string& clock) {
  if (stage_ == "none") return BadInput("", "no checks are open");
  for (const Json& item : Items()) {
    if (item["state"] != "bad" || !TextOf(action, "anyway").empty()) continue;
    return BadInput("", item["what"].get<std::string>() + " is not fit");
  }
  passed_ = clock;
  stage_ = "none";
  return {};
}

Expected<void> ReplayChecks::Take(const Json& action,
                                  const std::string& clock) {
  const std::string type = TextOf(action, "type");
  if (type == "checks") return Open(TextOf(action, "stage"));
  if (type == "passed") return Pass(action, clock);
  if (stage_ == "none") {
    return BadInput("", "open the checks before a load is measured");
  }
  const auto mass = action.find("mass_kg");
  if (mass == action.end() || !mass->is_number() || *mass <= 0.0) {
    return BadInput("", "a check load has a mass in kilograms");
  }
  mass_kg_ = mass->get<double>();
  load_ticks_ = kSecond;
  return {};
}

bool ReplayChecks::Tick() {
  if (stage_ == "none") return false;
  const bool read = load_ticks_ > 0 && --load_ticks_ == 0;
  if (read) load_ = ReadLoad(mass_kg_);
  return ++ticks_ % kSecond == 1 || read;
}

Json ReplayChecks::Item(const char* what, int sleeve) const {
  return {{"what", what}, {"state", "ok"}, {"text", ""}, {"sleeve", sleeve}};
}

Json ReplayChecks::LoadItem(int sleeve) const {
  Json item = Item("load", sleeve);
  if (load_ticks_ > 0) {
    item["state"] = "waiting";
    item["text"] = "leave the load alone for a second";
  } else if (load_.is_null()) {
    item["state"] = "todo";
    item["text"] = "hang a known mass on the sleeve";
  } else {
    const bool within = load_["within"];
    item["state"] = within ? "ok" : "bad";
    item["text"] =
        within ? "read within its uncertainty" : "read outside its uncertainty";
  }
  return item;
}

Json ReplayChecks::Items() const {
  Json items = Json::array();
  if (stage_ == "none") return items;
  for (int sleeve = 0; sleeve < sleeves_; ++sleeve) {
    for (const Settling& known : kItems) {
      Json item = Item(known.what, sleeve);
      const bool settled = ticks_ >= known.after;
      item["state"] = settled ? known.state : "waiting";
      item["text"] = settled ? known.text : known.meanwhile;
      items.push_back(item);
    }
    items.push_back(LoadItem(sleeve));
  }
  for (const char* what : {"disk", "clock"}) {
    Json item = Item(what, 0);
    item["sleeve"] = nullptr;
    item["text"] = std::string(what) == "disk"
                       ? "21 GB are free; a day needs 0.3 GB"
                       : "set, and steady since the start";
    items.push_back(item);
  }
  return items;
}

Json ReplayChecks::Message() const {
  return {{"type", "checks"},
          {"stage", stage_},
          {"items", Items()},
          {"load", load_},
          {"cautions",
           {"The trainer and the veterinarian say how often and how long a "
            "dog bites; a tired or hurt dog does not.",
            "Whoever wears the sleeve can let go of it at once, and nobody "
            "stands between dog and helper.",
            "A swollen, hot or wet lithium cell is not used and not charged; "
            "it goes outdoors, away from people."}},
          {"passed", passed_}};
}

}  // namespace masseter::replay
