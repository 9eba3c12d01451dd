// What the pages are told of one recording: JSON messages of api/README.md,
// made from frames and bites, handed to a LiveHub.
#ifndef MASSETER_APP_LIVE_PUBLISHER_H_
#define MASSETER_APP_LIVE_PUBLISHER_H_

#include <deque>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "app/book.h"
#include "app/live_hub.h"
#include "core/bite/pipeline.h"

namespace masseter {

// One thread: the recorder's.
class LivePublisher {
 public:
  LivePublisher(LiveHub& hub, const Book& book, std::string source);

  // State of the recording, set by the recorder before a Publish.
  void SetRoster(std::vector<RosterEntry> roster);
  void SetUp(std::string dog);
  // The source was lost and is looked for.
  void SetLost(bool lost) { lost_ = lost; }
  void SetModelNoise(double sample_noise_n) { noise_n_ = sample_noise_n; }

  void TakeFrame(const FrameView& frame);
  void TakeBite(const MeasuredBite& bite, double now_unix_s, double now_s);
  // A bite that was measured earlier today (another recording).
  void CountBite(const std::string& dog) { ++bites_of_[dog]; }

  // Sends what has changed: new trace columns and `now`. `silence_s` is the
  // host time since the last bytes.
  void Publish(double silence_s);
  void Say(const std::string& level, const std::string& text);
  void End(const std::string& text);

 private:
  struct Column {
    long index = 0;  // start is index * kColumnS
    double low_n = 0.0;
    double high_n = 0.0;
    bool missing = false;
  };
  void AddColumn(const FrameView& frame);
  std::string TraceJson(std::size_t from, bool whole) const;
  std::string NowJson(double silence_s) const;
  void PublishHello();

  LiveHub& hub_;
  const Book& book_;
  std::string source_;
  std::vector<RosterEntry> roster_;
  std::string up_;
  double noise_n_ = 0.0;
  bool lost_ = false;
  std::optional<FrameView> frame_;
  std::deque<Column> columns_;
  std::size_t unsent_ = 0;  // columns at the end that are new or changed
  std::map<std::string, int> bites_of_;
};

}  // namespace masseter

#endif  // MASSETER_APP_LIVE_PUBLISHER_H_
