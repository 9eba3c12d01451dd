#include "device/sequence_window.h"

#include <algorithm>
#include <utility>

namespace masseter {
namespace {

constexpr double kOvertakingS = 0.3;
constexpr double kPatienceS = 10.0;
// A frame that was sent again may be overtaken by one that says it is gone.
constexpr double kGoneS = 0.3;
// A device without a boot number of its own that starts again repeats old
// sequence numbers; so many frames in a row, for so long, are no duplicates.
constexpr std::size_t kStaleRun = 64;
constexpr double kStaleS = 1.0;
constexpr std::size_t kOldBoots = 4;
// Widened numbers start here, so that what lies before the first has room.
constexpr std::uint64_t kBase = std::uint64_t{1} << 32;

}  // namespace

std::uint64_t SequenceWindow::Widen(std::uint32_t seq) const {
  const auto step =
      static_cast<std::int32_t>(seq - static_cast<std::uint32_t>(want_));
  return want_ + static_cast<std::uint64_t>(static_cast<std::int64_t>(step));
}

bool SequenceWindow::IsOldBoot(std::uint32_t boot) const {
  return std::find(old_boots_.begin(), old_boots_.end(), boot) !=
         old_boots_.end();
}

void SequenceWindow::StartBoot(const wire_samples& head) {
  const bool first_ever = !boot_.has_value();
  if (boot_) {
    Drain();
    ++report_.restarts;
    if (*boot_ != head.boot) {
      if (old_boots_.size() == kOldBoots) old_boots_.erase(old_boots_.begin());
      old_boots_.push_back(*boot_);
    }
  }
  boot_ = head.boot;
  stale_run_ = 0;
  want_ = kBase + head.first_seq;
  if (CanAsk()) {
    // After a restart everything that the ring still has belongs here; at the
    // very first only what the first frame may have overtaken.
    const std::uint32_t held = head.first_seq - head.oldest_seq;
    want_ -= first_ever ? std::min(held, reach_) : held;
  }
  end_ = want_;
  oldest_ = Widen(head.oldest_seq);
  missing_since_.reset();
  gone_since_.reset();
}

void SequenceWindow::Push(SampleFrame frame, double now_s) {
  const wire_samples& head = frame.head;
  resends_ = (head.flags & WIRE_RESENDS) != 0;
  if (!boot_ || (head.boot != *boot_ && !IsOldBoot(head.boot))) {
    StartBoot(head);
  } else if (head.boot != *boot_) {
    report_.twice += head.count;
    return;
  }
  std::uint64_t first = Widen(head.first_seq);
  if (first + head.count > want_)
    stale_run_ = 0;
  else if (stale_run_++ == 0)
    stale_since_ = now_s;
  if (stale_run_ >= kStaleRun &&
      (!CanAsk() || now_s - stale_since_ > kStaleS)) {
    StartBoot(head);
    first = Widen(head.first_seq);
  }
  oldest_ = std::max(oldest_, Widen(head.oldest_seq));
  Insert(first, std::move(frame));
  DeliverReady();
  Tick(now_s);
}

void SequenceWindow::Insert(std::uint64_t first, SampleFrame frame) {
  const std::uint64_t count = frame.head.count;
  if (first + count <= want_) {
    report_.twice += count;
    return;
  }
  if (first < end_) report_.recovered += count;
  const auto [at, fresh] = held_.try_emplace(first);
  if (!fresh) {
    report_.twice += std::min<std::uint64_t>(count, at->second.head.count);
    report_.recovered -= first < end_ ? count : 0;
    if (at->second.head.count >= count) return;
    held_samples_ -= at->second.head.count;
  }
  held_samples_ += count;
  end_ = std::max(end_, first + count);
  at->second = std::move(frame);
}

void SequenceWindow::DeliverReady() {
  while (!hold_ && !held_.empty() && held_.begin()->first <= want_) {
    const auto node = held_.extract(held_.begin());
    const SampleFrame& frame = node.mapped();
    const std::uint64_t end = node.key() + frame.head.count;
    held_samples_ -= frame.head.count;
    if (end <= want_) {
      report_.twice += frame.head.count;
      continue;
    }
    deliver_(frame, static_cast<std::uint8_t>(want_ - node.key()));
    want_ = end;
  }
}

void SequenceWindow::Hold(bool hold) {
  hold_ = hold;
  DeliverReady();
}

void SequenceWindow::Sent(std::uint32_t boot, std::uint32_t next) {
  if (!boot_ || boot != *boot_ || !CanAsk()) return;
  end_ = std::max(end_, Widen(next));
}

void SequenceWindow::JumpTo(std::uint64_t seq) {
  if (seq <= want_) return;
  report_.lost += seq - want_;
  want_ = seq;
  DeliverReady();
}

bool SequenceWindow::MustJump(double waited_s, double now_s) {
  if (held_samples_ > kMostHeld) return true;
  if (!CanAsk()) {
    return waited_s > kOvertakingS || held_.size() > kMostOvertaking;
  }
  if (waited_s > kPatienceS) return true;
  if (oldest_ <= want_) {
    gone_since_.reset();
    return false;
  }
  if (!gone_since_) gone_since_ = now_s;
  return now_s - *gone_since_ > kGoneS;
}

void SequenceWindow::Tick(double now_s) {
  while (!hold_ && Missing()) {
    if (!missing_since_ || missing_at_ != want_) {
      missing_since_ = now_s;
      missing_at_ = want_;
    }
    if (!MustJump(now_s - *missing_since_, now_s)) return;
    std::uint64_t to = held_.empty() ? end_ : held_.begin()->first;
    // What the ring still has may come yet.
    const bool full = held_samples_ > kMostHeld;
    if (CanAsk() && !full && oldest_ > want_) to = std::min(to, oldest_);
    gone_since_.reset();
    JumpTo(to);
  }
  missing_since_.reset();
}

void SequenceWindow::Drain() {
  hold_ = false;
  DeliverReady();
  while (!held_.empty()) JumpTo(held_.begin()->first);
}

bool SequenceWindow::Missing() const {
  if (!boot_) return false;
  if (!held_.empty()) return held_.begin()->first > want_;
  return end_ > want_;
}

std::optional<wire_ack> SequenceWindow::Ack() const {
  if (!boot_ || !CanAsk()) return std::nullopt;
  wire_ack ack{};
  ack.boot = *boot_;
  ack.next_seq = static_cast<std::uint32_t>(want_);
  std::uint64_t at = want_;
  const auto ask = [&](std::uint64_t to) {
    if (to <= at || ack.ranges == WIRE_MOST_RANGES) return;
    ack.range[ack.ranges++] = {static_cast<std::uint32_t>(at),
                               static_cast<std::uint32_t>(to - at)};
  };
  for (const auto& [first, frame] : held_) {
    ask(first);
    at = std::max(at, first + frame.head.count);
  }
  ask(end_);
  return ack;
}

}  // namespace masseter
