// `compare`: who bites harder, how sure that is, and how reliable one bite is.
// The model is docs/comparing.md; here rows become its data, and its figures
// become newtons again.
#ifndef MASSETER_APP_COMPARE_ANSWER_H_
#define MASSETER_APP_COMPARE_ANSWER_H_

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/compare_design.h"
#include "core/study/dog_comparison.h"
#include "core/study/mixed_interval.h"
#include "report/compare_pictures.h"

namespace masseter {

// How the estimates came about.
enum class CompareMethod {
  kRestricted,  // REML
  kFull,        // ML, asked for
  kCensored,    // ML with lower bounds integrated
  kDraws,       // lower bounds and several random factors: medians of draws
  kNone,        // nothing but lower bounds
};

struct CompareFigure {  // in the model's unit (ln N or N)
  double value = 0.0;
  std::optional<StudyInterval> interval;
};

struct CompareDog {
  std::string name;
  std::string breed;  // empty when there is none
  std::size_t bites = 0;
  std::size_t at_least = 0;
  std::vector<report::ComparedBite> seen;  // void ones too
  CompareFigure mean;                      // shrunken
  std::optional<double> own;  // mean of its own values, none with lower bounds
  std::optional<double> highest_bound;  // where it has nothing else
  std::optional<DogRank> rank;          // ranks by index of `dogs`
  std::optional<double> birge;
  std::optional<DogInfluence> influence;
};

struct CompareTerm {
  std::string name;
  double estimate = 0.0;
  double se = 0.0;
  double dof = 0.0;  // infinite for ML
  double p = 1.0;
  StudyInterval interval;
};

struct CompareBreed {
  std::string name;
  std::size_t dogs = 0;
  std::size_t bites = 0;
  CompareFigure mean;
};

struct CompareBreedPair {
  std::size_t a = 0;
  std::size_t b = 0;
  CompareFigure difference;
  bool told_apart = false;
};

struct CompareComponent {
  std::string name;
  double variance = 0.0;
  std::optional<StudyInterval> sd;
};

struct CompareAnswer {
  CompareQuestion question;
  CompareDesign design;
  CompareMethod method = CompareMethod::kRestricted;
  MixedFit fit;
  std::optional<MixedFit> other;        // ML beside REML, REML beside ML
  std::vector<CompareDog> dogs;         // strongest first
  std::vector<CompareComponent> parts;  // random factors, then residual
  std::vector<CompareTerm> terms;
  std::optional<CompareFigure> icc;
  std::string icc_by;  // "exact", "draws"
  std::optional<std::size_t> bites_for_0_9;
  DogPairs pairs;  // indices of `dogs`
  std::vector<CompareBreed> breeds;
  std::vector<CompareBreedPair> breed_pairs;
  std::optional<std::size_t> dogs_per_breed;  // to tell question.difference
  double one_bite_difference = 0.0;  // smallest real one, two single bites
  std::vector<OddValue> odd;
  std::vector<CompareNote> notes;
  std::size_t draws = 0;

  // Model unit to newtons.
  double Newtons(double value) const;
  bool told() const { return fit.separable && design.dogs.size() > 1; }
};

Expected<CompareAnswer> AnswerCompare(const CompareQuestion& question);
nlohmann::ordered_json CompareJson(const CompareAnswer& answer);
// Dogs strongest first; NaN for figures that cannot be had.
report::ComparePicture ComparePictureOf(const CompareAnswer& answer);
// bites.svg, means.svg and, where there are ranks, ranks.svg in a folder, which
// is made where it is missing; their paths.
Expected<std::vector<std::string>> WriteComparePictures(
    const CompareAnswer& answer, const std::string& folder);

}  // namespace masseter

#endif  // MASSETER_APP_COMPARE_ANSWER_H_
