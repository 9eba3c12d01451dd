#include "report/example_model.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "report/trace_columns.h"

namespace masseter::report {
namespace {

constexpr double kRateHz = 1000.0;

// How an invented bite goes: a strike, a squeeze that sags and shakes,
// re-grips.
struct Course {
  double start_s = 0.0;
  double length_s = 3.0;
  double strike_n = 700.0;
  double squeeze_n = 600.0;
  double shake_hz = 4.3;
  double shake_share = 0.06;
  std::vector<double> regrip_at_s;  // since the start
  std::vector<TraceGap> gaps;       // since the start
  double cut_s = 0.0;               // the trace ends here; 0: it does not
};

double Smooth(double share) {
  share = std::clamp(share, 0.0, 1.0);
  return share * share * (3.0 - 2.0 * share);
}

double ForceAt(const Course& c, double t) {
  if (t < 0.0 || t > c.length_s) return 0.0;
  const double strike =
      c.strike_n * std::exp(-std::pow((t - 0.11) / 0.055, 2.0));
  const double hold = c.squeeze_n * Smooth((t - 0.04) / 0.22) *
                      (1.0 - 0.05 * t) * Smooth((c.length_s - t) / 0.16);
  const double shake =
      1.0 + c.shake_share * std::sin(2.0 * std::numbers::pi * c.shake_hz * t) *
                Smooth((t - 0.4) / 0.5);
  double grip = 1.0;
  for (const double at : c.regrip_at_s) {
    grip -= 0.72 * std::exp(-std::pow((t - at) / 0.07, 2.0));
  }
  return std::max(strike, hold * shake * grip);
}

// Noise of about a newton without a random number generator.
double Noise(int i) {
  return 0.9 * std::sin(0.73 * i) + 0.6 * std::sin(2.17 * i + 1.0) +
         0.5 * std::sin(5.9 * i);
}

TraceColumns TraceOf(const Course& c, int columns) {
  std::vector<double> time_s;
  std::vector<double> force_n;
  std::vector<TraceGap> gaps;
  const double from = -0.35;
  const double to = c.length_s + 0.35;
  for (const TraceGap& gap : c.gaps) {
    gaps.push_back({c.start_s + gap.start_s, c.start_s + gap.end_s});
  }
  if (c.cut_s > 0.0) {
    gaps.push_back({c.start_s + c.cut_s, c.start_s + to + 1.0});
  }
  const int count = static_cast<int>((to - from) * kRateHz);
  for (int i = 0; i < count; ++i) {
    const double t = from + i / kRateHz;
    const double s = c.start_s + t;
    const bool missing = std::ranges::any_of(gaps, [s](const TraceGap& gap) {
      return s > gap.start_s && s < gap.end_s;
    });
    if (missing) continue;
    time_s.push_back(s);
    force_n.push_back(ForceAt(c, t) + Noise(i));
  }
  return MakeTraceColumns(time_s, force_n, gaps, c.start_s + from,
                          c.start_s + to, columns);
}

void MeasureForce(const Course& c, Bite& bite) {
  double peak = 0.0;
  double strike = 0.0;
  double sum = 0.0;
  for (int i = 0; i < static_cast<int>(c.length_s * kRateHz); ++i) {
    const double t = i / kRateHz;
    if (c.cut_s > 0.0 && t > c.cut_s) break;
    const double f = ForceAt(c, t);
    sum += f / kRateHz;
    if (t <= 0.20) strike = std::max(strike, f);
    if (f > peak) {
      peak = f;
      bite.peak_at_s = c.start_s + t;
    }
  }
  bite.peak_n = peak;
  bite.strike_n = strike;
  bite.impulse_ns = sum;
  bite.held_n = 0.86 * c.squeeze_n;
  bite.rise_s = 0.062;
  bite.shake_hz =
      c.shake_share > 0.03 ? std::optional(c.shake_hz) : std::nullopt;
  bite.held_cv = 0.04 + c.shake_share / 2.0;
}

ReportBite MakeBite(std::int64_t id, const Course& c, double u_n) {
  ReportBite entry;
  entry.capture = id > 9 ? 2 : 1;
  entry.trace = TraceOf(c, 520);
  Bite& bite = entry.bite;
  bite.id = id;
  bite.start_s = c.start_s;
  bite.duration_s = c.cut_s > 0.0 ? c.cut_s : c.length_s;
  bite.end_s = c.start_s + bite.duration_s;
  bite.verdict = Verdict::kSound;
  MeasureForce(c, bite);
  bite.peak_u95_n = u_n;
  bite.squeeze_n = 0.97 * c.squeeze_n;
  bite.squeeze_u95_n = 0.9 * u_n;
  entry.squeeze_at_s = c.start_s + 0.36;
  bite.regrips = static_cast<int>(c.regrip_at_s.size());
  for (const double at : c.regrip_at_s) {
    entry.regrip_at_s.push_back(c.start_s + at);
  }
  bite.x_mm = 52.0 - 7.0 * static_cast<double>(id % 6);
  bite.y_mm = 2.1;
  bite.budget = {{"off-centre residual", 0.38 * u_n, 12.0, "normal"},
                 {"fit", 0.18 * u_n, 40.0, "normal"},
                 {"zero drift", 0.16 * u_n, 1e9, "rectangular"},
                 {"hysteresis", 0.15 * u_n, 1e9, "rectangular"},
                 {"noise", 0.04 * u_n, 200.0, "normal"},
                 {"resolution", 0.01 * u_n, 1e9, "rectangular"}};
  return entry;
}

ReportDog Brisk() {
  ReportDog dog{"Brisk", "Malinois", 28.5, {}};
  dog.bites.push_back(
      MakeBite(1, {42.0, 2.9, 743.1, 688.0, 4.3, 0.05, {}, {}, 0.0}, 6.2));
  dog.bites.push_back(MakeBite(
      2, {97.0, 4.1, 690.0, 655.0, 4.6, 0.09, {1.7, 2.6}, {}, 0.0}, 5.9));
  ReportBite gap = MakeBite(
      3, {151.0, 3.2, 702.0, 540.0, 4.1, 0.05, {}, {{0.10, 0.181}}, 0.0}, 58.0);
  gap.bite.verdict = Verdict::kDoubtful;
  gap.bite.peak_lo_n = *gap.bite.peak_n - 9.0;
  gap.bite.peak_hi_n = *gap.bite.peak_n + 96.0;
  gap.bite.reasons = {{ReasonCode::kGap,
                       "81 ms without samples across the peak", 55.0, 151.10,
                       151.181, "move the receiver nearer to the dog"}};
  dog.bites.push_back(std::move(gap));
  ReportBite hard =
      MakeBite(4, {214.0, 2.4, 905.0, 720.0, 4.4, 0.03, {}, {}, 0.0}, 21.0);
  hard.bite.out_s = 0.82;
  dog.bites.push_back(std::move(hard));
  return dog;
}

ReportDog Juno() {
  ReportDog dog{"Juno", "German Shepherd", 34.0, {}};
  dog.bites.push_back(
      MakeBite(5, {303.0, 5.2, 480.0, 512.0, 3.9, 0.02, {}, {}, 0.0}, 4.8));
  ReportBite cut =
      MakeBite(6, {371.0, 3.0, 760.0, 812.0, 4.0, 0.03, {}, {}, 0.62}, 7.0);
  cut.bite.verdict = Verdict::kDoubtful;
  cut.bite.at_least = true;
  cut.bite.squeeze_n.reset();
  cut.squeeze_at_s.reset();
  cut.bite.reasons = {
      {ReasonCode::kSag,
       "the supply fell to 3.21 V, below its minimum of "
       "3.40 V",
       std::nullopt, 371.40, 371.62, "change the battery"},
      {ReasonCode::kRestart, "the device started again while force stood",
       std::nullopt, 371.62, 371.90, "change the battery"}};
  dog.bites.push_back(std::move(cut));
  ReportBite zero =
      MakeBite(7, {455.0, 2.6, 500.0, 470.0, 4.2, 0.07, {1.3}, {}, 0.0}, 40.0);
  zero.bite.verdict = Verdict::kDoubtful;
  zero.bite.reasons = {{ReasonCode::kZero,
                        "the zero moved by 34 N between before and after", 34.0,
                        454.65, 457.95, "set the zero before the next dog"}};
  dog.bites.push_back(std::move(zero));
  return dog;
}

ReportDog Quill() {
  ReportDog dog{"Quill of the Long Meadow behind the Third Mill, called Quill",
                "Dutch Shepherd",
                std::nullopt,
                {}};
  dog.bites.push_back(
      MakeBite(8, {601.0, 1.9, 310.0, 255.0, 5.1, 0.11, {}, {}, 0.0}, 3.4));
  ReportBite stuck =
      MakeBite(9, {655.0, 2.2, 420.0, 300.0, 4.6, 0.04, {}, {}, 0.0}, 5.0);
  stuck.bite.verdict = Verdict::kVoid;
  stuck.bite.reasons = {
      {ReasonCode::kStuck, "channel c3 did not move during the whole bite",
       std::nullopt, 655.0, 657.2, "reseat the plug of c3"},
      {ReasonCode::kOdd, "the cells disagree with any single grip", 180.0,
       655.05, 657.1, "reseat the plug of c3"}};
  dog.bites.push_back(std::move(stuck));
  dog.bites.push_back(
      MakeBite(10, {31.0, 2.7, 288.0, 301.0, 4.8, 0.08, {}, {}, 0.0}, 3.6));
  return dog;
}

ReportDog Nobody() {
  ReportDog dog;
  ReportBite lone =
      MakeBite(12, {120.0, 0.42, 190.0, 120.0, 0.0, 0.0, {}, {}, 0.0}, 2.9);
  lone.bite.squeeze_n.reset();
  lone.squeeze_at_s.reset();
  dog.bites.push_back(std::move(lone));
  return dog;
}

ReportCalibration Calibration() {
  ReportCalibration cal;
  cal.id = 2;
  cal.estimator = "channel gains with products of channels";
  cal.created = "9 May 2031, 18:40";
  cal.force_low_n = 49.06;
  cal.force_high_n = 784.98;
  cal.gravity_m_s2 = 9.81225;
  cal.expanded_relative_u95 = 0.00604;
  cal.left_out_rms = 0.0031;
  cal.left_out_max = 0.0083;
  cal.relative = {{"repeatability", 0.00031}, {"reproducibility", 0.00042},
                  {"interpolation", 0.00055}, {"reversibility", 0.00063},
                  {"zero_return", 0.00012},   {"off_centre", 0.0021},
                  {"resolution", 0.00002},    {"reference", 0.0001},
                  {"creep", std::nullopt}};
  cal.warnings = {
      "the loads reach 785 N; the strongest dogs bite harder, and there the "
      "figures are extrapolated"};
  int i = 0;
  for (const double x : {-60.0, -30.0, 0.0, 30.0, 60.0}) {
    for (const double y : {-20.0, 0.0, 20.0}) {
      for (int step = 1; step <= 8; ++step, ++i) {
        const double force = 98.1225 * step;
        const double edge = std::hypot(x / 60.0, y / 20.0) - 0.7;
        const double error = 0.0019 * edge + 0.00045 * Noise(i) +
                             0.004 * edge * std::sin(0.9 * step);
        const bool rising = i % 2 == 0;
        cal.residuals.push_back(
            {force, error + (rising ? -0.0003 : 0.0003), x, y, rising});
      }
    }
  }
  cal.rows = static_cast<int>(cal.residuals.size());
  return cal;
}

}  // namespace

ReportModel ExampleModel() {
  ReportModel model;
  model.title = "Field day at the mill meadow";
  model.made = "10 May 2031, 17:22";
  model.program_version = "0.1.0";
  model.method_version = "1";
  model.logbook = "meadow.book";
  model.rig_name = "Forearm sleeve, four cells";
  model.rig_revision = 1;
  model.cover = "jute over 12 mm closed-cell foam";
  model.safe_load_n = 6000.0;
  model.grip_thickness_mm = 90.0;
  model.nominal_rate_hz = 1000.0;
  model.channels = 4;
  model.captures = {{1,
                     "morning.csv",
                     "10 May 2031, 10:02",
                     742311,
                     742.4,
                     999.87,
                     2,
                     3,
                     {"line 40112 has 6 fields where 7 are expected",
                      "samples are missing at 151.10 s and at 371.62 s"}},
                    {2,
                     "serial:/dev/ttyUSB0@921600",
                     "10 May 2031, 14:15",
                     393692,
                     393.7,
                     999.98,
                     0,
                     0,
                     {}}};
  model.dogs = {Brisk(), Juno(), Quill(), ReportDog{"Pim", "", 31.0, {}},
                Nobody()};
  for (ReportDog& dog : model.dogs) {
    for (ReportBite& entry : dog.bites) entry.bite.dog = dog.name;
  }
  model.calibration = Calibration();
  return model;
}

ReportModel SmallModel() {
  ReportModel model = ExampleModel();
  model.captures.resize(1);
  model.dogs.resize(1);
  model.dogs[0].bites.resize(1);
  ReportBite& entry = model.dogs[0].bites[0];
  entry.trace = TraceOf({42.0, 2.9, 743.1, 688.0, 4.3, 0.05, {}, {}, 0.0}, 24);
  model.calibration->residuals.resize(4);
  return model;
}

}  // namespace masseter::report
