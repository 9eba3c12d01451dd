#include "app/compare_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/metrology/student_t.h"

namespace masseter {
namespace {

// Below this a breed is a few dogs, not a breed.
constexpr std::size_t kFewestDogs = 3;
constexpr double kPower = 0.8;

bool ByLikelihood(const CompareAnswer& a) {
  return a.method == CompareMethod::kRestricted ||
         a.method == CompareMethod::kFull;
}

// Degrees of freedom of sums of coefficients, made when first wanted.
class Dof {
 public:
  explicit Dof(const CompareAnswer& a) {
    if (ByLikelihood(a)) dof_.emplace(a.design.data, a.fit);
  }
  double Of(std::span<const double> row) const {
    return dof_ ? dof_->Of(row) : std::numeric_limits<double>::infinity();
  }

 private:
  std::optional<CoefficientDof> dof_;
};

const FixedTerm* BreedTerm(const CompareAnswer& a) {
  for (const FixedTerm& t : a.design.terms) {
    if (t.name == "breed" && t.factor && t.levels.size() > 1 &&
        t.columns.size() + 1 == t.levels.size()) {
      return &t;
    }
  }
  return nullptr;
}

std::vector<double> BreedRow(const CompareAnswer& a, const FixedTerm& breed,
                             std::size_t level) {
  std::vector<double> row = a.design.mean;
  for (const std::size_t c : breed.columns) row[c] = 0.0;
  if (level > 0) row[breed.columns[level - 1]] = 1.0;
  return row;
}

double Dot(std::span<const double> a, std::span<const double> b) {
  double sum = 0.0;
  for (std::size_t k = 0; k < a.size(); ++k) sum += a[k] * b[k];
  return sum;
}

// a'b with its interval: Student's t, or the draws where they are all there is.
CompareFigure SumOf(const CompareAnswer& a, const Dof& dof,
                    const MixedDraws* draws, const std::vector<double>& row,
                    double level) {
  CompareFigure out{Dot(row, a.fit.beta), std::nullopt};
  if (!ByLikelihood(a) && draws != nullptr) {
    std::vector<double> of(draws->count, 0.0);
    for (std::size_t d = 0; d < of.size(); ++d) {
      for (std::size_t k = 0; k < row.size(); ++k) {
        of[d] += row[k] * draws->Target(d, a.dogs.size() + k);
      }
    }
    out.interval = StudyInterval{QuantileOf(of, 0.5 - level / 2.0),
                                 QuantileOf(of, 0.5 + level / 2.0)};
    return out;
  }
  const double reach = CoverageFactor(level, dof.Of(row)) *
                       std::sqrt(LinearVariance(a.fit, row));
  out.interval = StudyInterval{out.value - reach, out.value + reach};
  return out;
}

// Dogs a breed until a difference of the wanted size would be seen in four
// studies of five, at 5 %: 2 v (z + z)^2 / d^2 with v the variance of one
// dog's mean of as many bites as usual here.
std::size_t DogsToTell(const CompareAnswer& a) {
  double inverse = 0.0;
  for (const CompareDog& dog : a.dogs) {
    inverse += 1.0 / static_cast<double>(dog.bites);
  }
  const double bites = static_cast<double>(a.dogs.size()) / inverse;
  const double variance = a.fit.variance[0] + a.fit.residual / bites;
  const double wanted =
      a.question.log ? std::log1p(a.question.difference)
                     : a.question.difference * Dot(a.design.mean, a.fit.beta);
  const double z = NormalQuantile(0.975) + NormalQuantile(kPower);
  return static_cast<std::size_t>(
      std::ceil(2.0 * variance * z * z / (wanted * wanted)));
}

void Note(CompareAnswer& a, std::string code, std::string text) {
  a.notes.push_back({std::move(code), std::move(text)});
}

}  // namespace

double LinearVariance(const MixedFit& fit, std::span<const double> a) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t j = 0; j < a.size(); ++j) {
      sum += a[i] * a[j] * fit.BetaCov(i, j);
    }
  }
  return sum;
}

void AddBreedNames(CompareAnswer& a, const StudyRows& rows) {
  const auto column = rows.Find("breed");
  if (!column) return;
  for (std::size_t j = 0; j < a.dogs.size(); ++j) {
    const std::size_t value = a.design.first_value[j];
    a.dogs[j].breed = rows.rows[a.design.value_row[value]][*column];
  }
}

