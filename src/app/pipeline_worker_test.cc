#include "app/pipeline_worker.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "app/bite_json.h"
#include "core/bite/bite_testing.h"

namespace masseter {
namespace {

using testing_bite::BiteSpec;
using testing_bite::Device;
using testing_bite::OnOneCell;
using testing_bite::Rows;

constexpr std::size_t kBlockRows = 128;

Rows Bitten() {
  BiteSpec second;
  second.start_s = 6.0;
  return OnOneCell(10.0, testing_bite::Sum({BiteSpec{}, second}), Device{});
}

template <typename PushBlock>
void PushAll(const Rows& rows, PushBlock&& push) {
  for (std::size_t at = 0; at < rows.size(); at += kBlockRows) {
    push(rows.Slice(at, std::min(at + kBlockRows, rows.size())));
  }
}

// Every figure of the bites, as text.
struct Told {
  std::vector<std::string> bites;
  PipelineEvents Events() {
    PipelineEvents events;
    events.on_bite = [this](MeasuredBite&& b) {
      bites.push_back(BiteDocument(b.bite, {}, {}));
    };
    return events;
  }
};

TEST(PipelineWorker, FindsTheBitesOfAPipelineThatIsPushedDirectly) {
  const Rig rig = testing_plate::OneCellRig(SignalUnit::kNewton);
  const Rows rows = Bitten();
  Told direct;
  Pipeline plain(rig, nullptr, direct.Events());
  PushAll(rows, [&](const RawBlock& block) { plain.Push(block); });
  plain.Finish();
  ASSERT_EQ(direct.bites.size(), 2U);

  Told threaded;
  Pipeline pipeline(rig, nullptr, threaded.Events());
  PipelineWorker worker(pipeline);
  PushAll(rows, [&](const RawBlock& block) { worker.Push(block); });
  worker.Finish();
  EXPECT_EQ(threaded.bites, direct.bites);
}

TEST(PipelineWorker, EndsAtOnceWhenACaptureIsGivenUp) {
  const Rig rig = testing_plate::OneCellRig(SignalUnit::kNewton);
  const Rows rows = Bitten();
  Told told;
  Pipeline pipeline(rig, nullptr, told.Events());
  {
    PipelineWorker worker(pipeline);
    worker.Push(rows.Slice(0, kBlockRows));
  }
  // The worker is gone: what it left of the pipeline belongs to this thread.
  EXPECT_LE(pipeline.timeline().samples, kBlockRows);
  EXPECT_TRUE(told.bites.empty());
}

}  // namespace
}  // namespace masseter
