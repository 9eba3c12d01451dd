#include "app/dog_files.h"

#include <algorithm>
#include <functional>
#include <optional>

#include "core/base/text_fields.h"

namespace masseter {
namespace {

using Row = std::function<Expected<void>(const std::vector<std::string>&,
                                         const std::string& place)>;

// Walks the lines behind a header whose first names must be `names`.
Expected<void> EachRow(std::string_view text, const std::string& file,
                       const std::vector<std::string>& names,
                       std::size_t needed, const Row& row) {
  bool header = false;
  char separator = ',';
  TextLines lines(text);
  while (const auto line = lines.Next()) {
    const std::string place = file + ":" + std::to_string(lines.number());
    if (!header) {
      separator = SeparatorOf(*line);
      std::vector<std::string> fields = SplitFields(*line, separator);
      fields.resize(std::max(fields.size(), needed));
      for (std::size_t i = 0; i < fields.size(); ++i) {
        if (i >= names.size() || fields[i] != names[i]) {
          std::string want;
          for (const auto& n : names) want += (want.empty() ? "" : ",") + n;
          return BadInput(place, "the header must be " + want);
        }
      }
      header = true;
      continue;
    }
    const std::vector<std::string> fields = SplitFields(*line, separator);
    if (fields.size() < needed || fields.size() > names.size()) {
      return BadInput(place, std::to_string(fields.size()) + " fields where " +
                                 std::to_string(names.size()) +
                                 " are expected");
    }
    if (auto ok = row(fields, place); !ok) return ok;
  }
  if (!header) return BadInput(file, "is empty");
  return {};
}

}  // namespace

Expected<std::vector<RosterEntry>> ParseRoster(std::string_view text,
                                               const std::string& file) {
  std::vector<RosterEntry> out;
  const Row row = [&](const std::vector<std::string>& f,
                      const std::string& place) -> Expected<void> {
    if (f[0].empty()) return BadInput(place, "the dog has no name");
    if (f[0].front() == '!') {
      return BadInput(place, "a dog's name cannot begin with \"!\"");
    }
    for (const RosterEntry& other : out) {
      if (other.dog == f[0]) {
        return BadInput(place, "the dog \"" + f[0] + "\" is listed twice");
      }
    }
    RosterEntry entry{f[0], f.size() > 1 ? f[1] : "", std::nullopt};
    if (f.size() > 2 && !f[2].empty()) {
      entry.mass_kg = ParseNumber(f[2]);
      if (!entry.mass_kg) {
        return BadInput(place, "mass_kg is not a number: \"" + f[2] + "\"");
      }
      if (*entry.mass_kg <= 0.0 || *entry.mass_kg > 150.0) {
        return BadInput(place,
                        "mass_kg of a dog must lie between 0 and 150, "
                        "not " +
                            f[2]);
      }
    }
    out.push_back(std::move(entry));
    return {};
  };
  if (auto ok = EachRow(text, file, {"dog", "breed", "mass_kg"}, 1, row); !ok) {
    return tl::unexpected(ok.error());
  }
  return out;
}

Expected<std::vector<Mark>> ParseMarks(std::string_view text,
                                       const std::string& file) {
  std::vector<Mark> out;
  const Row row = [&](const std::vector<std::string>& f,
                      const std::string& place) -> Expected<void> {
    const auto t = ParseNumber(f[0]);
    if (!t) return BadInput(place, "t_s is not a number: \"" + f[0] + "\"");
    if (f[1].empty()) return BadInput(place, "the mark names no dog");
    out.push_back({*t, f[1]});
    return {};
  };
  if (auto ok = EachRow(text, file, {"t_s", "dog"}, 2, row); !ok) {
    return tl::unexpected(ok.error());
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const Mark& a, const Mark& b) { return a.t_s < b.t_s; });
  return out;
}

std::string DogUp(const std::vector<Mark>& marks, double t_s) {
  const Mark* up = nullptr;
  for (const Mark& mark : marks) {
    if (mark.t_s > t_s || mark.dog.starts_with("!")) continue;
    if (up == nullptr || mark.t_s >= up->t_s) up = &mark;
  }
  return up == nullptr ? "" : up->dog;
}

}  // namespace masseter