void AddTerms(CompareAnswer& a, const MixedDraws* draws) {
  const Dof dof(a);
  for (std::size_t k = 0; k < a.fit.beta.size(); ++k) {
    std::vector<double> row(a.fit.beta.size(), 0.0);
    row[k] = 1.0;
    CompareTerm term;
    term.name = a.design.columns[k];
    term.estimate = a.fit.beta[k];
    const CompareFigure sum = SumOf(a, dof, draws, row, 0.95);
    term.interval = *sum.interval;
    term.dof = dof.Of(row);
    term.se = std::sqrt(a.fit.BetaCov(k, k));
    if (a.method == CompareMethod::kDraws) {
      term.se =
          (term.interval.hi - term.interval.lo) / (2.0 * NormalQuantile(0.975));
    }
    term.p =
        2.0 * StudentTUpperTail(std::abs(term.estimate) / term.se, term.dof);
    a.terms.push_back(term);
  }
}

void AddBreeds(CompareAnswer& a, const MixedDraws* draws) {
  const FixedTerm* term = BreedTerm(a);
  if (term == nullptr || !a.told()) return;
  const Dof dof(a);
  std::vector<std::vector<char>> seen(term->levels.size(),
                                      std::vector<char>(a.dogs.size(), 0));
  for (std::size_t l = 0; l < term->levels.size(); ++l) {
    CompareBreed breed;
    breed.name = term->levels[l];
    breed.mean = SumOf(a, dof, draws, BreedRow(a, *term, l), 0.95);
    a.breeds.push_back(breed);
  }
  for (std::size_t i = 0; i < term->level.size(); ++i) {
    CompareBreed& breed = a.breeds[term->level[i]];
    ++breed.bites;
    char& dog = seen[term->level[i]][a.design.data.random[0].level[i]];
    breed.dogs += dog == 0 ? 1U : 0U;
    dog = 1;
  }
  const std::size_t n = a.breeds.size();
  const double level = 1.0 - 0.05 / (0.5 * static_cast<double>(n * (n - 1)));
  for (std::size_t x = 0; x < n; ++x) {
    for (std::size_t y = x + 1; y < n; ++y) {
      std::vector<double> row = BreedRow(a, *term, x);
      const std::vector<double> other = BreedRow(a, *term, y);
      for (std::size_t k = 0; k < row.size(); ++k) row[k] -= other[k];
      CompareBreedPair pair;
      pair.a = x;
      pair.b = y;
      pair.difference = SumOf(a, dof, draws, row, level);
      const bool enough =
          a.breeds[x].dogs >= kFewestDogs && a.breeds[y].dogs >= kFewestDogs;
      pair.told_apart = enough && (pair.difference.interval->lo > 0.0 ||
                                   pair.difference.interval->hi < 0.0);
      a.breed_pairs.push_back(pair);
    }
  }
  a.dogs_per_breed = DogsToTell(a);
}

void AddNotes(CompareAnswer& a) {
  const std::string& dog = a.question.subject;
  a.notes.insert(a.notes.begin(), a.design.notes.begin(), a.design.notes.end());
  const std::size_t bounds = a.design.data.LowerBounds();
  if (a.method == CompareMethod::kNone) {
    Note(a, "all_at_least",
         "every bite is known only from below: no mean can be told, only that "
         "each is at least so much");
    return;
  }
  if (bounds > 0) {
    Note(a, "at_least",
         fmt::format("{} of {} bites are known only from below and enter as "
                     "that, not as values",
                     bounds, a.design.data.values()));
  }
  if (a.method == CompareMethod::kDraws) {
    Note(a, "by_draws",
         "lower bounds with several random factors: the figures are medians "
         "of draws, and there is no criterion");
  }
  if (a.dogs.size() == 1) {
    Note(a, "one_dog",
         "a single " + dog +
             ": there is nobody to compare it "
             "with, and no reliability");
  } else if (!a.told()) {
    Note(a, "one_bite_each",
         fmt::format("too few {}s with two bites or more: what is a {}'s own "
                     "and what is chance cannot be told apart; the figures are "
                     "its bites without an interval",
                     dog, dog));
  } else if (a.fit.singular && a.fit.variance[0] == 0.0) {
    Note(a, "singular",
         fmt::format("the {}s differ no more than their own bites scatter: "
                     "the spread between them is estimated as 0, and every "
                     "{} gets the same mean; more bites may tell",
                     dog, dog));
  } else if (a.fit.singular) {
    Note(a, "singular",
         "one of the random factors adds nothing that can be "
         "seen: its spread is estimated as 0");
  }
  if (a.told() && a.dogs.size() < 5) {
    Note(a, "few_dogs",
         fmt::format("with {} {}s the spread between {}s is barely known",
                     a.dogs.size(), dog, dog));
  }
  for (const CompareBreed& b : a.breeds) {
    if (b.dogs >= kFewestDogs) continue;
    Note(a, "no_breed_claim",
         fmt::format("{} of {}: nothing can be said about the breed; about {} "
                     "of each would tell a difference of {:g} %",
                     b.dogs == 1 ? "one dog" : "two dogs", b.name,
                     *a.dogs_per_breed, 100.0 * a.question.difference));
  }
}

}  // namespace masseter
