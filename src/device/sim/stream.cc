#include "device/sim/stream.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include "device/sim/cell_bank.h"
#include "device/sim/device_clock.h"
#include "device/sim/fault_bank.h"
#include "device/sim/load_path.h"
#include "device/sim/number_print.h"
#include "device/sim/random.h"

namespace masseter::sim {
namespace {

constexpr double kInnerRateHz = 8000.0;  // at least, for the moving parts

// Step answer of four cascaded one-sample means: how much of the first three
// words after a start is there.
constexpr std::array<double, 3> kSettling = {1.0 / 24.0, 0.5, 23.0 / 24.0};

}  // namespace

struct SimStream::Impl {
  Impl(SimSleeve s, SimDay d, std::uint64_t seed_in, StreamOptions o);

  void Sample(std::string& out);
  void MovePlate(double t);
  void ReadWords(double t);
  std::string Line(double t);
  PlateLoad LoadAt(double t) const;
  double SupplyMv(double t);
  bool Print(double t, std::string& out);
  void Report(double t, bool whole);

  SimSleeve sleeve;
  SimDay day;
  std::uint64_t seed;
  StreamOptions options;
  double period_s;
  int inner_steps;
  LoadPath path;
  CellBank cells;
  FaultBank faults;
  DeviceClock clock;
  Random supply_random;
  std::vector<double> counts;
  std::vector<std::int64_t> words;

