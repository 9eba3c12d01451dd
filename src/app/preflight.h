// The guided checks before the first dog and after the last: facts of the real
// recording in, items in words a club understands out (api/README.md,
// `checks`). Pure; time comes in as an argument.
#ifndef MASSETER_APP_PREFLIGHT_H_
#define MASSETER_APP_PREFLIGHT_H_

#include <optional>
#include <string>
#include <vector>

#include "app/day_words.h"
#include "app/sleeve_watch.h"
#include "core/bite/pipeline.h"
#include "core/rig/rig.h"
#include "core/signal/clock_join.h"
#include "core/trust/capture_health.h"
#include "core/trust/stale.h"

namespace masseter {

struct SleeveFacts {
  int sleeve = 0;
  bool begun = false;  // its first sample has come
  bool lost = false;
  double silence_s = 0.0;
  std::optional<CaptureHealth> health;  // of the last seconds
  std::optional<ZeroWander> wander;     // while nothing touches it
  std::optional<FrameView> frame;       // the newest
  std::optional<JoinedClocks> clocks;
};

// A check load of this stage.
struct LoadTaken {
  double mass_kg = 0.0;
  double sleeve_n = 0.0;
  double sleeve_u95_n = 0.0;
  double difference_n = 0.0;
  double limit_n = 0.0;
  bool within = false;
  int sleeve = 0;
};

struct LoadFacts {
  bool waiting = false;    // asked for, not settled yet
  bool from_zero = false;  // nothing was looked at before it was asked for
  std::string why_not;     // why none was taken, the last time
  std::optional<LoadTaken> taken;
};

struct BookFacts {
  bool calibrated = false;
  double expanded_relative_u95 = 0.0;
  double force_low_n = 0.0;
  double force_high_n = 0.0;
  std::optional<Validity> validity;  // with a calibration
};

struct HostFacts {
  double now_unix_s = 0.0;
  double newest_unix_s = 0.0;  // of what the logbook holds, 0 for nothing
  std::optional<double> free_bytes;
  double bytes_per_s = 0.0;  // at the present rate, all sleeves together
};

// No clock that is right stands before it: the program is younger.
inline constexpr double kProgramUnixS = 1767225600.0;  // 2026-01-01 UTC

std::vector<StageItem> SleeveItems(const SleeveFacts& facts, const Rig& rig);
StageItem CalibrationItem(const BookFacts& facts, double now_unix_s);
StageItem LoadItem(const LoadFacts& load, const BookFacts& book);
StageItem DiskItem(const HostFacts& host);
StageItem ClockItem(const HostFacts& host);

// The usual cautions of a stage for dog, helper and lithium cells. They leave
// the last word to trainer, veterinarian and local rules.
const std::vector<std::string>& CautionsOf(const std::string& stage);

// The first item that is `bad`, or null.
const StageItem* FirstBad(const std::vector<StageItem>& items);

}  // namespace masseter

#endif  // MASSETER_APP_PREFLIGHT_H_
