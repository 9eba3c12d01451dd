#include "app/report_comparison.h"

#include <algorithm>
#include <cctype>
#include <cmath>

#include "app/compare_answer.h"
#include "app/mass_answer.h"

namespace masseter {
namespace {

constexpr std::ptrdiff_t kFewestDogs = 2;
constexpr std::ptrdiff_t kFewestMasses = 3;

bool Figure(const ReportBite& entry) {
  return entry.bite.verdict != Verdict::kVoid && entry.bite.peak_n.has_value();
}

bool HasFigure(const ReportDog& dog) {
  return !dog.name.empty() && std::ranges::any_of(dog.bites, Figure);
}

// A mass, and a figure that is more than a lower bound.
bool HasMassAndForce(const ReportDog& dog) {
  return !dog.name.empty() && dog.mass_kg.has_value() &&
         std::ranges::any_of(dog.bites, [](const ReportBite& entry) {
           return Figure(entry) && !entry.bite.at_least;
         });
}

std::string Sentence(std::string text) {
  if (text.empty()) return text;
  text[0] =
      static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  if (text.back() != '.') text += '.';
  return text;
}

void AddPairs(const CompareAnswer& a, ReportComparison& out) {
  out.pairs = a.pairs.pairs.size();
  for (const DogPair& p : a.pairs.pairs) {
    if (!p.told_apart) continue;
    out.told_apart.push_back({a.dogs[p.a].name, a.dogs[p.b].name,
                              std::exp(p.difference), std::exp(p.lo),
                              std::exp(p.hi)});
  }
}

void AddReliability(const CompareAnswer& a, ReportComparison& out) {
  if (!a.icc || !a.told()) return;
  out.icc = a.icc->value;
  if (a.icc->interval) {
    out.icc_lo = a.icc->interval->lo;
    out.icc_hi = a.icc->interval->hi;
  }
  out.bites_for_0_9 = a.bites_for_0_9;
  out.one_bite_ratio = std::exp(a.one_bite_difference);
}

void AddMass(const std::string& book_path, const std::vector<ReportDog>& dogs,
             ReportComparison& out) {
  const auto weighed = std::ranges::count_if(dogs, HasMassAndForce);
  if (weighed < kFewestMasses) return;
  MassQuestion question;
  question.book = book_path;
  const auto answer = AnswerMass(question);
  if (answer) {
    out.mass = MassPictureOf(*answer);
  } else {
    out.notes.push_back(Sentence("Force against body mass is not drawn: " +
                                 answer.error().what));
  }
}

}  // namespace

ReportComparison ReportComparisonOf(const CompareAnswer& a) {
  ReportComparison out;
  out.picture = ComparePictureOf(a);
  out.means = a.method != CompareMethod::kNone && a.told();
  AddPairs(a, out);
  AddReliability(a, out);
  for (const CompareNote& note : a.notes) {
    out.notes.push_back(Sentence(note.text));
  }
  return out;
}

std::optional<ReportComparison> ComparisonOf(
    const std::string& book_path, const std::vector<ReportDog>& dogs) {
  if (std::ranges::count_if(dogs, HasFigure) < kFewestDogs) {
    return std::nullopt;
  }
  ReportComparison out;
  CompareQuestion question;
  question.books = {book_path};
  const auto answer = AnswerCompare(question);
  if (answer) {
    out = ReportComparisonOf(*answer);
    out.picture.of = "peak";
  } else {
    out.notes.push_back(
        Sentence("The dogs could not be compared: " + answer.error().what));
  }
  AddMass(book_path, dogs, out);
  return out;
}

}  // namespace masseter
