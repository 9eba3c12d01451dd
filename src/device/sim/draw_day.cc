// How bites and days are drawn. The sizes are listed, with their grounds, in
// docs/simulated-sleeve.md under "Bites".
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include "device/sim/day.h"
#include "device/sim/portable_math.h"
#include "device/sim/random.h"

namespace masseter::sim {
namespace {

void DrawWaves(Random& random, BiteShape& shape) {
  for (Wave& w : shape.waves) {
    w.amplitude = random.Uniform(0.01, 0.05);
    w.hz = random.Uniform(0.3, 1.6);
    w.phase = random.Uniform(0.0, 2.0 * kPi);
  }
}

// Shakes and re-grips happen while the jaws hold: after the rise, before the
// release.
void DrawEpisodes(const SimDog& dog, Random& random, BiteShape& shape) {
  const double from = 0.3 + shape.rise_s;
  const double to = shape.length_s - shape.release_s - 0.1;
  if (random.Chance(dog.shake_chance) && to - from > 0.9) {
    Shake shake;
    shake.length_s = random.Uniform(0.8, std::min(1.6, to - from));
    shake.at_s = random.Uniform(from, to - shake.length_s);
    shake.hz = random.Uniform(3.0, 6.0);
    shake.amplitude = random.Uniform(0.10, 0.25);
    shape.shakes.push_back(shake);
  }
  if (random.Chance(dog.regrip_chance) && to - from > 0.6) {
    Regrip regrip;
    regrip.width_s = random.Uniform(0.12, 0.30);
    regrip.depth = random.Uniform(0.70, 0.95);
    regrip.at_s = random.Uniform(from + 0.2, to - 0.2);
    shape.regrips.push_back(regrip);
  }
}

void AddHandling(Random& random, double from, double to, SimDay& day) {
  if (to - from < 2.5 || !random.Chance(0.5)) return;
  Handling h;
  h.kind = random.Chance(0.6) ? HandlingKind::kPat : HandlingKind::kBrush;
  const bool pat = h.kind == HandlingKind::kPat;
  h.length_s = pat ? random.Uniform(0.06, 0.15) : random.Uniform(0.4, 0.9);
  h.force_n = pat ? random.Uniform(2.0, 8.0) : random.Uniform(1.0, 4.0);
  h.start_s = random.Uniform(from + 0.8, to - 0.8 - h.length_s);
  h.x_mm = random.Uniform(-60.0, 60.0);
  h.y_mm = random.Uniform(-15.0, 15.0);
  day.handling.push_back(h);
}

}  // namespace

BiteShape DrawBite(const SimDog& dog, double limit_n, Random& random) {
  BiteShape shape;
  const double z = std::clamp(random.Normal(), -2.5, 2.5);
  shape.squeeze_n =
      std::min(dog.squeeze_median_n * Exp(dog.within_sigma * z), limit_n);
  shape.strike_n = std::min(
      random.LogNormal(dog.strike_n_per_kg * dog.mass_kg, 0.3), limit_n);
  shape.strike_s = random.Uniform(0.08, 0.14);
  shape.rise_s = random.Uniform(0.2, 0.6);
  shape.length_s =
      std::clamp(random.LogNormal(dog.hold_s, 0.3), 1.0, 4.0) + 0.2;
  shape.release_s = random.Uniform(0.05, 0.30);
  shape.fade_per_s = random.Uniform(0.0, 0.05);
  DrawWaves(random, shape);
  DrawEpisodes(dog, random, shape);
  shape.grip.x_mm = std::clamp(dog.x_mm + 18.0 * random.Normal(), -70.0, 70.0);
  shape.grip.y_mm = std::clamp(dog.y_mm + 6.0 * random.Normal(), -16.0, 16.0);
  shape.grip.spread_x_mm = random.Uniform(8.0, 16.0);
  shape.grip.spread_y_mm = random.Uniform(10.0, 18.0);
  shape.walk_x_mm = 4.0 * random.Normal();
  shape.walk_y_mm = 1.5 * random.Normal();
  return shape;
}

std::vector<SimDog> DrawDogs(int n, std::uint64_t seed) {
  Random random(seed, 9);
  std::vector<SimDog> dogs(static_cast<std::size_t>(n));
  for (std::size_t i = 0; i < dogs.size(); ++i) {
    SimDog& dog = dogs[i];
    dog.name = "D" + std::to_string(i + 1);
    dog.breed = "Malinois";
    dog.mass_kg = random.Uniform(22.0, 32.0);
    const double z = std::clamp(random.Normal(), -2.0, 2.0);
    dog.squeeze_median_n = 247.0 * Exp(0.72 * z);
    dog.x_mm = 15.0 * random.Normal();
    dog.y_mm = 3.0 * random.Normal();
  }
  return dogs;
}

SimDay MakeDay(const DayPlan& plan, std::uint64_t seed) {
  Random random(seed, 2);
  SimDay day;
  day.club = plan.club;
  day.town = plan.town;
  day.dogs = plan.dogs;
  double now = plan.first_bite_s;
  if (plan.handling && now >= 3.0) {
    // The helper's arm goes in while the recorder already runs.
    day.handling.push_back({HandlingKind::kPutOn, 0.3, 0.8, 6.0, 30.0, 0.0});
  }
  double last_end = 0.0;
  const int dogs = static_cast<int>(plan.dogs.size());
  for (int round = 0; round < plan.rounds; ++round) {
    for (int k = 0; k < dogs; ++k) {
      SimBite bite;
      bite.dog = round % 2 == 0 ? k : dogs - 1 - k;
      const SimDog& dog = plan.dogs[static_cast<std::size_t>(bite.dog)];
      bite.start_s = now;
      bite.shape = DrawBite(dog, 0.5 * plan.safe_load_n, random);
      const double end = now + bite.shape.length_s;
      if (plan.handling && last_end > 0.0) {
        AddHandling(random, last_end, now, day);
      }
      day.marks.push_back({std::max(0.1, now - 1.8), dog.name});
      if (plan.out_marks) {
        bite.out_s = end - bite.shape.release_s - random.Uniform(0.25, 0.8);
        day.marks.push_back({*bite.out_s, "!out"});
      }
      day.bites.push_back(bite);
      last_end = end;
      now = end + random.Uniform(plan.pause_min_s, plan.pause_max_s);
    }
  }
  day.length_s = last_end + 3.0;
  return day;
}

}  // namespace masseter::sim
