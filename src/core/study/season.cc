#include "core/study/season.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/metrology/student_t.h"

namespace masseter {
namespace {

constexpr double kMonth = 30.0;
constexpr double kFallLevel = 0.975;
constexpr std::size_t kDaysBefore = 3;
// From here on the days before may have a slope of their own.
constexpr std::size_t kDaysForSlope = 6;

struct DayBites {
  double day = 0.0;
  std::vector<double> ln;
  std::vector<bool> at_least;
  double mean = 0.0;
  bool OnlyAtLeast() const {
    return std::find(at_least.begin(), at_least.end(), false) == at_least.end();
  }
};

std::vector<DayBites> ByDay(std::vector<SeasonBite> bites) {
  std::stable_sort(
      bites.begin(), bites.end(),
      [](const SeasonBite& a, const SeasonBite& b) { return a.day < b.day; });
  std::vector<DayBites> days;
  for (const SeasonBite& b : bites) {
    if (days.empty() || days.back().day != b.day) days.push_back({});
    days.back().day = b.day;
    days.back().ln.push_back(std::log(b.force));
    days.back().at_least.push_back(b.at_least);
  }
  return days;
}

// phi(z) / (1 - Phi(z)), by its continued fraction's start far out.
double Hazard(double z) {
  if (z > 30.0) return z + 1.0 / z;
  const double density =
      std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
  return density / NormalCdf(-z);
}

void TakeMeans(std::vector<DayBites*>& days) {
  for (DayBites* d : days) {
    double sum = 0.0;
    for (const double v : d->ln) sum += v;
    d->mean = sum / static_cast<double>(d->ln.size());
  }
}

// One step of expectation and maximisation; how far the estimates moved.
double Step(std::vector<DayBites*>& days, double dof, double* sd) {
  double squares = 0.0;
  double moved = 0.0;
  for (DayBites* d : days) {
    double sum = 0.0;
    double sum_squares = 0.0;
    for (std::size_t i = 0; i < d->ln.size(); ++i) {
      double v = d->ln[i] - d->mean;
      double extra = 0.0;
      if (d->at_least[i]) {
        const double z = v / *sd;
        const double h = Hazard(z);
        v = *sd * h;
        extra = *sd * *sd * (1.0 + z * h - h * h);
      }
      sum += v;
      sum_squares += v * v + extra;
    }
    const double n = static_cast<double>(d->ln.size());
    const double change = sum / n;
    squares += sum_squares - n * change * change;
    moved = std::max(moved, std::abs(change));
    d->mean += change;
  }
  const double next = std::sqrt(std::max(0.0, squares / dof));
  moved = std::max(moved, std::abs(next - *sd));
  *sd = next;
  return moved;
}

struct Spread {
  double sd = 0.0;
  double dof = 0.0;
};

// Fills the days' means; the spread within days that are not wholly bounds.
Spread EstimateDays(std::vector<DayBites>& all) {
  std::vector<DayBites*> days;
  std::vector<DayBites*> bounds;
  Spread out;
  bool censored = false;
  for (DayBites& d : all) {
    (d.OnlyAtLeast() ? bounds : days).push_back(&d);
    if (d.OnlyAtLeast()) continue;
    out.dof += static_cast<double>(d.ln.size()) - 1.0;
    for (const bool c : d.at_least) censored = censored || c;
  }
  TakeMeans(days);
  TakeMeans(bounds);
  if (out.dof <= 0.0) return out;
  double squares = 0.0;
  for (const DayBites* d : days) {
    for (const double v : d->ln) squares += (v - d->mean) * (v - d->mean);
  }
  out.sd = std::sqrt(squares / out.dof);
  for (int round = 0; censored && out.sd > 0.0 && round < 1000; ++round) {
    if (Step(days, out.dof, &out.sd) < 1e-10) break;
  }
  return out;
}

struct Line {
  double n = 0.0;
  double x = 0.0;
  double y = 0.0;
  double xx = 0.0;
  double slope = 0.0;
  double sd = 0.0;
  double dof = 0.0;
  double At(double day) const { return y + slope * (day - x); }
};

Line LineThrough(const std::vector<DayBites>& days, std::size_t count,
                 bool with_slope) {
  Line l;
  l.n = static_cast<double>(count);
  for (std::size_t i = 0; i < count; ++i) {
    l.x += days[i].day / l.n;
    l.y += days[i].mean / l.n;
  }
  double xy = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    l.xx += (days[i].day - l.x) * (days[i].day - l.x);
    xy += (days[i].day - l.x) * (days[i].mean - l.y);
  }
  if (with_slope) l.slope = xy / l.xx;
  l.dof = l.n - (with_slope ? 2.0 : 1.0);
  double rest = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const double r = days[i].mean - l.At(days[i].day);
    rest += r * r;
  }
  if (l.dof > 0.0) l.sd = std::sqrt(rest / l.dof);
  return l;
}

