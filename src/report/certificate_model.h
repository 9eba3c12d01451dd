// What a calibration's certificate shows, as plain data: no file, no database,
// no computation of figures. src/app fills it, src/report turns it into one
// printed page. Fractions are relative to the force (0.001 is 0.1 %); texts
// are UTF-8 and need no escaping.
#ifndef MASSETER_REPORT_CERTIFICATE_MODEL_H_
#define MASSETER_REPORT_CERTIFICATE_MODEL_H_

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace masseter {

// One size of load, over all places and series.
struct CertificateLoad {
  double force_n = 0.0;
  int readings = 0;
  double mean_error = 0.0;
  double worst_error = 0.0;  // signed
  // ISO 376's quantities at the place nearest to the middle.
  std::optional<double> b;
  std::optional<double> b_prime;
  std::optional<double> fc;
  std::optional<double> v;
  std::string class_word;  // "" for none
};

struct CertificatePlace {
  double x_mm = 0.0;
  double y_mm = 0.0;
  int readings = 0;
  std::optional<double> error;  // left out of the fit, mean, signed
  std::optional<double> rms;
  std::optional<double> single_factor_error;
};

// One reading in the pictures: what stood on the sleeve and what was shown,
// the signal of a rig of one channel, the answer in newtons of several.
struct CertificateReading {
  double force_n = 0.0;
  double shown = 0.0;
  double error = 0.0;  // relative, of the answer
  bool rising = true;
};

// One part of the uncertainty.
struct CertificatePart {
  std::string term;
  double standard_u = 0.0;
  std::optional<double> dof;  // nullopt: infinite
  bool type_a = false;
};

struct CertificateModel {
  std::string title;    // the sleeve's name
  std::string number;   // "Calibration 2"
  std::string created;  // when the page was made
  // Name and value, in order; the page prints them as they are.
  std::vector<std::pair<std::string, std::string>> identification;
  std::vector<std::pair<std::string, std::string>> conditions;
  std::vector<std::pair<std::string, std::string>> validity;
  // Certificate of the reference as the maker named it; empty: none.
  std::string reference_certificate;

  std::string estimator;
  std::string shown_axis;  // "Signal of c1 (count)" or "Sleeve (N)"
  // The fitted curve, empty for several channels: (newtons, signal).
  std::vector<std::pair<double, double>> curve;
  std::vector<std::pair<std::string, std::optional<double>>> terms;
  std::vector<CertificateLoad> loads;
  std::vector<CertificatePlace> places;
  std::vector<CertificateReading> readings;
  std::string class_words;  // "no class: ..."

  double force_low_n = 0.0;
  double force_high_n = 0.0;
  std::vector<CertificatePart> parts;
  double standard_u = 0.0;
  std::optional<double> dof;  // nullopt: infinite
  double k = 2.0;
  double expanded_u95 = 0.0;
  double small_load_u_n = 0.0;  // standard, beside the relative one
  bool place_seen = true;       // false: an unknown grip is in the figure

  std::vector<std::string> warnings;
  std::string calibrated_by;
};

}  // namespace masseter

#endif  // MASSETER_REPORT_CERTIFICATE_MODEL_H_
