#include "core/signal/channel_class_filter.h"
#include "core/signal/half_sine.h"
#include "selftest/certified_data.h"
#include "selftest/groups.h"

namespace masseter::selftest {
namespace {

// butter(2, 0.2): a cut-off of 0.2 at a sampling rate of 2, which the J211
// factor turns into a class.
void AddButterworth(CheckedGroup& group) {
  const auto f = DesignChannelClass(0.2 / 2.0775, 2.0, ClassStandard::kSaeJ211);
  if (!f) return;
  group.lines.push_back(
      {"Butterworth coefficients, SciPy 1.10.1 butter(2, 0.2)",
       {f->a0, f->b1, f->b2},
       {0.06745527388907192, 1.1429805025399011, -0.41280159809618877},
       13});
  const Table t = CertifiedTable("scipy_butterworth.csv");
  Column forward = t.at("x");
  FilterForward(*f, forward, 0.0);
  Column reflected = t.at("x");
  FilterZeroPhase(*f, reflected, 9);
  Column bare = t.at("x");
  FilterZeroPhase(*f, bare, 0);
  group.lines.push_back({"one pass, SciPy 1.10.1 sosfilt", std::move(forward),
                         t.at("forward"), 12, true});
  group.lines.push_back({"both passes with reflected ends, sosfiltfilt",
                         std::move(reflected), t.at("both_reflected_9"), 12,
                         true});
  group.lines.push_back({"both passes without, sosfiltfilt", std::move(bare),
                         t.at("both_not_reflected"), 12, true});
}

// The formulae of ISO 6487 by another implementation, nine decimals.
void AddChannelClasses(CheckedGroup& group) {
  const Table t = CertifiedTable("iso6487_cfc_vector.csv");
  const std::pair<const char*, double> columns[] = {
      {"cfc60", 60}, {"cfc180", 180}, {"cfc600", 600}, {"cfc1000", 1000}};
  for (const auto& [name, cfc] : columns) {
    Column x = t.at("x");
    const auto filter = DesignChannelClass(cfc, 10000);
    if (filter) FilterChannelClass(*filter, x);
    group.lines.push_back(
        {"ISO 6487 class " + std::string(name).substr(3) + ", ends included",
         std::move(x), t.at(name), 8, true});
  }
}

}  // namespace

void AddSignal(Groups& out) {
  CheckedGroup filters{"Filters",
                       "SciPy 1.10.1, and the algorithm of ISO 6487 by another "
                       "implementation in Python.",
                       {}};
  AddButterworth(filters);
  AddChannelClasses(filters);
  out.push_back(std::move(filters));
  const Table t = CertifiedTable("half_sine_peak_underestimate.csv");
  CheckedLine worst{"worst loss at the peak", {}, t.at("worst_fraction"), 9};
  CheckedLine mean{"mean loss", {}, t.at("mean_fraction_uniform_phase"), 9};
  // The table took the root of a difference near 1e-16 of its terms, so its
  // smallest values keep five digits.
  CheckedLine rms{"rms loss", {}, t.at("rms_fraction"), 4};
  for (std::size_t i = 0; i < t.at("T_s").size(); ++i) {
    const double width = t.at("T_s")[i];
    const double rate = t.at("fs_Hz")[i];
    worst.values.push_back(WorstSamplingLoss(width, rate));
    mean.values.push_back(MeanSamplingLoss(width, rate));
    rms.values.push_back(RmsSamplingLoss(width, rate));
  }
  out.push_back({"A sampled half-sine",
                 "Closed form checked by a sweep over 4001 phases (NumPy "
                 "1.24.2): what sampling takes from a short peak.",
                 {std::move(worst), std::move(mean), std::move(rms)}});
}

}  // namespace masseter::selftest