  std::uint64_t index = 0;  // of the next sample
  bool powered = true;
  std::size_t since_start = kSettling.size();  // samples; settled at first
  bool header_due;
  bool line_open = false;  // the last line lost its end
  std::uint64_t whole_lines = 0;
  std::uint64_t broken_lines = 0;
  std::vector<double> seen_peak;
};

SimStream::Impl::Impl(SimSleeve s, SimDay d, std::uint64_t seed_in,
                      StreamOptions o)
    : sleeve(std::move(s)),
      day(std::move(d)),
      seed(seed_in),
      options(std::move(o)),
      period_s(1.0 / sleeve.RateHz()),
      inner_steps(
          std::max(1, static_cast<int>(std::ceil(kInnerRateHz * period_s)))),
      path(sleeve, period_s / inner_steps),
      cells(sleeve, period_s, Random(seed, 3)),
      faults(sleeve, day.faults, Random(seed, 4)),
      clock(sleeve.converter, Random(seed, 5)),
      supply_random(seed, 6),
      counts(sleeve.cells.size()),
      words(sleeve.cells.size()),
      header_due(options.header),
      seen_peak(day.bites.size(), 0.0) {}

PlateLoad SimStream::Impl::LoadAt(double t) const {
  PlateLoad load;
  const int at = BiteAt(day, t);
  if (at >= 0) {
    const SimBite& bite = day.bites[static_cast<std::size_t>(at)];
    const double into = t - bite.start_s;
    AddLoad(sleeve, path.plate(), ForceAt(bite.shape, into),
            GripAt(bite.shape, into), load);
  }
  for (const Handling& h : day.handling) {
    AddLoad(sleeve, path.plate(), HandlingForce(h, t),
            {h.x_mm, h.y_mm, 0.0, 0.0}, load);
  }
  return load;
}

// Moves everything on by one sample period, up to `t`; the load of each inner
// step is the load at the step's middle.
void SimStream::Impl::MovePlate(double t) {
  const double step = period_s / inner_steps;
  for (int k = inner_steps; k >= 1; --k) {
    path.Step(LoadAt(t - (k - 0.5) * step));
  }
}

void SimStream::Impl::ReadWords(double t) {
  const double temperature_c =
      sleeve.temperature_c + sleeve.warming_c_per_h * t / 3600.0;
  cells.Read(path.cell_forces_n(), temperature_c, clock.since_on_s(t), 1,
             counts);
  const double there =
      since_start < kSettling.size() ? kSettling[since_start] : 1.0;
  for (std::size_t i = 0; i < words.size(); ++i) {
    words[i] = CellBank::Word(sleeve, there * counts[i]);
  }
  faults.Words(t, words);
}

double SimStream::Impl::SupplyMv(double t) {
  const SimSupply& s = sleeve.supply;
  double mv = s.start_mv - s.fall_mv_per_min * t / 60.0;
  const double into = t - s.pulse_period_s * std::floor(t / s.pulse_period_s);
  if (into < s.pulse_s) mv -= s.pulse_mv;
  mv += s.noise_mv * supply_random.Normal();
  return faults.Supply(t, mv);
}

std::string SimStream::Impl::Line(double t) {
  const DeviceClock::Stamp stamp = clock.Next(t);
  std::string line;
  AppendInteger(line, stamp.sequence);
  line += ',';
  AppendInteger(line, stamp.t_us);
  for (const std::int64_t word : words) {
    line += ',';
    AppendInteger(line, word);
  }
  line += ',';
  AppendInteger(line, std::llround(SupplyMv(t)));
  return line + '\n';
}

// True when the line arrives as one whole line.
bool SimStream::Impl::Print(double t, std::string& out) {
  std::string line = Line(t);
  if (faults.LineLost(t)) return false;
  bool whole = !line_open;  // otherwise it runs on from the one before
  line_open = false;
  if (whole && faults.BreakLine(t, line)) {
    whole = false;
    ++broken_lines;
    line_open = line.back() != '\n';
  }
  out += line;
  if (whole) {
    ++whole_lines;
    clock.Arrived(t);
  }
  return whole;
}

void SimStream::Impl::Report(double t, bool whole) {
  const int at = BiteAt(day, t);
  const double force = TrueForce(day, t);
  if (at >= 0 && whole) {
    double& seen = seen_peak[static_cast<std::size_t>(at)];
    seen = std::max(seen, force);
  }
  if (options.on_sample) {
    options.on_sample({t, clock.CaptureTime(t), force, whole});
  }
}

void SimStream::Impl::Sample(std::string& out) {
  const double t = static_cast<double>(index++) * period_s;
  MovePlate(t);
  faults.MoveZeros(t, cells);
  if (faults.PowerLost(t)) {
    powered = false;
  } else if (!powered) {
    powered = true;
    since_start = 0;
    clock.PowerOn(t);
  }
  ReadWords(t);
  if (!powered) return;
  if (header_due) {
    out += "seq,t_us";
    for (const SimCell& cell : sleeve.cells) out += "," + cell.name;
    out += ",supply_mv\n";
    header_due = false;
  }
  const bool whole = Print(t, out);
  ++since_start;
  Report(t, whole);
}

SimStream::SimStream(SimSleeve sleeve, SimDay day, std::uint64_t seed,
                     StreamOptions options)
    : impl_(std::make_unique<Impl>(std::move(sleeve), std::move(day), seed,
                                   std::move(options))) {}
SimStream::~SimStream() = default;

std::string SimStream::Next(double day_s) {
  std::string out;
  const double end = std::min(day_s, impl_->day.length_s);
  while (static_cast<double>(impl_->index) * impl_->period_s <= end) {
    impl_->Sample(out);
  }
  return out;
}

bool SimStream::done() const {
  return static_cast<double>(impl_->index) * impl_->period_s >
         impl_->day.length_s;
}

const SimSleeve& SimStream::sleeve() const { return impl_->sleeve; }
const SimDay& SimStream::day() const { return impl_->day; }
const TimeMap& SimStream::time_map() const { return impl_->clock.map(); }

Truth SimStream::MakeTruth() const {
  Truth truth = sim::MakeTruth(impl_->sleeve, impl_->day, time_map());
  truth.seed = impl_->seed;
  truth.samples = impl_->whole_lines;
  truth.broken_lines = impl_->broken_lines;
  for (std::size_t i = 0; i < truth.bites.size(); ++i) {
    truth.bites[i].seen_peak_n = impl_->seen_peak[i];
  }
  return truth;
}

Expected<void> PlayDay(
    SimStream& stream, double step_s,
    const std::function<bool(double day_s)>& wait_until,
    const std::function<Expected<void>(std::string_view)>& sink) {
  for (std::uint64_t k = 1; !stream.done(); ++k) {
    const double now = static_cast<double>(k) * step_s;
    if (!wait_until(now)) break;
    const std::string text = stream.Next(now);
    if (text.empty()) continue;
    if (auto sent = sink(text); !sent) return sent;
  }
  return {};
}

}  // namespace masseter::sim
