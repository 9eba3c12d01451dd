// The tables of `export`, one function each. Private to src/app.
#ifndef MASSETER_APP_EXPORT_TABLES_H_
#define MASSETER_APP_EXPORT_TABLES_H_

#include <functional>
#include <string>
#include <vector>

#include "app/bite_json.h"
#include "app/book.h"
#include "app/csv_table.h"

namespace masseter {

struct WrittenTable {
  CsvTable table;
  std::uint64_t rows = 0;
  std::uint64_t bytes = 0;
};

// Told the rows of the capture done and the bytes of them; false gives up.
using ExportStep = std::function<bool(std::uint64_t rows, std::uint64_t bytes)>;

// What stands in front of every table: program, rig, method, time.
std::vector<std::string> ExportComments(const Book& book,
                                        const std::string& what);

// Every field of a bite, its dog and what it rests on.
Expected<WrittenTable> WriteBites(const Book& book,
                                  const std::vector<StoredBite>& bites,
                                  const std::string& folder,
                                  const std::string& name);

// Every row of a capture: time, what the device printed, force.
Expected<WrittenTable> WriteSamples(const Book& book,
                                    const CaptureInfo& capture,
                                    const std::string& folder,
                                    const ExportStep& step);

// What the device printed, under its own names: a capture to import.
Expected<WrittenTable> WriteRaw(const Book& book, const CaptureInfo& capture,
                                const std::string& folder,
                                const ExportStep& step);

// The columns as the device printed them; types as far as `whole` tells (a
// column that ever had a decimal is a double).
std::vector<CsvColumn> RawColumns(const Rig& rig,
                                  const std::vector<ColumnRole>& layout,
                                  const std::vector<bool>& whole);

// Notes which columns had decimals.
void NoteDecimals(const RawBlock& block, std::vector<bool>& whole);

void PutRaw(const RawColumn& column, std::size_t row, CsvFile& file);

}  // namespace masseter

#endif  // MASSETER_APP_EXPORT_TABLES_H_
