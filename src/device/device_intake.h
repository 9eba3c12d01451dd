// What a device sends, text or frames, told apart by its first bytes.
#ifndef MASSETER_DEVICE_DEVICE_INTAKE_H_
#define MASSETER_DEVICE_DEVICE_INTAKE_H_

#include <memory>
#include <span>
#include <string>

#include "device/frame_intake.h"
#include "device/text_intake.h"

namespace masseter {

// Frames are recognised by the first whole one with a good check sum; text by
// a line that is printable. Until then up to kMostUnknown bytes are kept,
// then text is assumed. What was decided holds to the end. The same bytes give
// the same rows, whatever the pieces.
//
// Thread rule: none of its own; one thread at a time.
class DeviceIntake {
 public:
  static constexpr std::size_t kMostUnknown = 8192;
  using Sink = TextIntake::Sink;
  using LastLine = TextIntake::LastLine;
  using Reply = FrameIntake::Reply;

  // As TextIntake.
  DeviceIntake(const Rig& rig, std::size_t block_rows, Sink sink);

  // Bytes for the device; used once it has sent a frame, never before: what a
  // device that prints text makes of them is not known.
  void SetReply(Reply reply);
  Expected<void> Push(std::span<const char> bytes, double host_time_s = 0.0);
  // 20 times a second where the source is live; see FrameIntake.
  Expected<void> Tick(double now_s);
  // The connection broke and is there again; `anywhere` when it may go on in
  // the middle of a line.
  Expected<void> LinkUp(bool anywhere);
  Expected<void> Flush();
  Expected<void> Finish(LastLine last = LastLine::kCounts);

  bool frames() const { return frames_ != nullptr; }
  const IntakeReport& report() const;
  // What the sleeve told, what was asked for again; empty for text.
  SleeveStatus sleeve() const;
  WindowReport window() const;

 private:
  enum class Kind { kUnknown, kText, kFrames };
  Kind Guess();
  Expected<void> Begin(Kind kind, double host_time_s);

  Rig rig_;
  std::size_t block_rows_;
  Sink sink_;
  Reply reply_;
  std::string unknown_;     // bytes before it is decided
  std::size_t looked_ = 0;  // of these, already looked at
  std::size_t frame_ = 0;   // behind the last zero byte
  std::size_t line_ = 0;    // behind the last line feed
  std::unique_ptr<TextIntake> text_;
  std::unique_ptr<FrameIntake> frames_;
  double now_s_ = 0.0;
  IntakeReport nothing_;
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_DEVICE_INTAKE_H_
