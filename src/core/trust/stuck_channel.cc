#include "core/trust/stuck_channel.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace masseter {
namespace {

constexpr std::size_t kShortestRun = 6;
constexpr double kLogChance = -20.7;  // ln 1e-9
constexpr double kLogNever = -69.1;   // ln 1e-30
constexpr double kLeastMoveN = 5.0;
constexpr double kNoises = 8.0;
constexpr double kDigits = 4.0;
constexpr double kWholeMoveN = 30.0;
constexpr double kWholeDigits = 300.0;
// The top of one cell among others.
constexpr std::size_t kShortestTop = 2;
constexpr double kTopDigits = 8.0;
constexpr double kPairDigits = 300.0;  // of a top of two samples
// The top of a lone cell, which nothing else moves against.
constexpr std::size_t kShortestLoneTop = 3;
constexpr double kLogTopChance = -9.2;  // ln 1e-4, at one place of a bite
constexpr double kGoesOn = 1.5;

struct Run {
  std::size_t begin = 0;
  std::size_t end = 0;
  std::size_t size() const { return end - begin; }
};

std::vector<Run> EqualRuns(const std::vector<double>& raw,
                           std::size_t shortest) {
  std::vector<Run> out;
  std::size_t begin = 0;
  for (std::size_t i = 1; i <= raw.size(); ++i) {
    if (i < raw.size() && raw[i] == raw[begin]) continue;
    if (i - begin >= shortest) out.push_back({begin, i});
    begin = i;
  }
  return out;
}

bool OtherIsWild(const WildSamples& wild, std::size_t c, std::size_t i) {
  for (std::size_t k = 0; k < wild.size(); ++k) {
    if (k != c && wild[k][i] != 0) return true;
  }
  return false;
}

// How far the others moved together, but for a digit each, which a force that
// stands between two words has too.
double OthersMove(const ChannelTraces& t, std::size_t c, const Run& run,
                  const WildSamples& wild) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (std::size_t i = run.begin; i < run.end; ++i) {
    if (OtherIsWild(wild, c, i)) continue;
    low = std::min(low, t.Others(c, i));
    high = std::max(high, t.Others(c, i));
  }
  if (low > high) return 0.0;
  double digits = 0.0;
  for (std::size_t k = 0; k < t.channels(); ++k) {
    if (k != c) digits += t.digit_n[k];
  }
  return std::max(high - low - digits, 0.0);
}

double NoiseOfOthers(const ChannelTraces& t, std::size_t c) {
  double square = 0.0;
  for (std::size_t k = 0; k < t.channels(); ++k) {
    if (k != c) square += t.noise_n[k] * t.noise_n[k];
  }
  return std::sqrt(square);
}

// Share of equal neighbours outside the run.
double EqualElsewhere(const std::vector<double>& raw, const Run& run) {
  std::size_t equal = 0;
  std::size_t pairs = 0;
  for (std::size_t i = 1; i < raw.size(); ++i) {
    if (i > run.begin && i < run.end) continue;
    ++pairs;
    equal += raw[i] == raw[i - 1] ? 1U : 0U;
  }
  if (pairs == 0) return 1.0;
  return static_cast<double>(equal) / static_cast<double>(pairs);
}

bool StandsStill(const ChannelTraces& t, std::size_t c, const Run& run,
                 double moved) {
  const double noise = NoiseOfOthers(t, c);
  if (t.size() - run.size() <= t.size() / 50) {
    return moved >= std::max(kWholeMoveN, kWholeDigits * t.digit_n[c]);
  }
  // A converter with digits coarser than the noise repeats a word for as long
  // as the force keeps within it: how long says nothing.
  const bool fine = t.channels() == 1 || t.noise_n[c] >= t.digit_n[c];
  const double equal = std::clamp(EqualElsewhere(t.raw[c], run), 0.02, 0.9999);
  const double chance =
      fine ? static_cast<double>(run.size() - 1) * std::log(equal) : 0.0;
  if (chance < kLogNever) return true;
  if (moved < std::max(kLeastMoveN, kNoises * noise)) return false;
  if (chance < kLogChance) return true;
  const double expected = std::abs(t.ratio[c]) * moved;
  return expected >= std::max(kDigits * t.digit_n[c], kNoises * t.noise_n[c]);
}

