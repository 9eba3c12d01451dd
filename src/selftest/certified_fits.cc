#include "selftest/certified_fits.h"

#include <cassert>

namespace masseter::selftest {
namespace {

CertifiedFit Wampler(std::string_view name, std::string_view y, Column coeffs,
                     Column errors, double sd) {
  CertifiedFit fit;
  fit.name = name;
  fit.file = "nist_wampler.csv";
  fit.x = {"x"};
  fit.y = y;
  fit.coeffs = std::move(coeffs);
  fit.standard_errors = std::move(errors);
  fit.residual_sd = sd;
  return fit;
}

CertifiedFit Asked(CertifiedFit fit, double polynomial,
                   double polynomial_errors, double general,
                   double general_errors) {
  fit.polynomial_digits = polynomial;
  fit.polynomial_error_digits = polynomial_errors;
  fit.general_digits = general;
  fit.general_error_digits = general_errors;
  return fit;
}

CertifiedFit Norris() {
  return {"Norris",
          "nist_norris.csv",
          {"x"},
          "y",
          {-0.262323073774029, 1.00211681802045},
          {0.232818234301152, 0.429796848199937E-03},
          0.884796396144373,
          12,
          12,
          12,
          12};
}

CertifiedFit Pontius() {
  return {
      "Pontius",
      "nist_pontius.csv",
      {"x_load"},
      "y_deflection",
      {0.673565789473684E-03, 0.732059160401003E-06, -0.316081871345029E-14},
      {0.107938612033077E-03, 0.157817399981659E-09, 0.486652849992036E-16},
      0.205177424076185E-03,
      12,
      11,
      11,
      10};
}

// Six nearly dependent columns. (X'X)^-1 is not refined: its digits are 16
// less the condition, about 4.5.
CertifiedFit Longley() {
  return {"Longley",
          "nist_longley.csv",
          {"x1", "x2", "x3", "x4", "x5", "x6"},
          "y",
          {-3482258.63459582, 15.0618722713733, -0.358191792925910E-01,
           -2.02022980381683, -1.03322686717359, -0.511041056535807E-01,
           1829.15146461355},
          {890420.383607373, 84.9149257747669, 0.334910077722432E-01,
           0.488399681651699, 0.214274163161675, 0.226073200069370,
           455.478499142212},
          304.854073561965,
          0,
          0,
          12,
          10};
}

// Tenth degree. For the general solver the powers themselves are rounded to
// double, which the set's condition (about 1e9 with scaled columns) magnifies.
CertifiedFit Filip() {
  return {
      "Filip",
      "nist_filip.csv",
      {"x"},
      "y",
      {-1467.48961422980, -2772.17959193342, -2316.37108160893,
       -1127.97394098372, -354.478233703349, -75.1242017393757,
       -10.8753180355343, -1.06221498588947, -0.670191154593408E-01,
       -0.246781078275479E-02, -0.402962525080404E-04},
      {298.084530995537, 559.779865474950, 466.477572127796, 227.204274477751,
       71.6478660875927, 15.2897178747400, 2.23691159816033, 0.221624321934227,
       0.142363763154724E-01, 0.535617408889821E-03, 0.896632837373868E-05},
      0.334801051324544E-02,
      12,
      11,
      6,
      7};
}

std::vector<CertifiedFit> MakeFits() {
  const Column ones(6, 1.0);
  const Column none(6, 0.0);
  return {Norris(),
          Pontius(),
          Longley(),
          Filip(),
          Asked(Wampler("Wampler1", "y1", ones, none, 0.0), 14, 9, 9, 7),
          Asked(Wampler("Wampler2", "y2",
                        {1, 0.1, 0.01, 0.001, 0.0001, 0.00001}, none, 0.0),
                12, 12, 9, 9),
          Asked(Wampler("Wampler3", "y3", ones,
                        {2152.32624678170, 2363.55173469681, 779.343524331583,
                         101.475507550350, 5.64566512170752, 0.112324854679312},
                        2360.14502379268),
                14, 14, 9, 10),
          Asked(Wampler("Wampler4", "y4", ones,
                        {215232.624678170, 236355.173469681, 77934.3524331583,
                         10147.5507550350, 564.566512170752, 11.2324854679312},
                        236014.502379268),
                14, 14, 9, 10),
          Asked(Wampler("Wampler5", "y5", ones,
                        {21523262.4678170, 23635517.3469681, 7793435.24331583,
                         1014755.07550350, 56456.6512170752, 1123.24854679312},
                        23601450.2379268),
                14, 14, 7, 10)};
}

}  // namespace

std::span<const CertifiedFit> CertifiedFits() {
  static const std::vector<CertifiedFit> kFits = MakeFits();
  return kFits;
}

const CertifiedFit& CertifiedFitOf(std::string_view name) {
  for (const CertifiedFit& fit : CertifiedFits()) {
    if (fit.name == name) return fit;
  }
  assert(false && "no certified fit of that name");
  return CertifiedFits().front();
}

}  // namespace masseter::selftest
