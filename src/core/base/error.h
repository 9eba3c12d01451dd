// Errors are values: a kind, a place and one sentence that a maker understands.
#ifndef MASSETER_CORE_BASE_ERROR_H_
#define MASSETER_CORE_BASE_ERROR_H_

#include <string>
#include <tl/expected.hpp>
#include <utility>

namespace masseter {

// What went wrong, in the classes that a caller's script can act on. The
// command line maps them to its exit codes (docs/commands.md).
enum class ErrorKind {
  kBadInput,  // the input or the call is wrong; nothing was changed (exit 2)
  kAnswerNo,  // the question was answered and the answer is no (exit 3)
  kMachine,   // disk, port or network failed us; recorded data is kept (exit 4)
};

// One error. `where` is the place a user can open ("readings.csv:14",
// "rig.toml:7", "/dev/ttyUSB0") or empty; `what` is one sentence without a
// final full stop that names the offending text and, where it helps, the cure.
struct Error {
  ErrorKind kind = ErrorKind::kBadInput;
  std::string where;
  std::string what;

  // "where: what", or "what" when there is no place to name.
  std::string Text() const {
    return where.empty() ? what : where + ": " + what;
  }
};

template <class T>
using Expected = tl::expected<T, Error>;

// An unexpected value ready to return: `return BadInput("rig.toml:7", "...")`.
inline tl::unexpected<Error> BadInput(std::string where, std::string what) {
  return tl::unexpected<Error>(
      Error{ErrorKind::kBadInput, std::move(where), std::move(what)});
}
inline tl::unexpected<Error> AnswerNo(std::string where, std::string what) {
  return tl::unexpected<Error>(
      Error{ErrorKind::kAnswerNo, std::move(where), std::move(what)});
}
inline tl::unexpected<Error> MachineFailure(std::string where,
                                            std::string what) {
  return tl::unexpected<Error>(
      Error{ErrorKind::kMachine, std::move(where), std::move(what)});
}

}  // namespace masseter

#endif  // MASSETER_CORE_BASE_ERROR_H_
