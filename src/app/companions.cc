#include "app/companions.h"

#include <utility>

#include "app/dog_files.h"
#include "app/file_io.h"

namespace masseter {

Expected<Companions> ReadCompanions(
    const std::optional<std::string>& roster_path,
    const std::optional<std::string>& marks_path,
    const std::optional<std::string>& dog) {
  Companions out;
  if (roster_path) {
    const auto text = ReadText(*roster_path);
    if (!text) return tl::unexpected(text.error());
    auto roster = ParseRoster(*text, *roster_path);
    if (!roster) return tl::unexpected(roster.error());
    out.roster = std::move(*roster);
  }
  if (marks_path) {
    const auto text = ReadText(*marks_path);
    if (!text) return tl::unexpected(text.error());
    auto marks = ParseMarks(*text, *marks_path);
    if (!marks) return tl::unexpected(marks.error());
    out.marks = std::move(*marks);
  }
  if (dog) {
    if (dog->empty() || dog->front() == '!') {
      return BadInput("--dog",
                      "a dog's name cannot be empty or begin with \"!\"");
    }
    out.marks.insert(out.marks.begin(), {0.0, *dog});
  }
  return out;
}

}  // namespace masseter
