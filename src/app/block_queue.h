// Raw blocks from the thread that reads them to the one that stores them.
#ifndef MASSETER_APP_BLOCK_QUEUE_H_
#define MASSETER_APP_BLOCK_QUEUE_H_

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <mutex>
#include <optional>

#include "core/signal/raw_block.h"

namespace masseter {

// Keeps the order; bounded, so that a fast reader does not fill the memory.
//
// Thread rule: one thread puts, another takes.
class BlockQueue {
 public:
  // Copies the block; waits while kRoom blocks are not taken. False once the
  // taker has given up: nothing was put.
  bool Put(const RawBlock& block);
  // No block follows.
  void End();

  // The next block, waiting for it; nothing at the end.
  std::optional<RawBlock> Take();
  // The taker wants no more.
  void GiveUp();

 private:
  static constexpr std::size_t kRoom = 4;

  std::mutex mutex_;  // guards what follows
  std::condition_variable changed_;
  std::deque<RawBlock> blocks_;
  bool ended_ = false;
  bool given_up_ = false;
};

}  // namespace masseter

#endif  // MASSETER_APP_BLOCK_QUEUE_H_
