#include <utility>

#include "core/metrology/gravity.h"
#include "core/metrology/iso376.h"
#include "core/metrology/reference_force.h"
#include "core/metrology/weight_class.h"
#include "core/quantity/units.h"
#include "selftest/certified_data.h"
#include "selftest/groups.h"

namespace masseter::selftest {
namespace {

CheckedGroup Classes() {
  CheckedGroup group{
      "Classes of instruments and weights",
      "ISO 376:2011, limits of the classes 00, 0.5, 1 and 2 (from memory: the "
      "standard's text is not openly kept). OIML R 111-1:2004 Table 1, weights "
      "of 1 g to 50 kg, classes F1 to M3 (10 kg and above from memory).",
      {}};
  const Table limits = CertifiedTable("iso376_class_limits.csv");
  CheckedLine iso{"ISO 376 limits", {}, {}, 14};
  for (std::size_t i = 0; i < IsoClasses().size(); ++i) {
    const IsoClass& c = IsoClasses()[i];
    const std::pair<const char*, double> columns[] = {
        {"b_reproducibility_pct", 100.0 * c.b},
        {"b_prime_repeatability_pct", 100.0 * c.b_prime},
        {"fc_interpolation_pct_abs", 100.0 * c.fc},
        {"f0_zero_pct_abs", 100.0 * c.f0},
        {"v_reversibility_pct", 100.0 * c.v},
        {"c_creep_pct", 100.0 * c.c},
        {"calibration_force_uncertainty_k2_pct_abs", 100.0 * c.reference_u95},
        {"min_force_over_resolution", c.resolution_steps}};
    for (const auto& [name, value] : columns) {
      iso.values.push_back(value);
      iso.expected.push_back(limits.at(name).at(i));
    }
  }
  group.lines.push_back(std::move(iso));
  const Table weights = CertifiedTable("oiml_r111_mpe_mg.csv");
  CheckedLine oiml{"OIML R 111 tolerances", {}, {}, 15};
  for (std::size_t i = 0; i < weights.at("nominal_g").size(); ++i) {
    const int nominal = static_cast<int>(weights.at("nominal_g")[i]);
    for (const WeightClass c :
         {WeightClass::kF1, WeightClass::kF2, WeightClass::kM1,
          WeightClass::kM2, WeightClass::kM3}) {
      oiml.values.push_back(MaxPermissibleErrorMg(c, nominal).value_or(0.0));
      oiml.expected.push_back(
          weights.at(std::string(WeightClassWord(c)) + "_mg")[i]);
    }
  }
  group.lines.push_back(std::move(oiml));
  return group;
}

CheckedGroup Gravity() {
  CheckedGroup group{
      "Gravity",
      "Geodetic Reference System 1980 (Moritz, J. Geodesy 74 (2000) 128): "
      "published normal gravity, and its closed form computed in Python.",
      {}};
  // 9.780 326 771 5, 9.806 199 203 and 9.832 186 368 5 m/s2 are published; the
  // middle one ends at 1e-9.
  group.lines.push_back({"equator, 45°, pole, as published",
                         {NormalGravity(0, 0)->si(), NormalGravity(45, 0)->si(),
                          NormalGravity(90, 0)->si()},
                         {9.7803267715, 9.806199203, 9.8321863685},
                         10});
  const double points[][2] = {
      {15, 9.783786397620055},     {30, 9.79324870357239},
      {45, 9.8061992024865},       {50, 9.810703568280108},
      {52.295, 9.812734533917215}, {60, 9.819178384982914},
      {75, 9.828698058439707},     {90, 9.832186368481922}};
  CheckedLine line{"eight latitudes", {}, {}, 14};
  for (const auto& [latitude, g] : points) {
    line.values.push_back(NormalGravity(latitude, 0)->si());
    line.expected.push_back(g);
  }
  group.lines.push_back(std::move(line));
  return group;
}

CheckedGroup AirAndWeights() {
  CheckedGroup group{
      "Air and dead weights",
      "CIPM-2007 (Picard et al., Metrologia 45 (2008) 149) and OIML R "
      "111-1:2004 E.3-1, computed in Python; dead weights as EURAMET cg-4 and "
      "OIML D 28.",
      {}};
  const double points[][5] = {
      {20, 101325, 0.5, 1.1993138954744933, 1.1992943050311118},
      {15, 101325, 0.2, 1.2239640893907757, 1.2238346016125532},
      {25, 99000, 0.6, 1.1487382623975178, 1.1487969896782644},
      {23, 95000, 0.4, 1.112878362482081, 1.1129216336990493},
      {27, 102000, 0.8, 1.1717471184417376, 1.1717867890957874}};
  CheckedLine full{"density of air, CIPM-2007", {}, {}, 12};
  CheckedLine simple{"density of air, simplified", {}, {}, 12};
  for (const auto& [t, p, h, cipm, simplified] : points) {
    const masseter::Air air{t, Pressure(p), h, 0.0004};
    full.values.push_back(AirDensity(air)->si());
    full.expected.push_back(cipm);
    simple.values.push_back(AirDensitySimplified(air)->si());
    simple.expected.push_back(simplified);
  }
  group.lines.push_back(std::move(full));
  group.lines.push_back(std::move(simple));
  group.lines.push_back({"20 kg in air, by mass and by conventional mass",
                         {DeadWeightForce(Mass(20), kStandardGravity)->si(),
                          ConventionalMassForce(Mass(20), Acceleration(9.812),
                                                Density(1.15), Density(7850))
                              ->si()},
                         {196.10358004999998, 196.21181393988888},
                         14});
  return group;
}

// NIST SP 811 (2008), appendix B: exact values from the definitions.
CheckedGroup UnitFactors() {
  const std::pair<double, double> factors[] = {
      {unit::kPoundForce.si(), 4.4482216152605},
      {unit::kKilogramForce.si(), 9.80665},
      {unit::kOunceForce.si(), 0.2780138509537812},
      {unit::kKip.si(), 4448.2216152605},
      {unit::kDyne.si(), 1e-5},
      {unit::kPoundal.si(), 0.13825495437600002},
      {unit::kShortTonForce.si(), 8896.443230521},
      {unit::kPoundPerSquareInch.si(), 6894.757293168361},
      {unit::kPoundPerSquareFoot.si(), 47.88025898033584},
      {unit::kBar.si(), 100000.0},
      {unit::kAtmosphere.si(), 101325.0},
      {unit::kMillimetreOfMercury.si(), 133.322387415},
      {unit::kTorr.si(), 133.32236842105263},
      {unit::kKilogramForcePerSquareCentimetre.si(), 98066.5},
      {unit::kMegapascal.si(), 1e6},
      {unit::kPound.si(), 0.45359237},
      {unit::kInch.si(), 0.0254}};
  CheckedLine line{"units of force, pressure, mass and length", {}, {}, 14};
  for (const auto& [got, exact] : factors) {
    line.values.push_back(got);
    line.expected.push_back(exact);
  }
  return {"Units",
          "NIST SP 811 (2008), appendix B: exact from the definitions.",
          {std::move(line)}};
}

}  // namespace

void AddForce(Groups& out) {
  out.push_back(Classes());
  out.push_back(Gravity());
  out.push_back(AirAndWeights());
  out.push_back(UnitFactors());
}

}  // namespace masseter::selftest
