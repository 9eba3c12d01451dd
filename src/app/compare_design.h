// From a study's rows to the mixed model's matrices: which rows count, which
// columns stand for a factor or a number, what had to be left out and why.
#ifndef MASSETER_APP_COMPARE_DESIGN_H_
#define MASSETER_APP_COMPARE_DESIGN_H_

#include <optional>
#include <string>
#include <vector>

#include "app/study_rows.h"
#include "core/base/error.h"
#include "core/study/mixed_model.h"

namespace masseter {

struct CompareQuestion {
  std::vector<std::string> books;
  std::string table;
  std::string of;               // the figure's column, empty: the usual
  std::string subject = "dog";  // what is compared
  std::vector<std::string> fixed;
  std::vector<std::string> random;   // besides the subject; "a:b" joins columns
  std::vector<std::string> factors;  // columns of numbers to take as names
  // The column of the instrument's 95 % half-width; "none"; empty: a logbook's
  // own, and none of a table.
  std::string u95;
  bool log = true;
  bool full_likelihood = false;
  double difference = 0.2;  // of breeds, that should be told: a share
};

struct CompareNote {
  std::string code;
  std::string text;
};

// One fixed term: a number's column, or the levels of a factor against the
// first in byte order (treatment contrasts).
struct FixedTerm {
  std::string name;
  bool factor = false;
  std::vector<std::string> levels;   // of a factor
  std::vector<std::size_t> columns;  // in `data.x`; of levels 1, 2, ...
  std::vector<std::size_t> level;    // of every value
};

struct CompareDesign {
  MixedData data;
  std::vector<std::string> columns;  // names of data.x: "(Intercept)", ...
  std::vector<std::string> dogs;     // in byte order
  std::vector<FixedTerm> terms;
  std::vector<std::size_t> value_row;  // the study row of every value
  std::vector<double> newtons;         // the values as given
  StudyFigures figures;
  std::string u95;  // the column used, or empty
  std::vector<CompareNote> notes;

  // Column means, and which columns move within a dog: dogs are compared at
  // the former's means.
  std::vector<double> mean;
  std::vector<char> moves;
  std::vector<std::size_t> first_value;  // of each dog
  // The row at which dog j is predicted.
  std::vector<double> RowOf(std::size_t dog) const;
  // Takes the columns out that are not in `kept` (ascending), with a note.
  void Keep(const std::vector<std::size_t>& kept, const CompareNote& note);
};

Expected<CompareDesign> DesignComparison(const StudyRows& rows,
                                         const CompareQuestion& question);

}  // namespace masseter

#endif  // MASSETER_APP_COMPARE_DESIGN_H_
