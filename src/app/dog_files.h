// roster.csv and marks.csv. Format: docs/commands.md.
#ifndef MASSETER_APP_DOG_FILES_H_
#define MASSETER_APP_DOG_FILES_H_

#include <string>
#include <string_view>
#include <vector>

#include "core/base/error.h"
#include "logbook/logbook.h"

namespace masseter {

// The mark that is not a dog: the "out" command was given.
inline constexpr std::string_view kOutMark = "!out";
// The operator took the zero anew here.
inline constexpr std::string_view kZeroMark = "!zero";

// `dog,breed,mass_kg` with a header; breed and mass may be empty. Separators
// comma, semicolon or tab. Errors name file and line.
Expected<std::vector<RosterEntry>> ParseRoster(std::string_view text,
                                               const std::string& file);

// `t_s,dog` with a header, in any order of time; sorted in the answer.
Expected<std::vector<Mark>> ParseMarks(std::string_view text,
                                       const std::string& file);

// Who is up at `t_s`: the last dog marked at or before it, "" when none is.
std::string DogUp(const std::vector<Mark>& marks, double t_s);

}  // namespace masseter

#endif  // MASSETER_APP_DOG_FILES_H_
