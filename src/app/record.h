// `live`: records from sources into a logbook, measures as it goes, tells the
// pages.
#ifndef MASSETER_APP_RECORD_H_
#define MASSETER_APP_RECORD_H_

#include <atomic>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/live_hub.h"
#include "core/base/error.h"
#include "core/bite/bite.h"
#include "logbook/logbook.h"

namespace masseter {

struct RecordRequest {
  std::string book_path;
  std::vector<std::string> sources;  // as the user named them, one a sleeve
  std::vector<RosterEntry> roster;   // added to the logbook's
  std::vector<Mark> marks;           // known beforehand; the first source's
  // Called once, when nothing but the sources themselves can still fail.
  std::function<void()> on_ready;
  // Seconds for which a source that was lost is looked for; nullopt: 5 when the
  // device itself closed the connection, 20 for a serial port, else until the
  // recording is stopped. 0: not at all.
  std::optional<double> reconnect_s;
  // What may wait in memory while the disk refuses to store it.
  std::size_t most_waiting_bytes = 256000000;
  // A second place for copies of the logbook (book_copier.h).
  std::optional<std::string> copy_to;
  double copy_every_s = 60.0;
  // Told one line at a time: what came up, what ended, what is wrong.
  std::function<void(const std::string&)> say;
  std::function<void(const Bite&)> on_bite;
  // Set from a signal handler to end the recording in good order.
  const std::atomic<bool>* stop = nullptr;
};

struct RecordAnswer {
  std::vector<std::int64_t> captures;  // of the sources that came up
  std::uint64_t samples = 0;
  std::size_t bites = 0;
  // A source that was lost, the first of them; what came before it is kept.
  std::optional<Error> lost;
  // Why there is no last copy.
  std::optional<Error> no_copy;
};

// Returns when every source has ended or `stop` is set. A source that was lost
// is looked for and, when it is there again, goes on in the same capture.
// Samples are durable within half a second of their arrival. While the disk
// refuses them (full, gone, broken) everything waits in memory, in order, and
// is tried again; when more than `most_waiting_bytes` wait, the recording ends
// with an error that tells how much is kept.
Expected<RecordAnswer> Record(const RecordRequest& request, LiveHub& hub);

}  // namespace masseter

#endif  // MASSETER_APP_RECORD_H_
