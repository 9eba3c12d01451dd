// A pipeline on a thread of its own, so that finding and measuring bites goes
// on while the next samples are read and stored. Order is kept: the bites are
// the same, to the bit, as those of a pipeline that is pushed directly.
#ifndef MASSETER_APP_PIPELINE_WORKER_H_
#define MASSETER_APP_PIPELINE_WORKER_H_

#include <array>
#include <condition_variable>
#include <cstddef>
#include <mutex>
#include <thread>

#include "core/bite/pipeline.h"
#include "core/signal/raw_block.h"

namespace masseter {

// Thread rule: between construction and Finish (or the destructor) the
// pipeline and what its events touch belong to the worker's thread; Push and
// Finish are called from one thread. The pipeline outlives the worker.
class PipelineWorker {
 public:
  explicit PipelineWorker(Pipeline& pipeline);
  // Leaves out what was not begun: for a capture that is given up.
  ~PipelineWorker();
  PipelineWorker(const PipelineWorker&) = delete;
  PipelineWorker& operator=(const PipelineWorker&) = delete;

  // Waits while kRoom blocks are not done yet. Copies the block, or takes it.
  void Push(const RawBlock& block);
  void Push(RawBlock&& block);
  // Waits until everything pushed is done, then finishes the pipeline on the
  // caller's thread. Nothing may be pushed afterwards.
  void Finish();

 private:
  static constexpr std::size_t kRoom = 4;

  RawBlock& WaitForSlot();
  void SlotIsFull();
  void Work();
  void Join();

  Pipeline& pipeline_;
  std::array<RawBlock, kRoom> block_;  // slot n % kRoom holds block n
  std::mutex mutex_;                   // guards what follows
  std::condition_variable changed_;
  std::size_t pushed_ = 0;
  std::size_t done_ = 0;
  bool no_more_ = false;
  bool given_up_ = false;
  std::thread thread_;
};

}  // namespace masseter

#endif  // MASSETER_APP_PIPELINE_WORKER_H_
