// The rows of a study: a logbook's bites or any delimited table, one row a
// measurement, as text columns with names; and the figures taken from one
// column, with what had to be left out counted.
#ifndef MASSETER_APP_STUDY_ROWS_H_
#define MASSETER_APP_STUDY_ROWS_H_

#include <cstddef>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"

namespace masseter {

struct StudyRows {
  std::string file;
  std::vector<std::string> names;
  std::vector<std::vector<std::string>> rows;  // each as long as `names`
  std::vector<int> lines;                      // 0 where there is no file

  std::optional<std::size_t> Find(const std::string& name) const;
  // The column, or an error that lists the names there are.
  Expected<std::size_t> Need(const std::string& name) const;
  std::string PlaceOf(std::size_t row) const;
};

// A table with a header line: comma, semicolon or tab; blank lines and lines
// that begin with # are skipped. At least one row.
Expected<StudyRows> ReadStudyTable(const std::string& path);

// A logbook's bites: book, capture, day (ISO date of its recording), dog,
// breed, mass_kg, bite, peak_n, peak_u95_n, strike_n, squeeze_n, squeeze_u95_n,
// held_n, x_mm, y_mm, order (1 for a dog's first bite of that recording),
// practice (yes for its first three in the book), verdict, at_least.
Expected<StudyRows> ReadStudyBook(const std::string& path);

// Exactly one of the two must be given.
Expected<StudyRows> ReadStudy(const std::vector<std::string>& books,
                              const std::string& table);

struct StudyFigure {
  std::size_t row = 0;
  double value = 0.0;
  bool at_least = false;
};

struct StudyFigures {
  std::string of;  // the column's name
  std::vector<StudyFigure> figures;
  std::size_t voids = 0;     // verdict `void`
  std::size_t missing = 0;   // no value
  std::size_t nameless = 0;  // a column of `needed` is empty
};

// The figures of column `of`; empty takes the first there is of peak_n,
// force_n, squeeze_n, y. Rows whose `verdict` is void, whose value is empty or
// which lack one of the columns `needed` are left out and counted. A value that
// is not a number, or not above zero where `positive`, is an error with its
// place.
Expected<StudyFigures> FiguresOf(const StudyRows& rows, const std::string& of,
                                 const std::vector<std::size_t>& needed,
                                 bool positive);

nlohmann::ordered_json LeftOutJson(const StudyFigures& figures);
// "2 void and 1 without a value left out", or empty.
std::string LeftOutWords(const StudyFigures& figures);

}  // namespace masseter

#endif  // MASSETER_APP_STUDY_ROWS_H_
