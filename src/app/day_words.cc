#include "app/day_words.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "app/file_io.h"

namespace masseter {
namespace {

using nlohmann::json;

template <class T>
std::optional<T> Maybe(const json& j, const char* key) {
  const auto it = j.find(key);
  if (it == j.end() || !it->is_number()) return std::nullopt;
  return it->get<T>();
}

std::string TextOf(const json& j, const char* key) {
  const auto it = j.find(key);
  return it != j.end() && it->is_string() ? it->get<std::string>() : "";
}

StageRecord StageOf(const DayEntry& entry, const json& j) {
  StageRecord out{entry.id,
                  entry.created_unix_s,
                  TextOf(j, "stage"),
                  {},
                  TextOf(j, "anyway")};
  const auto items = j.find("items");
  if (items == j.end() || !items->is_array()) return out;
  for (const json& item : *items) {
    if (!item.is_object()) continue;
    out.items.push_back({TextOf(item, "what"), TextOf(item, "state"),
                         TextOf(item, "text"), Maybe<int>(item, "sleeve")});
  }
  return out;
}

void Take(const DayEntry& entry, const json& j, bool today, DayWords& out) {
  if (entry.kind == "note") {
    out.notes.push_back({entry.id, entry.created_unix_s, TextOf(j, "dog"),
                         Maybe<std::int64_t>(j, "bite"), TextOf(j, "text")});
  } else if (entry.kind == "void") {
    if (const auto bite = Maybe<std::int64_t>(j, "bite")) {
      out.withdrawn[*bite] = TextOf(j, "reason");
    }
  } else if (entry.kind == "restore") {
    if (const auto bite = Maybe<std::int64_t>(j, "bite")) {
      out.withdrawn.erase(*bite);
    }
  } else if (entry.kind == "stage") {
    out.stages.push_back(StageOf(entry, j));
  } else if (entry.kind == "limit" && today) {
    out.limits[TextOf(j, "dog")] = {Maybe<int>(j, "bites"),
                                    Maybe<double>(j, "minutes")};
  } else if (entry.kind == "order" && today) {
    out.order.clear();
    const auto dogs = j.find("dogs");
    if (dogs == j.end() || !dogs->is_array()) return;
    for (const json& dog : *dogs) {
      if (dog.is_string()) out.order.push_back(dog.get<std::string>());
    }
  }
}

}  // namespace

bool SameDay(double a_unix_s, double b_unix_s) {
  constexpr std::size_t kDate = 10;  // "2026-05-16"
  return LocalTime(a_unix_s).substr(0, kDate) ==
         LocalTime(b_unix_s).substr(0, kDate);
}

std::string StageSentence(const StageRecord& stage) {
  std::string odd;
  std::string load;
  for (const StageItem& item : stage.items) {
    const bool taken = item.state == "ok" || item.state == "bad";
    if (item.what == "load" && taken) load = "; check load: " + item.text;
    if (item.state == "ok") continue;
    const std::string one =
        item.what + (item.state == "look"      ? " to look at"
                     : item.state == "unknown" ? " not known"
                     : item.state == "bad"     ? " bad"
                                               : " not done");
    // Of several sleeves the same is said once.
    if (odd.find(one) == std::string::npos) {
      odd += (odd.empty() ? "" : ", ") + one;
    }
  }
  std::string out = "Checks ";
  out +=
      stage.stage == "before" ? "before the first dog" : "after the last dog";
  out += ", closed " + LocalTime(stage.at_unix_s) + ": ";
  out += (odd.empty() ? "all ok" : odd) + load;
  if (!stage.anyway.empty()) out += "; all the same: " + stage.anyway;
  return out;
}

DayWords WordsOf(const std::vector<DayEntry>& entries, double day_unix_s) {
  std::vector<json> documents;
  std::set<std::int64_t> taken_back;
  for (const DayEntry& entry : entries) {
    documents.push_back(json::parse(entry.document, nullptr, false));
    if (entry.kind != "undo" || !documents.back().is_object()) continue;
    if (const auto id = Maybe<std::int64_t>(documents.back(), "entry")) {
      taken_back.insert(*id);
    }
  }
  DayWords out;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    if (!documents[i].is_object() || taken_back.contains(entries[i].id)) {
      continue;
    }
    Take(entries[i], documents[i],
         SameDay(entries[i].created_unix_s, day_unix_s), out);
  }
  return out;
}

Expected<DayWords> ReadDayWords(const Logbook& logbook, double day_unix_s) {
  const auto entries = logbook.DayEntries();
  if (!entries) return tl::unexpected(entries.error());
  return WordsOf(*entries, day_unix_s);
}

void LayOver(const DayWords& words, Bite& bite) {
  const auto found = words.withdrawn.find(bite.id);
  if (found == words.withdrawn.end()) return;
  Reason reason;
  reason.code = ReasonCode::kWithdrawn;
  reason.text = found->second;
  reason.start_s = bite.start_s;
  reason.end_s = bite.end_s;
  bite.reasons.insert(bite.reasons.begin(), std::move(reason));
  bite.verdict = Verdict::kVoid;
  bite.at_least = false;
}

}  // namespace masseter
