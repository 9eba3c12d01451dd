// What the guided checks look at: the last seconds of one sleeve, while a
// stage of checks is open. Health as `inspect` judges it, check loads as
// `check` judges them.
#ifndef MASSETER_APP_SLEEVE_WATCH_H_
#define MASSETER_APP_SLEEVE_WATCH_H_

#include <deque>
#include <optional>

#include "core/bench/check_load.h"
#include "core/bite/force_model.h"
#include "core/signal/raw_block.h"
#include "core/signal/timeline.h"
#include "core/trust/capture_health.h"

namespace masseter {

// How the unloaded sleeve's force moved over the seconds in which nothing
// touched it.
struct ZeroWander {
  double wander = 0.0;      // highest less lowest mean of a second
  double limit = 0.0;       // a quarter of what begins a bite
  bool in_newtons = false;  // else in shares of the scale
  double seconds = 0.0;
};

// One thread: the recorder's. Memory: kHealthS of raw rows and kLoadS of
// samples.
class SleeveWatch {
 public:
  static constexpr double kHealthS = 10.0;
  static constexpr double kStillS = 5.0;
  static constexpr double kLeastS = 3.0;  // before anything can be said
  static constexpr double kLoadS = 120.0;

  // `calibration` may be null; both outlive the object.
  SleeveWatch(const Rig& rig, const Calibration* calibration);

  void Push(const RawBlock& block);
  // Of the last kHealthS; nullopt before kLeastS have come.
  std::optional<CaptureHealth> Health() const;
  // Of the last seconds up to kHealthS; nullopt while the force has not stood
  // still, within what begins a bite, for kStillS.
  std::optional<ZeroWander> Zero() const;
  // The zero and the load after it, within the last kLoadS and since the last
  // load that was taken. Errors as FindCheckWindows; needs a calibration.
  Expected<CheckWindows> Load() const;
  // A load was taken: the next one begins with a zero of its own.
  void LoadTaken();

 private:
  const Rig& rig_;
  const Calibration* calibration_;
  ForceModel model_;
  Timeline timeline_;
  struct Piece {
    RawBlock block;
    double end_s = 0.0;
  };
  std::deque<Piece> raw_;
  SampleBlock samples_;
};

}  // namespace masseter

#endif  // MASSETER_APP_SLEEVE_WATCH_H_
