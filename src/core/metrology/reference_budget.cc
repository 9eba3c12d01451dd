#include "core/metrology/reference_budget.h"

#include <algorithm>
#include <cmath>

#include "core/metrology/gravity.h"
#include "core/metrology/reference_force.h"
#include "core/metrology/type_b.h"

namespace masseter {
namespace {

// A value read off a survey or a national map: half-width in m/s2 (common
// practice). Normal gravity misses the anomaly of the place, which seldom
// exceeds 1e-3 m/s2 (from memory). Without any word: 9.780 to 9.832 m/s2, the
// equator and the poles (GRS80).
constexpr double kStatedGravity = 2e-4;
constexpr double kNormalGravity = 1e-3;
constexpr double kUnstatedGravity = 0.026;
// Air near the ground, between a cold high and a warm low, is 1.1 to 1.3
// kg/m3 (CIPM-2007 at 0 to 30 degC, 980 to 1040 hPa).
constexpr double kAirDensity = 0.1;
// Steel and cast iron lie between 7000 and 8000 kg/m3 (common practice); a
// stated density is taken to 2 %.
constexpr double kUnstatedDensity = 1000.0;
constexpr double kStatedDensity = 0.02;
// A reference transducer of which nothing is stated: 0.24 % (k = 2), about
// what an ISO 376 class 1 instrument has (from memory).
constexpr double kUnstatedTransducer = 2.4e-3;

double WeightDensity(const CalibrateOptions& options) {
  return options.weight_density_kg_m3.value_or(kConventionalWeightDensity.si());
}

ReferenceTerm Rectangular(std::string term, double value, std::string unit,
                          double half_width, double sensitivity,
                          std::string from) {
  return {std::move(term),
          value,
          std::move(unit),
          "rectangular",
          std::nullopt,
          sensitivity,
          std::abs(sensitivity) * RectangularSd(half_width),
          std::move(from)};
}

// The class's worst relative tolerance over the loads of the bench.
double WorstTolerance(const ReadingsTable& readings, WeightClass weight_class) {
  double worst = 0.0;
  for (const Reading& row : readings.rows) {
    if (row.Load() <= 0.0) continue;
    worst = std::max(worst, RelativeTolerance(weight_class, row.Load()));
  }
  return worst;
}

ReferenceTerm WeightsLine(const ReadingsTable& readings,
                          const CalibrateOptions& options) {
  if (options.weight_half_width) {
    return Rectangular("weights", 1.0, "1", *options.weight_half_width, 1.0,
                       "the stated limit of the weights");
  }
  const WeightClass assumed = options.weight_class.value_or(WeightClass::kM3);
  const std::string word(WeightClassWord(assumed));
  return Rectangular(
      "weights", 1.0, "1", WorstTolerance(readings, assumed), 1.0,
      options.weight_class
          ? "OIML R 111 class " + word
          : "no class was stated, taken as OIML R 111 class " + word);
}

ReferenceTerm GravityLine(const CalibrateOptions& options) {
  const double g = options.gravity_m_s2.value_or(kStandardGravity.si());
  double half_width = kUnstatedGravity;
  std::string from = "not stated, standard gravity";
  if (options.gravity_m_s2) {
    half_width =
        options.gravity_from_latitude ? kNormalGravity : kStatedGravity;
    from = options.gravity_from_latitude
               ? "normal gravity (GRS80) of the latitude and height"
               : "stated";
  }
  return Rectangular("gravity", g, "m/s2", half_width, 1.0 / g,
                     std::move(from));
}

void AddMassLines(const ReadingsTable& readings,
                  const CalibrateOptions& options,
                  std::vector<ReferenceTerm>& out) {
  out.push_back(WeightsLine(readings, options));
  out.push_back(GravityLine(options));
  const double density = WeightDensity(options);
  const double air = options.air_density_kg_m3;
  const double buoyancy = 1.0 - air / density;
  out.push_back(Rectangular("air density", air, "kg/m3", kAirDensity,
                            -1.0 / (density * buoyancy),
                            "the air near the ground"));
  // A conventional mass already holds the buoyancy in air of 1.2 kg/m3.
  const double known =
      options.weight_class ? kConventionalAirDensity.si() : 0.0;
  out.push_back(Rectangular(
      "weight density", density, "kg/m3",
      options.weight_density_kg_m3 ? kStatedDensity * density
                                   : kUnstatedDensity,
      (air - known) / (density * density * buoyancy),
      options.weight_density_kg_m3 ? "stated" : "steel or cast iron"));
}

}  // namespace

Expected<double> ReferenceForceOf(const Reading& reading,
                                  const CalibrateOptions& options) {
  if (reading.force_n) return options.lever * *reading.force_n;
  const Mass mass(*reading.mass_kg);
  const Acceleration g(options.gravity_m_s2.value_or(kStandardGravity.si()));
  const Density air(options.air_density_kg_m3);
  const Density weight(WeightDensity(options));
  const auto force = options.weight_class
                         ? ConventionalMassForce(mass, g, air, weight)
                         : DeadWeightForce(mass, g, air, weight);
  if (!force) return tl::unexpected(force.error());
  return options.lever * force->si();
}

std::vector<ReferenceTerm> ReferenceBudget(const ReadingsTable& readings,
                                           const CalibrateOptions& options) {
  std::vector<ReferenceTerm> out;
  if (readings.by_mass) {
    AddMassLines(readings, options, out);
  } else {
    const double u95 = options.transducer_u95.value_or(kUnstatedTransducer);
    out.push_back({"transducer", 1.0, "1", "normal", std::nullopt, 1.0,
                   0.5 * u95,
                   options.transducer_u95
                       ? "stated, k = 2"
                       : "not stated, taken as an ISO 376 class 1 instrument"});
  }
  if (options.lever != 1.0 || options.lever_half_width > 0.0) {
    out.push_back(Rectangular("lever", options.lever, "1",
                              options.lever_half_width, 1.0 / options.lever,
                              "stated"));
  }
  return out;
}

double ReferenceRelativeU(const std::vector<ReferenceTerm>& budget) {
  double square = 0.0;
  for (const ReferenceTerm& line : budget) {
    square += line.contribution * line.contribution;
  }
  return std::sqrt(square);
}

}  // namespace masseter
