#include "app/taps_book.h"

#include <algorithm>
#include <cmath>

#include "app/bite_list.h"
#include "app/book.h"
#include "app/file_io.h"
#include "app/sample_feed.h"
#include "app/tap_json.h"
#include "core/bite/force_model.h"
#include "core/signal/channel_class_filter.h"
#include "core/trust/dynamics_line.h"

namespace masseter {
namespace {

// A rise from 10 % to 90 % has most of its spectrum below 0.35 / rise: exact
// for a first-order system's 3 dB point (ln 9 / 2 pi), common practice else.
constexpr double kBandOfRise = 0.35;
constexpr double kUsualRiseS = 0.010;
constexpr double kBiteClass = 60.0;

struct Signal {
  std::vector<double> x;
  double rate_hz = 0.0;
  double start_s = 0.0;
};

// The longest stretch without a gap, all channels as one signal.
Signal WholeSignal(const Rig& rig, const Calibration* calibration,
                   const SampleBlock& s) {
  std::size_t first = 0;
  std::size_t best_first = 0;
  std::size_t best_last = 0;
  for (std::size_t i = 1; i <= s.size(); ++i) {
    if (i < s.size() && s.before[i] == Break::kNone) continue;
    if (i - first > best_last - best_first) {
      best_first = first;
      best_last = i;
    }
    first = i;
  }
  const ForceModel model = MakeForceModel(rig, calibration);
  Signal out;
  out.start_s = s.t_s[best_first];
  const std::size_t n = best_last - best_first;
  if (n > 1) {
    out.rate_hz =
        static_cast<double>(n - 1) / (s.t_s[best_last - 1] - s.t_s[best_first]);
  }
  // Channel gains alone: linear, so that a ring stays a ring.
  for (std::size_t i = best_first; i < best_last; ++i) {
    double sum = 0.0;
    for (std::size_t c = 0; c < s.channel.size(); ++c) {
      sum += model.estimator.gain[c] * s.channel[c][i];
    }
    out.x.push_back(sum);
  }
  return out;
}

void AddWarnings(TapsAnswer& answer) {
  const SecondOrder& system = answer.test.system;
  if (system.natural_hz < 2.0 * answer.bite_band_hz ||
      answer.flat_hz < answer.bite_band_hz) {
    answer.test.warnings.push_back(
        "the sleeve rings inside the band that bites use: stiffen it or make "
        "what moves lighter, else fast rises read too high");
  } else if (answer.filter_hz > 0.0 && system.natural_hz < answer.filter_hz) {
    answer.test.warnings.push_back(
        "the ring lies below the bites' low-pass and is not filtered out");
  }
}

std::vector<BiteDynamics> BoundsOf(const SecondOrder& system, double period_s,
                                   const std::vector<StoredBite>& bites) {
  std::vector<BiteDynamics> out;
  for (const StoredBite& b : bites) {
    if (!b.bite.peak_n || !b.bite.rise_s) continue;
    // A half-sine that rises as fast stands 10-90 % over 0.325 of its width.
    const double width = *b.bite.rise_s / 0.325;
    out.push_back({b.bite.id, *b.bite.rise_s,
                   DynamicBound(system, period_s, b.bite.rise_s, width)});
  }
  return out;
}

Expected<void> Store(Book& book, TapsAnswer& answer) {
  return book.logbook.Transact([&]() -> Expected<void> {
    const auto id = book.logbook.AddBenchEntry(
        {0, "taps", NowUnixS(), TapDocument(answer.test).dump()});
    if (!id) return tl::unexpected(id.error());
    answer.id = *id;
    return book.logbook.MeasureAnewLater();
  });
}

}  // namespace

Expected<TapsAnswer> MeasureTapsInBook(const std::string& book_path,
                                       const SampleBlock& samples,
                                       const std::string& name) {
  const auto bites = ListBites(book_path);
  if (!bites) return tl::unexpected(bites.error());
  auto book = OpenBook(book_path, Access::kWrite);
  if (!book) return tl::unexpected(book.error());
  if (samples.size() < 2) return BadInput(name, "holds no samples");
  const Signal signal =
      WholeSignal(book->rig, book->CalibrationOrNull(), samples);
  auto test = MeasureTaps(signal.x, signal.rate_hz, signal.start_s);
  if (!test) return BadInput(name, test.error().what);
  TapsAnswer answer;
  answer.test = std::move(*test);
  answer.rate_hz = signal.rate_hz;
  const SecondOrder& system = answer.test.system;
  answer.flat_hz = FlatBand(system, kFlatTolerance);
  if (HighestChannelClass(signal.rate_hz) >= kBiteClass) {
    answer.filter_hz = kBiteClass / 0.6;
  }
  double fastest = kUsualRiseS;
  bool any = false;
  for (const StoredBite& b : *bites) {
    if (!b.bite.rise_s || !b.bite.peak_n || *b.bite.rise_s <= 0.0) continue;
    fastest = any ? std::min(fastest, *b.bite.rise_s) : *b.bite.rise_s;
    any = true;
  }
  answer.bite_band_hz = kBandOfRise / fastest;
  for (const double f : {5.0, 10.0, 20.0, 50.0, 100.0, 200.0}) {
    if (f < 0.95 * system.natural_hz) {
      answer.errors.push_back({f, AmplitudeError(system, f)});
    }
  }
  answer.bites = BoundsOf(system, 1.0 / signal.rate_hz, *bites);
  AddWarnings(answer);
  if (auto ok = Store(*book, answer); !ok) return tl::unexpected(ok.error());
  return answer;
}

Expected<TapsAnswer> MeasureTapsInBook(const std::string& book_path,
                                       const std::string& capture_path) {
  SampleBlock samples;
  {
    const auto book = OpenBook(book_path, Access::kRead);
    if (!book) return tl::unexpected(book.error());
    auto capture = ReadCapture(capture_path, book->rig);
    if (!capture) return tl::unexpected(capture.error());
    samples = std::move(capture->samples);
  }
  return MeasureTapsInBook(book_path, samples, capture_path);
}

}  // namespace masseter
