// The state of a field day: the running order, what each dog has done today,
// the limits set for it, the notes. Put together anew from the logbook and the
// recordings whenever something changes; nothing is counted in two places.
//
// A day is the local calendar's. Pure but for ReadEarlier.
#ifndef MASSETER_APP_FIELD_DAY_H_
#define MASSETER_APP_FIELD_DAY_H_

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "app/day_words.h"
#include "core/base/error.h"
#include "logbook/logbook.h"

namespace masseter {

// A dog was up on a sleeve; host clock.
struct UpSpan {
  std::string dog;
  double from_unix_s = 0.0;
  double to_unix_s = 0.0;
};
// Of one recording, whose capture time 0 was at `begin_unix_s` and which has
// come as far as `last_s`. From each dog's mark to the next dog's.
std::vector<UpSpan> SpansOf(const std::vector<Mark>& marks, double begin_unix_s,
                            double last_s);

struct BiteToday {
  std::int64_t id = 0;
  std::string dog;  // "": nobody was up
  double end_unix_s = 0.0;
};

struct Today {
  std::vector<UpSpan> spans;
  std::vector<BiteToday> bites;
};
// Of the recordings of this day that are in the logbook already and have a
// wall time (a file that was imported has none), but for those in `without`.
Expected<Today> ReadEarlier(const Logbook& logbook, double now_unix_s,
                            const std::set<std::int64_t>& without);

struct DogToday {
  std::string dog;
  int bites = 0;       // that count
  int struck_out = 0;  // beside these
  double up_s = 0.0;   // on one sleeve or several: never counted twice
  std::optional<double> last_end_unix_s;  // of its last bite, struck out or not
};
// Every dog of `order`, then those that were up or bit without being in it.
std::vector<DogToday> TallyDay(const Today& today, const DayWords& words,
                               const std::vector<std::string>& order);

// Every dog of the roster once: those that the operator put in order, then the
// others as the roster has them.
std::vector<std::string> RunningOrder(const std::vector<RosterEntry>& roster,
                                      const DayWords& words);

// The message `day` of api/README.md. `undo` nullopt: nothing to take back.
std::string DayMessage(const std::vector<std::string>& order,
                       const std::vector<DogToday>& dogs, const DayWords& words,
                       const std::optional<std::string>& undo,
                       double now_unix_s);

// A limit that a dog has reached. Every bite that it made counts, struck out
// or not: a limit is about the dog, not about figures.
struct LimitReached {
  std::string key;   // the same for the same limit of the same dog
  std::string text;  // for the operator
};
std::vector<LimitReached> LimitsReached(const std::vector<DogToday>& dogs,
                                        const DayWords& words);

}  // namespace masseter

#endif  // MASSETER_APP_FIELD_DAY_H_
