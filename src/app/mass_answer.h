// `bodymass`: force against body mass, each dog one point, and every dog beside
// what is usual for its size. Published ranges stand behind, never inside.
#ifndef MASSETER_APP_MASS_ANSWER_H_
#define MASSETER_APP_MASS_ANSWER_H_

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "app/study_rows.h"
#include "core/base/error.h"
#include "core/study/allometry.h"
#include "report/study_pictures.h"

namespace masseter {

struct MassQuestion {
  std::string book;
  std::string table;
  std::string of;
  std::string mass = "mass_kg";  // the mass column
  double reference_kg = 30.0;
};

struct MassDog {
  std::string name;
  std::string breed;
  MassPoint point;
  std::size_t bites = 0;
  SizeAdjusted adjusted;
};

struct MassAnswer {
  MassQuestion question;
  StudyFigures figures;
  std::size_t at_least = 0;
  std::vector<MassDog> dogs;  // hardest for its size first
  AllometricFit fit;
  SlopeTest two_thirds;
  std::vector<std::string> notes;
};

Expected<MassAnswer> AnswerMass(const MassQuestion& question);
nlohmann::ordered_json MassJson(const MassAnswer& answer);
report::MassForcePicture MassPictureOf(const MassAnswer& answer);
std::string MassSvg(const MassAnswer& answer);

}  // namespace masseter

#endif  // MASSETER_APP_MASS_ANSWER_H_
