// What the pages are told of a recording: JSON messages of api/README.md, made
// from frames and bites of one sleeve or several, handed to a LiveHub.
#ifndef MASSETER_APP_LIVE_PUBLISHER_H_
#define MASSETER_APP_LIVE_PUBLISHER_H_

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "app/book.h"
#include "app/live_hub.h"
#include "app/live_trace.h"
#include "core/bite/pipeline.h"

namespace masseter {

// One thread: the recorder's. Sleeves are numbered as the sources.
class LivePublisher {
 public:
  LivePublisher(LiveHub& hub, const Book& book,
                const std::vector<std::string>& sources);

  // State of the recording, set by the recorder before a Publish.
  void SetRoster(std::vector<RosterEntry> roster);
  void SetUp(int sleeve, const std::string& dog);
  // The source was lost and is looked for.
  void SetLost(int sleeve, bool lost) { At(sleeve).lost = lost; }
  void SetModelNoise(int sleeve, double sample_noise_n) {
    At(sleeve).noise_n = sample_noise_n;
  }
  // Bites of a dog today, the other recordings of the day included.
  void SetBitesToday(std::map<std::string, int> bites) {
    bites_of_ = std::move(bites);
  }

  void TakeFrame(int sleeve, const FrameView& frame);
  // `spark`: its small picture (bite_spark.h). `start_unix_s` 0: not known.
  void TakeBite(int sleeve, const Bite& bite, const std::vector<float>& spark,
                double start_unix_s);
  // The same bite anew: struck out, given back, or another dog's. One that was
  // never told, or is older than those that pages are told of, is left alone.
  void ShowAgain(const Bite& bite);

  // Sends what has changed: new trace columns and `now`. `silence_s` is the
  // host time since the last bytes. Called for each sleeve 25 times a second.
  void Publish(int sleeve, double silence_s, double now_unix_s);
  // A message that later pages must see too, sent when it has changed.
  void PublishKept(const std::string& key, const std::string& json);
  void Say(const std::string& level, const std::string& text);
  void End(const std::string& text);

  const std::optional<FrameView>& frame(int sleeve) const {
    return sleeves_[static_cast<std::size_t>(sleeve)].frame;
  }

 private:
  struct Sleeve {
    std::string source;
    LiveTrace trace;
    std::string up = {};
    double noise_n = 0.0;
    bool lost = false;
    std::optional<FrameView> frame = {};
    double silence_s = 0.0;
    double now_unix_s = 0.0;
  };
  // What a bite's message holds beside the bite.
  struct Told {
    int sleeve = 0;
    std::string spark;  // JSON
    std::string clock;
  };

  Sleeve& At(int sleeve) { return sleeves_[static_cast<std::size_t>(sleeve)]; }
  void PublishHello();
  void PublishBite(const Bite& bite, const Told& told);
  void Send(int sleeve);
  std::string NowJson(int sleeve) const;

  LiveHub& hub_;
  const Book& book_;
  std::vector<Sleeve> sleeves_;
  std::vector<RosterEntry> roster_;
  std::map<std::string, int> bites_of_;
  std::map<std::int64_t, Told> told_;  // the newest LiveHub::kMostBites
  std::map<std::string, std::string> kept_;
};

}  // namespace masseter

#endif  // MASSETER_APP_LIVE_PUBLISHER_H_
