// Open force recordings through the pipeline. They lie beside the checkout, in
// ../shared/data, where their own page names authors and licences; without
// them these tests are skipped and say so.
//   vertical_jump.txt, standing_person_four_corner_plate.txt: BMClab/BMC, Notes
//     on Scientific Computing for Biomechanics and Motor Control, M. Duarte and
//     R. Watanabe, CC BY 4.0
//   pinch_force.csv: `pinchraw` of R's fda package (J. Ramsay), data of Ramsay
//     and Flanagan
#include <algorithm>
#include <filesystem>
#include <numeric>
#include <utility>

#include "core/bite/pipeline.h"
#include "core/metrology/plate_testing.h"
#include "core/signal/robust.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::Column;

std::string DataFile(const std::string& name) {
  return MASSETER_SOURCE_DIR "/../shared/data/" + name;
}

// Columns of a text with one header line; separators tab, comma or blank.
std::vector<Column> Columns(const std::string& name) {
  std::ifstream in(DataFile(name));
  std::string line;
  std::getline(in, line);
  std::vector<Column> out;
  while (std::getline(in, line)) {
    std::vector<double> row;
    const char* p = line.data();
    const char* const end = p + line.size();
    while (p < end) {
      double value = 0.0;
      const auto [stop, error] = std::from_chars(p, end, value);
      if (error != std::errc()) {
        ++p;
        continue;
      }
      row.push_back(value);
      p = stop;
    }
    out.resize(std::max(out.size(), row.size()));
    for (std::size_t c = 0; c < row.size(); ++c) out[c].push_back(row[c]);
  }
  return out;
}

#define SKIP_WITHOUT(name)                                            \
  if (!std::filesystem::exists(DataFile(name))) {                     \
    GTEST_SKIP() << "no ../shared/data/" name " beside the checkout"; \
  }

struct Outcome {
  std::vector<MeasuredBite> bites;
  std::vector<FrameView> frames;
};

Outcome Measure(const Rig& rig, const Column& t_s, const Column& force_n) {
  Outcome out;
  PipelineEvents events;
  events.on_bite = [&](MeasuredBite&& b) { out.bites.push_back(std::move(b)); };
  events.on_frame = [&](const FrameView& f) { out.frames.push_back(f); };
  Pipeline pipeline(rig, nullptr, std::move(events));
  RawBlock block;
  block.layout = {{Role::kTimeS, -1}, {Role::kChannel, 0}};
  block.columns = {t_s, force_n};
  block.rows = t_s.size();
  pipeline.Push(block);
  pipeline.Finish();
  return out;
}

TEST(OpenRecordings, AJumpIsOneFlightAndOneLanding) {
  SKIP_WITHOUT("vertical_jump.txt");
  const auto columns = Columns("vertical_jump.txt");
  ASSERT_EQ(columns.size(), 2U);
  const Column& t = columns[0];
  const Column& f = columns[1];
  ASSERT_EQ(*std::max_element(f.begin(), f.end()), 4696.75);
  const Rig rig = testing_plate::OneCellRig(SignalUnit::kNewton, 450.0);
  const Outcome out = Measure(rig, t, f);

  int flight = 0;
  for (const FrameView& frame : out.frames) {
    if (frame.start_s < 5.15 || frame.end_s > 5.60) continue;
    EXPECT_NEAR(frame.force_n, 0.0, 1.0) << frame.start_s;
    ++flight;
  }
  EXPECT_GE(flight, 15);

  const MeasuredBite* landing = nullptr;
  for (const MeasuredBite& b : out.bites) {
    if (b.bite.start_s < 6.0 && b.bite.end_s > 5.6) landing = &b;
  }
  ASSERT_NE(landing, nullptr);
  ASSERT_TRUE(landing->bite.peak_n && landing->bite.impulse_ns);
  EXPECT_NEAR(*landing->bite.peak_n, 4696.75, 0.05 * 4696.75);
  double impulse = 0.0;
  for (std::size_t i = 1; i < t.size(); ++i) {
    if (t[i - 1] < landing->bite.start_s - 1e-9 ||
        t[i] > landing->bite.end_s + 1e-9) {
      continue;
    }
    impulse += 0.5 * (f[i] + f[i - 1]) * (t[i] - t[i - 1]);
  }
  EXPECT_NEAR(*landing->bite.impulse_ns, impulse, 0.03 * impulse);
  std::printf("  landing from %.2f s to %.2f s: %.1f N, %.1f N s\n",
              landing->bite.start_s, landing->bite.end_s, *landing->bite.peak_n,
              *landing->bite.impulse_ns);
}

