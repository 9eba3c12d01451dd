// What people say of bites after they were measured: struck out, given back,
// annotated. From the page and from the command line; kept as day entries,
// nothing that was measured changes.
#ifndef MASSETER_APP_AMEND_BOOK_H_
#define MASSETER_APP_AMEND_BOOK_H_

#include <cstdint>
#include <optional>
#include <string>

#include "app/day_words.h"
#include "core/base/error.h"
#include "logbook/logbook.h"

namespace masseter {

// The moment at which something is said.
struct Moment {
  double unix_s = 0.0;
  std::int64_t capture = 0;   // being recorded, 0 for none
  std::optional<double> t_s;  // in it
};

// Each returns the number of its day entry. kBadInput, in one sentence: no
// such bite; struck out already, or not struck out; a text that is empty or
// too long; a reason of fewer than 3 characters.
Expected<std::int64_t> StrikeOut(Logbook& logbook, std::int64_t bite,
                                 const std::string& reason,
                                 const Moment& moment);
Expected<std::int64_t> GiveBack(Logbook& logbook, std::int64_t bite,
                                const Moment& moment);
// `bite` nullopt: a note on `dog` ("" for none) and the moment. A note on a
// bite takes the bite's dog.
Expected<std::int64_t> AddNote(Logbook& logbook,
                               std::optional<std::int64_t> bite,
                               const std::string& dog, const std::string& text,
                               const Moment& moment);
// An entry that takes `entry` back: a note, a limit, an order, ...
Expected<std::int64_t> TakeBack(Logbook& logbook, std::int64_t entry,
                                const Moment& moment);

// --- `amend` ---
struct AmendRequest {
  std::string book_path;
  std::int64_t bite = 0;
  std::optional<std::string> strike_out;  // why; one of the three
  bool give_back = false;
  std::optional<std::string> note;
};
struct AmendAnswer {
  std::int64_t entry = 0;
  Bite bite;  // as it stands now
};
// Measures what is left to measure first, so that the bite is there.
Expected<AmendAnswer> Amend(const AmendRequest& request);

}  // namespace masseter

#endif  // MASSETER_APP_AMEND_BOOK_H_
