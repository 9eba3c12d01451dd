// Samples from sources or a capture file, on one time axis, without storing
// anything: what bench commands measure on.
#ifndef MASSETER_APP_SAMPLE_FEED_H_
#define MASSETER_APP_SAMPLE_FEED_H_

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/rig/rig.h"
#include "core/signal/sample_block.h"

namespace masseter {

struct FeedBlock {
  SampleBlock samples;
  std::optional<double> temp_c;  // the newest, when the device tells
  double host_time_s = 0.0;      // of the block's last byte; 0 from a file
};

// One source as the user named it and how its text is to be read.
struct FeedSource {
  std::string name;
  Rig rig;
  std::function<Expected<void>(const FeedBlock&)> on_samples;
};

struct FeedEvents {
  std::function<void(const std::string& text)> on_up;
  // Twenty times a second; false ends the feed in good order.
  std::function<Expected<bool>()> on_tick;
};

// Runs until on_tick says so, an error comes back or a source ends. The end of
// a source that is not a file is an error (kMachine) here: somebody waits for
// its samples. Files end well.
Expected<void> RunFeed(const std::vector<FeedSource>& sources,
                       const FeedEvents& events);

// A whole capture file.
Expected<FeedBlock> ReadCapture(const std::string& path, const Rig& rig);

// Puts `more` behind `all`.
void AppendSamples(const SampleBlock& more, SampleBlock& all);

}  // namespace masseter

#endif  // MASSETER_APP_SAMPLE_FEED_H_
