// `agree`: how far repeated measurements of the same dogs agree, whoever or
// whatever made them.
#ifndef MASSETER_APP_AGREE_ANSWER_H_
#define MASSETER_APP_AGREE_ANSWER_H_

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/study_rows.h"
#include "core/base/error.h"
#include "core/study/bland_altman.h"
#include "core/study/gauge.h"
#include "core/study/reliability.h"

namespace masseter {

struct AgreeQuestion {
  std::vector<std::string> books;  // several: by book, two sleeves
  std::string table;
  std::string of;               // the figure's column, empty: the usual
  std::string subject = "dog";  // what is measured
  std::vector<std::string> by;  // what else changed: one or two columns
  bool log = false;             // of logarithms: differences are ratios
  double pool_above = 0.25;
};

struct AgreeAnswer {
  AgreeQuestion question;
  StudyFigures figures;
  std::size_t at_least = 0;    // lower bounds, left out
  std::size_t incomplete = 0;  // subjects that lack a level, left out
  std::vector<std::string> subjects;
  std::vector<std::vector<std::string>> levels;  // of each `by`
  // Repeats of each subject alone, any number: one-way.
  OneWayAnova one_way;
  Icc icc_one;
  std::optional<std::size_t> bites_for_0_9;
  // With one `by`: subjects that have every level; means where it repeats.
  std::optional<Reliability> reliability;
  std::size_t complete = 0;
  bool of_means = false;
  // With one `by` of two levels.
  std::optional<BlandAltman> bland_altman;
  // A full crossing with repeats.
  std::optional<GaugeStudy> gauge;
  std::vector<std::string> notes;  // what was not computed and why
};

Expected<AgreeAnswer> AnswerAgree(const AgreeQuestion& question);
nlohmann::ordered_json AgreeJson(const AgreeAnswer& answer);
// The differences over the means; an error when two levels were not compared.
Expected<std::string> AgreeSvg(const AgreeAnswer& answer);

}  // namespace masseter

#endif  // MASSETER_APP_AGREE_ANSWER_H_
