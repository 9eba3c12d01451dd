#include "report/example_certificate.h"

#include <cmath>

namespace masseter::report {
namespace {

const std::string kLong =
    "a line of words that goes on longer than the page has room for, so that "
    "it is cut where the page says so";

void FillReadings(CertificateModel& m) {
  for (int place = 0; place < 24; ++place) {
    const double x = -60.0 + 24.0 * (place % 6);
    const int row = place / 6;
    const double y = -20.0 + 13.0 * row;
    const double error = 0.004 * std::sin(1.7 * place);
    m.places.push_back({x, y, 78, error, std::abs(error) + 0.001,
                        -0.02 * std::cos(0.3 * place)});
  }
  for (int level = 1; level <= 14; ++level) {
    const double force = 98.1 * level;
    m.loads.push_back({force, 144, -0.00098, 0.0123, 0.0013, 0.00062, -0.00034,
                       0.0024, level > 7 ? "2" : ""});
    for (int k = 0; k < 12; ++k) {
      const double error = 0.005 * std::sin(level + 2.1 * k);
      m.readings.push_back({force, force * (1.0 + error), error, k % 2 == 0});
    }
  }
}

}  // namespace

CertificateModel FullCertificate() {
  CertificateModel m;
  m.title = "Forearm sleeve for the left arm, six cells, second shell, 2026";
  m.number = "Calibration 1234";
  m.created = "2026-05-16 14:07";
  // What a maker types is long, what the program says as long as it gets.
  m.identification = {
      {"Rig", kLong},
      {"Cells", kLong},
      {"Signals to force", kLong},
      {"Readings taken", "2026-05-16"},
      {"Evaluated", "2026-05-16, masseter 10.10.10, method 10"}};
  m.conditions = {
      {"Loads", "dead weights (no class was stated, taken as OIML R 111 M3)"},
      {"Readings", "3432 in 3 series, 24 places, rising and falling"},
      {"Gravity", "9.81247 m/s² (normal gravity (GRS80) of the latitude)"},
      {"Air, weights", "1.2 kg/m³, 8000 kg/m³ (steel or cast iron)"},
      {"Lever", "5.00123 times"},
      {"Temperature", "−17.4 to −18.7 °C at the cells"},
      {"Zero", "before and after loads, interpolated"}};
  m.validity = {{"Age", "no limit set (masseter check --valid-for 180d)"},
                {"Check loads", kLong},
                {"Forces", kLong},
                {"Gape", "90 mm; dogs close weaker the wider they open"},
                {"Cover", kLong},
                {"Ends with", kLong}};
  m.reference_certificate = kLong;
  m.shown_axis = "Sleeve (N)";
  for (const char* name :
       {"Repeatability", "Reproducibility", "Interpolation", "Reversibility",
        "Zero return", "Creep", "Between places", "Left-out place",
        "Resolution", "Temperature", "Reference"}) {
    m.terms.push_back({name, 0.0012});
  }
  FillReadings(m);
  m.class_words = "no class: " + kLong + "; " + kLong + "; " + kLong + ".";
  m.force_low_n = 98.1;
  m.force_high_n = 1373.4;
  m.parts = {{"place", 0.0031, 23.0, true},
             {"reference", 0.00029, {}, false},
             {"resolution", 0.0000007, {}, false},
             {"temperature", 0.0012, {}, false}};
  m.standard_u = 0.00334;
  m.dof = 30.9;
  m.k = 2.042;
  m.expanded_u95 = 0.0068;
  m.small_load_u_n = 0.31;
  m.place_seen = false;
  m.warnings.assign(9, kLong + "; " + kLong.substr(0, 60));
  m.calibrated_by = kLong;
  return m;
}

}  // namespace masseter::report
