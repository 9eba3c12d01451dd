#include "app/pipeline_worker.h"

#include <utility>

namespace masseter {

PipelineWorker::PipelineWorker(Pipeline& pipeline)
    : pipeline_(pipeline), thread_([this] { Work(); }) {}

PipelineWorker::~PipelineWorker() {
  {
    const std::lock_guard lock(mutex_);
    given_up_ = true;
  }
  Join();
}

// The worker does not look at a slot that is not pushed.
RawBlock& PipelineWorker::WaitForSlot() {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return pushed_ - done_ < kRoom; });
  return block_[pushed_ % kRoom];
}

void PipelineWorker::SlotIsFull() {
  const std::lock_guard lock(mutex_);
  ++pushed_;
  changed_.notify_all();
}

void PipelineWorker::Push(const RawBlock& block) {
  WaitForSlot() = block;
  SlotIsFull();
}

void PipelineWorker::Push(RawBlock&& block) {
  WaitForSlot() = std::move(block);
  SlotIsFull();
}

void PipelineWorker::Finish() {
  Join();
  pipeline_.Finish();
}

void PipelineWorker::Work() {
  std::unique_lock lock(mutex_);
  while (true) {
    changed_.wait(lock, [this] { return done_ < pushed_ || no_more_; });
    if (done_ == pushed_ || given_up_) return;
    const RawBlock& slot = block_[done_ % kRoom];
    lock.unlock();
    pipeline_.Push(slot);
    lock.lock();
    ++done_;
    changed_.notify_all();
  }
}

void PipelineWorker::Join() {
  {
    const std::lock_guard lock(mutex_);
    no_more_ = true;
  }
  changed_.notify_all();
  if (thread_.joinable()) thread_.join();
}

}  // namespace masseter
