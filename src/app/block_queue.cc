#include "app/block_queue.h"

#include <utility>

namespace masseter {

bool BlockQueue::Put(const RawBlock& block) {
  RawBlock copy = block;
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return blocks_.size() < kRoom || given_up_; });
  if (given_up_) return false;
  blocks_.push_back(std::move(copy));
  changed_.notify_all();
  return true;
}

void BlockQueue::End() {
  const std::lock_guard lock(mutex_);
  ended_ = true;
  changed_.notify_all();
}

std::optional<RawBlock> BlockQueue::Take() {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return !blocks_.empty() || ended_; });
  if (blocks_.empty()) return std::nullopt;
  RawBlock block = std::move(blocks_.front());
  blocks_.pop_front();
  changed_.notify_all();
  return block;
}

void BlockQueue::GiveUp() {
  const std::lock_guard lock(mutex_);
  given_up_ = true;
  changed_.notify_all();
}

}  // namespace masseter