TEST(OpenRecordings, TheSumOfFourCornersDoesNotCareWhereAPersonStands) {
  SKIP_WITHOUT("standing_person_four_corner_plate.txt");
  const auto columns = Columns("standing_person_four_corner_plate.txt");
  ASSERT_EQ(columns.size(), 9U);
  // The four vertical corner sensors, volts, through a rig that adds them up.
  Rig rig = testing_plate::FourCellRig(testing_plate::Plate{}, 100.0);
  for (Channel& c : rig.channels) c.unit = SignalUnit::kNewton;
  const ForceModel model = MakeForceModel(rig, nullptr);
  const std::size_t n = columns[0].size();
  Column sum(n);
  for (std::size_t i = 0; i < n; ++i) {
    const std::vector<double> v = {columns[5][i], columns[6][i], columns[7][i],
                                   columns[8][i]};
    sum[i] = model.estimator.Force(v);
  }
  // A tenth of a second takes the heartbeat's and the amplifier's noise off;
  // what is looked at is the standard deviation over 20 s.
  const auto sd_over = [n](const Column& x, double scale) {
    Column smooth;
    for (std::size_t i = 0; i + 10 <= n; ++i) {
      smooth.push_back(
          std::accumulate(x.begin() + static_cast<std::ptrdiff_t>(i),
                          x.begin() + static_cast<std::ptrdiff_t>(i) + 10,
                          0.0) /
          10.0);
    }
    const double mean = std::accumulate(smooth.begin(), smooth.end(), 0.0) /
                        static_cast<double>(smooth.size());
    double squares = 0.0;
    for (const double s : smooth) squares += (s - mean) * (s - mean);
    return std::sqrt(squares / static_cast<double>(smooth.size())) / scale;
  };
  const double total =
      std::accumulate(sum.begin(), sum.end(), 0.0) / static_cast<double>(n);
  ASSERT_GT(total, 0.5);
  const double of_sum = sd_over(sum, total);
  EXPECT_LT(of_sum, 0.005);
  for (std::size_t c = 5; c < 9; ++c) {
    const double corner = sd_over(columns[c], total);
    std::printf(
        "  corner %zu wanders by %.2f %% of the total, the sum by "
        "%.2f %%\n",
        c - 1, 100.0 * corner, 100.0 * of_sum);
    EXPECT_GT(corner, 2.0 * of_sum);
  }
}

TEST(OpenRecordings, TwentyPinchesAreFoundAndTheirPeaksKept) {
  SKIP_WITHOUT("pinch_force.csv");
  const auto columns = Columns("pinch_force.csv");
  ASSERT_EQ(columns.size(), 21U);
  Rig rig = testing_plate::OneCellRig(SignalUnit::kNewton, 500.0);
  rig.safe_load = Force(20.0);
  double worst = 0.0;
  for (std::size_t k = 1; k <= 20; ++k) {
    const Column& pinch = columns[k];
    ASSERT_EQ(pinch.size(), 151U);
    // Its own quiet background, two seconds on either side: the first and the
    // last 40 ms, their order drawn.
    testing_plate::Draw draw(k);
    Column force;
    const auto quiet = [&](std::size_t from) {
      for (int i = 0; i < 1000; ++i) {
        force.push_back(
            pinch[from + static_cast<std::size_t>(draw.Uniform(0.0, 20.0))]);
      }
    };
    quiet(0);
    force.insert(force.end(), pinch.begin(), pinch.end());
    quiet(131);
    Column t(force.size());
    for (std::size_t i = 0; i < t.size(); ++i) {
      t[i] = static_cast<double>(i) * 0.002;
    }
    const double background = Median(std::span(pinch).first(20));
    const double top =
        *std::max_element(pinch.begin(), pinch.end()) - background;
    const Outcome out = Measure(rig, t, force);
    ASSERT_EQ(out.bites.size(), 1U) << "pinch " << k;
    const Bite& b = out.bites[0].bite;
    EXPECT_NEAR(*b.peak_n, top, 0.05 * top) << "pinch " << k;
    EXPECT_GT(b.peak_at_s, 2.0);
    EXPECT_LT(b.peak_at_s, 2.3);
    worst = std::max(worst, std::abs(*b.peak_n / top - 1.0));
  }
  std::printf("  20 pinches, worst peak off by %.1f %%\n", 100.0 * worst);
}

}  // namespace
}  // namespace masseter
