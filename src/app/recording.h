// One source being recorded: bytes to raw blocks to the logbook and the
// pipeline.
#ifndef MASSETER_APP_RECORDING_H_
#define MASSETER_APP_RECORDING_H_

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/bite_json.h"
#include "app/book.h"
#include "app/field_day.h"
#include "app/live_publisher.h"
#include "app/validity.h"
#include "core/bite/pipeline.h"
#include "core/signal/clock_join.h"
#include "device/device_intake.h"

namespace masseter {

class Recording {
 public:
  using OnBite = std::function<void(const Bite&)>;
  using Tap = std::function<void(const RawBlock&)>;

  // The sleeve that a recording is of: its number among the sources, and the
  // marks that are known beforehand.
  struct Sleeve {
    int number = 0;
    std::string source;
    std::vector<Mark> marks;
  };
  Recording(Book& book, Sleeve sleeve, LivePublisher& publisher,
            OnBite on_bite);

  // Begins the capture in the logbook, with the marks known beforehand; what
  // the operator marked until then holds from its start. The first sample does
  // it too: a source that never gives one leaves nothing.
  Expected<void> Begin();
  Expected<void> Take(std::span<const char> bytes, double host_time_s);
  // Bytes for the device, where there is a way back to it.
  void SetReply(DeviceIntake::Reply reply);
  // The source was lost and is there again; `anywhere`: perhaps in the middle
  // of a line.
  Expected<void> LinkUp(bool anywhere);
  // Hands on what waits in the intake and makes it durable; call 20 times a
  // second, with a clock that goes on steadily.
  Expected<void> Tick(double now_s);
  // Closes the capture; a torn last line is left out unless `whole`.
  Expected<void> End(bool whole);

  // Operator's marks, at the latest sample's time. The mark comes back; nullopt
  // once the recording has ended.
  Expected<std::optional<Mark>> MarkNow(const std::string& what);
  // Takes a mark back; the bites whose dog or "out" it was are described anew,
  // here and in the logbook. Returns their numbers.
  Expected<std::vector<std::int64_t>> TakeBack(const Mark& mark);

  // Told of every block of raw samples; {} ends that.
  void SetTap(Tap tap) { tap_ = std::move(tap); }

  // How many bites, and whose; the bites themselves are in the logbook.
  std::size_t bites() const { return bites_; }
  const BitesOfDogs& bites_of() const { return bites_of_; }
  const std::vector<Mark>& marks() const { return marks_; }
  // Who is up now.
  std::string up() const;
  // Host clock at capture time 0.
  double begin_unix_s() const;
  const TimelineReport& timeline() const { return pipeline_->timeline(); }
  std::optional<JoinedClocks> clocks() const { return clocks_.Estimate(); }
  std::uint64_t broken_lines() const { return intake_->report().broken; }

  bool begun() const { return capture_ != 0; }
  bool ended() const { return ended_; }
  bool frames() const { return intake_->frames(); }
  SleeveStatus sleeve() const { return intake_->sleeve(); }
  std::int64_t capture() const { return capture_; }
  std::uint64_t samples() const { return pipeline_->timeline().samples; }
  double last_s() const { return pipeline_->timeline().last_s; }
  double sample_noise_n() const { return pipeline_->sample_noise_n(); }

 private:
  void JoinClocks(double host_time_s);
  void StoreBite(MeasuredBite&& bite);
  Provenance Origin() const;
  Expected<void> Failed() const;
  // The capture's end in the logbook.
  Expected<void> Close(const CaptureInfo& info);
  Expected<void> Date();
  // Bites from `from_s` on, as they are described with these marks, where that
  // differs from what is stored.
  Expected<std::vector<StoredBite>> Renamed(const std::vector<Mark>& marks,
                                            double from_s) const;

  Book& book_;
  Sleeve of_;
  LivePublisher& publisher_;
  OnBite on_bite_;
  std::int64_t capture_ = 0;
  CaptureInfo info_;
  std::optional<Validity> validity_;
  std::size_t bench_entries_ = 0;
  std::vector<Mark> marks_;
  std::unique_ptr<Pipeline> pipeline_;
  std::unique_ptr<DeviceIntake> intake_;
  std::optional<Error> failure_;  // of storing a bite
  ClockJoin clocks_;              // capture time and the host's
  std::uint64_t breaks_ = 0;
  double last_host_s_ = 0.0;
  std::size_t bites_ = 0;
  BitesOfDogs bites_of_;
  Tap tap_;
  bool ended_ = false;
};

}  // namespace masseter

#endif  // MASSETER_APP_RECORDING_H_
