// Puts frames of samples in order: drops what came twice, holds what came
// early, says what is missing and when it is lost for good.
#ifndef MASSETER_DEVICE_SEQUENCE_WINDOW_H_
#define MASSETER_DEVICE_SEQUENCE_WINDOW_H_

#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <vector>

#include "wire/frame.h"

namespace masseter {

// A samples frame as it came, head already read.
struct SampleFrame {
  wire_samples head{};
  std::vector<std::uint8_t> bytes;
};

struct WindowReport {
  std::uint64_t twice = 0;      // samples that came again and were dropped
  std::uint64_t recovered = 0;  // samples that came after being asked for
  std::uint64_t lost = 0;       // samples given up: a gap
  std::uint64_t restarts = 0;   // another boot
};

// One device, one boot after another. Sequence numbers are widened to 64 bits
// around the next one, so that their wrap at 2^32 is seen by nobody.
//
// What is missing is waited for as long as the device can send it again: until
// its ring has passed it, 10 s at most. A device that sends nothing again, or a
// way without return, is given 0.3 s or 32 frames for frames that overtook each
// other. Never more than kMostHeld samples are held.
//
// Thread rule: none of its own; one thread at a time. Time is the caller's.
class SequenceWindow {
 public:
  static constexpr std::uint64_t kMostHeld = 65536;
  static constexpr std::size_t kMostOvertaking = 32;

  // A frame's samples from index `skip` on are the next ones.
  using Deliver = std::function<void(const SampleFrame&, std::uint8_t skip)>;
  explicit SequenceWindow(Deliver deliver) : deliver_(std::move(deliver)) {}

  // Whether the device can be asked, in principle. `reach`: how many samples
  // before the first frame seen are asked for, since it may have overtaken
  // others.
  void SetAsking(bool asking, std::uint32_t reach) {
    asking_ = asking;
    reach_ = reach;
  }
  // While held nothing is delivered (the channels' order is not known yet).
  void Hold(bool hold);

  void Push(SampleFrame frame, double now_s);
  // The device says that it has sent all samples before `next`.
  void Sent(std::uint32_t boot, std::uint32_t next);
  // Gives up what is lost.
  void Tick(double now_s);
  // Delivers everything held, gaps and all.
  void Drain();

  // What to acknowledge and to ask for; nullopt before the first frame.
  std::optional<wire_ack> Ack() const;
  bool Missing() const;
  const WindowReport& report() const { return report_; }

 private:
  std::uint64_t Widen(std::uint32_t seq) const;
  void StartBoot(const wire_samples& head);
  bool IsOldBoot(std::uint32_t boot) const;
  bool CanAsk() const { return asking_ && resends_; }
  void Insert(std::uint64_t first, SampleFrame frame);
  void DeliverReady();
  void JumpTo(std::uint64_t seq);
  bool MustJump(double waited_s, double now_s);

  Deliver deliver_;
  bool asking_ = false;
  std::uint32_t reach_ = 0;
  bool hold_ = false;
  bool resends_ = false;
  std::optional<std::uint32_t> boot_;
  std::vector<std::uint32_t> old_boots_;  // the last few
  std::uint64_t want_ = 0;                // the next sample to deliver
  std::uint64_t end_ = 0;                 // behind the newest sample known of
  std::uint64_t oldest_ = 0;              // the device holds nothing before it
  std::map<std::uint64_t, SampleFrame> held_;  // by first sample
  std::uint64_t held_samples_ = 0;
  std::optional<double> missing_since_;
  std::optional<double> gone_since_;
  std::uint64_t missing_at_ = 0;
  std::size_t stale_run_ = 0;  // frames in a row from before want_
  double stale_since_ = 0.0;
  WindowReport report_;
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_SEQUENCE_WINDOW_H_