// The end of an amplifier's range that no rig file names: the channel's
// highest value, gone into and left without a jump, which is a step that the
// others' own at that sample does not explain.
bool IsFlatTop(const ChannelTraces& t, std::size_t c, const Run& run) {
  if (run.begin == 0 || run.end >= t.size()) return false;
  const std::vector<double>& p = t.p[c];
  const double level = p[run.begin];
  if (level < *std::max_element(p.begin(), p.end())) return false;
  const double smooth = std::max(kNoises * t.noise_n[c], 0.08 * level);
  const auto reached_from = [&](std::size_t outside, std::size_t inside) {
    const double shared =
        t.ratio[c] * (t.Others(c, inside) - t.Others(c, outside));
    return level - p[outside] < smooth + std::max(shared, 0.0);
  };
  return reached_from(run.begin - 1, run.begin) &&
         reached_from(run.end, run.end - 1);
}

// Runs too short to stand out by themselves, at the highest word of a channel
// that the others' move should have carried on. Two equal words come by chance
// once in as many digits as it should have moved.
bool IsShortFlatTop(const ChannelTraces& t, std::size_t c, const Run& run,
                    double moved) {
  if (!IsFlatTop(t, c, run)) return false;
  if (moved < std::max(kLeastMoveN, kNoises * NoiseOfOthers(t, c))) {
    return false;
  }
  const double digits = run.size() == 2 ? kPairDigits : kTopDigits;
  return std::abs(t.ratio[c]) * moved >=
         std::max(digits * t.digit_n[c], kNoises * t.noise_n[c]);
}

// The force comes from far and goes far within a quarter of the run's length on
// either side. A crest that stays within a digit for the run is flatter: a
// parabola has fallen by 2.3 digits there, by four beside three samples.
bool IsCutOff(const std::vector<double>& p, const Run& run, double digit) {
  const std::size_t side = std::clamp<std::size_t>(run.size() / 4, 2, 10);
  if (run.begin < side || run.end + side > p.size()) return false;
  const double level = p[run.begin];
  return level - p[run.begin - side] >= kTopDigits * digit &&
         level - p[run.end + side - 1] >= kTopDigits * digit;
}

// Runs too short to stand out by themselves, at the highest word of an only
// cell. Noise of `s` digits repeats a word once in 0.28 / s at most; the force
// goes in and comes out no faster than just before and just after.
bool IsLoneFlatTop(const ChannelTraces& t, const Run& run) {
  if (run.begin < 2 || run.end + 1 >= t.size()) return false;
  const std::vector<double>& p = t.p[0];
  const double level = p[run.begin];
  if (level < *std::max_element(p.begin(), p.end())) return false;
  if (t.noise_n[0] < t.digit_n[0]) return IsCutOff(p, run, t.digit_n[0]);
  const double equal = std::max(EqualElsewhere(t.raw[0], run),
                                0.28 * t.digit_n[0] / t.noise_n[0]);
  const double chance = static_cast<double>(run.size() - 1) * std::log(equal);
  if (chance > kLogTopChance) return false;
  const double smooth = kNoises * t.noise_n[0];
  const auto goes_on = [&](std::size_t near, std::size_t far) {
    return level - p[near] < kGoesOn * std::abs(p[near] - p[far]) + smooth;
  };
  return goes_on(run.begin - 1, run.begin - 2) && goes_on(run.end, run.end + 1);
}

}  // namespace

std::vector<ChannelFault> FindStuck(const Rig& rig, const ChannelTraces& t,
                                    std::size_t c, const WildSamples& wild) {
  std::vector<ChannelFault> out;
  const Channel& channel = rig.channels[c];
  const bool alone = t.channels() == 1;
  for (const Run& run :
       EqualRuns(t.raw[c], alone ? kShortestLoneTop : kShortestTop)) {
    const bool whole = t.size() - run.size() <= t.size() / 50;
    const double word = t.raw[c][run.begin];
    const bool at_end = (channel.adc_max && word >= *channel.adc_max) ||
                        (channel.adc_min && word <= *channel.adc_min);
    if (at_end && !whole) continue;
    const double moved = OthersMove(t, c, run, wild);
    const bool stands =
        run.size() >= kShortestRun && StandsStill(t, c, run, moved);
    const bool short_top =
        alone ? IsLoneFlatTop(t, run) : IsShortFlatTop(t, c, run, moved);
    if (!stands && !short_top) continue;
    ChannelFault fault;
    fault.kind = short_top || IsFlatTop(t, c, run)
                     ? ChannelFault::Kind::kFlatTop
                     : ChannelFault::Kind::kStuck;
    fault.channel = c;
    fault.begin = run.begin;
    fault.end = run.end;
    fault.whole = whole;
    out.push_back(fault);
  }
  return out;
}

}  // namespace masseter