void FillExpected(const std::vector<DayBites>& days, std::size_t i,
                  double within, SeasonDay& out) {
  if (i < kDaysBefore) return;
  const bool with_slope = i >= kDaysForSlope;
  const Line l = LineThrough(days, i, with_slope);
  const double away = days[i].day - l.x;
  double lever = 1.0 / l.n;
  if (with_slope) lever += away * away / l.xx;
  // Days that happen to agree closely must not make an ordinary day a fall:
  // the day's own spread is the least that is believed.
  const double bites = static_cast<double>(days[i].ln.size());
  const double own = within / std::sqrt(bites);
  const double sd = std::max(l.sd, own);
  const double t = StudentTQuantile(kFallLevel, l.dof);
  const double expected = l.At(days[i].day);
  const double low = expected - t * sd * std::sqrt(1.0 + lever);
  out.expected = std::exp(expected);
  out.expected_low = std::exp(low);
  out.fall = days[i].mean < low;
}

SeasonTrend TrendOf(const std::vector<DayBites>& days, double level,
                    double* sd) {
  const Line l = LineThrough(days, days.size(), true);
  const double se = l.sd / std::sqrt(l.xx);
  const double t = CoverageFactor(level, l.dof);
  SeasonTrend out;
  out.per_month = std::expm1(kMonth * l.slope);
  out.lo = std::expm1(kMonth * (l.slope - t * se));
  out.hi = std::expm1(kMonth * (l.slope + t * se));
  out.p = se > 0.0 ? 2.0 * StudentTUpperTail(std::abs(l.slope) / se, l.dof)
                   : (l.slope == 0.0 ? 1.0 : 0.0);
  out.start_force = std::exp(l.At(days.front().day));
  out.end_force = std::exp(l.At(days.back().day));
  *sd = l.sd;
  return out;
}

}  // namespace

Expected<Season> AnalyseSeason(const std::vector<SeasonBite>& bites,
                               double level) {
  std::vector<DayBites> days = ByDay(bites);
  if (days.size() < 2) {
    return BadInput("", "needs bites of at least two days");
  }
  Season out;
  const Spread within = EstimateDays(days);
  out.within_day_sd = within.sd;
  const double t = within.dof > 0.0 ? CoverageFactor(level, within.dof) : 0.0;
  std::vector<DayBites> known;  // days that are more than bounds, so far
  for (const DayBites& d : days) {
    SeasonDay day;
    day.day = d.day;
    day.bites = d.ln.size();
    for (const bool c : d.at_least) day.at_least += c ? 1U : 0U;
    day.force = std::exp(d.mean);
    day.only_at_least = d.OnlyAtLeast();
    if (!day.only_at_least) {
      if (within.sd > 0.0) {
        const double half =
            t * within.sd / std::sqrt(static_cast<double>(day.bites));
        day.lo = std::exp(d.mean - half);
        day.hi = std::exp(d.mean + half);
      }
      known.push_back(d);
      FillExpected(known, known.size() - 1, within.sd, day);
    }
    out.days.push_back(day);
  }
  if (known.size() >= 3) {
    out.trend = TrendOf(known, level, &out.between_day_sd);
  }
  out.latest_is_a_fall = out.days.back().fall;
  return out;
}

}  // namespace masseter
