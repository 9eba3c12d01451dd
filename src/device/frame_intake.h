// From frames to raw blocks: the twin of text_intake.h for
// docs/formats/wire.md, with the way back to the device.
#ifndef MASSETER_DEVICE_FRAME_INTAKE_H_
#define MASSETER_DEVICE_FRAME_INTAKE_H_

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>

#include "device/sequence_window.h"
#include "device/text_intake.h"

namespace masseter {

// What a sleeve told of itself.
struct SleeveStatus {
  std::string name;
  std::uint32_t brownouts = 0;
  std::uint32_t overruns = 0;
  std::uint32_t supply_mv = 0;
  bool left = false;  // said goodbye
};

// Thread rule: none of its own; one thread at a time. Memory: block_rows rows
// and what SequenceWindow holds.
class FrameIntake {
 public:
  using Sink = TextIntake::Sink;
  // Takes bytes for the device.
  using Reply = std::function<void(std::span<const std::uint8_t>)>;

  // Rows have the columns boot, seq, t_us, the rig's channels in its order and,
  // where the device measures it, supply_mv.
  FrameIntake(const Rig& rig, std::size_t block_rows, Sink sink);
  ~FrameIntake();
  FrameIntake(const FrameIntake&) = delete;
  FrameIntake& operator=(const FrameIntake&) = delete;

  // Without it nothing is asked for.
  void SetReply(Reply reply);

  // Adds bytes, split anywhere. Errors, after which every call returns the
  // same: the device has other channels than the rig, or speaks no version that
  // is spoken here (kBadInput); and the sink's own.
  Expected<void> Push(std::span<const char> bytes, double host_time_s);
  // 20 times a second: asks, acknowledges, gives up. `now_s` is any clock that
  // goes on steadily.
  Expected<void> Tick(double now_s);
  // A connection was opened anew: half a frame is dropped, hello is said.
  void LinkUp();
  Expected<void> Flush();
  // End of input: hands on what is held, gaps and all.
  Expected<void> Finish();

  // `lines` are frames, `rows` samples, `broken` frames with a wrong check sum.
  const IntakeReport& report() const;
  const WindowReport& window() const;
  const SleeveStatus& sleeve() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_FRAME_INTAKE_H_
