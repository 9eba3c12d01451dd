// The state of a field day: the running order, what each dog has done today,
// the limits set for it, the notes. Put together anew from the logbook and the
// recordings whenever something changes; nothing is counted in two places.
//
// A day is the local calendar's. Pure but for what takes a logbook.
#ifndef MASSETER_APP_FIELD_DAY_H_
#define MASSETER_APP_FIELD_DAY_H_

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "app/bite_json.h"
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

// What is remembered of the bites, however many there are; the bites
// themselves are in the logbook. A dog "": nobody was up.
struct BitesMade {
  int count = 0;  // those struck out too
  double last_end_unix_s = 0.0;
};
using BitesOfDogs = std::map<std::string, BitesMade>;
void CountBite(const std::string& dog, double end_unix_s, BitesOfDogs& bites);

struct Today {
  std::vector<UpSpan> spans;
  BitesOfDogs bites;
  std::map<std::string, int> struck_out;  // of these
  std::set<std::int64_t> captures;
  // The same day again with what another recording has to it.
  void Add(const std::vector<UpSpan>& more_spans,
           const BitesOfDogs& more_bites);
};

// The day's recordings that are in the logbook already and have a wall time (a
// file that was imported has none), but for what is struck out. `on_bite` (may
// be empty) is told of each of their bites, with the host clock at its start.
using OnEarlierBite =
    std::function<void(const CaptureInfo&, const StoredBite&, double at)>;
Expected<Today> ReadEarlier(const Logbook& logbook, double now_unix_s,
                            const OnEarlierBite& on_bite);
// How many bites of these recordings each dog made that are struck out.
Expected<std::map<std::string, int>> StruckOutOf(
    const Logbook& logbook, const std::set<std::int64_t>& captures,
    const DayWords& words);

struct DogToday {
  std::string dog;
  int bites = 0;       // that count
  int struck_out = 0;  // beside these
  double up_s = 0.0;   // on one sleeve or several: never counted twice
  std::optional<double> last_end_unix_s;  // of its last bite, struck out or not
};
// Every dog of `order`, then those that were up or bit without being in it.
std::vector<DogToday> TallyDay(const Today& today,
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
  std::string key;   // of the limit and its dog
  int made = 0;      // bites so far, of a limit of bites: told for each anew
  std::string text;  // for the operator
};
std::vector<LimitReached> LimitsReached(const std::vector<DogToday>& dogs,
                                        const DayWords& words);

}  // namespace masseter

#endif  // MASSETER_APP_FIELD_DAY_H_
