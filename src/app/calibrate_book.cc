#include "app/calibrate_book.h"

#include "app/book.h"
#include "app/calibration_json.h"
#include "app/file_io.h"
#include "core/metrology/readings.h"

namespace masseter {

namespace {

Expected<CalibrateAnswer> Store(Book& book, const std::string& text,
                                const std::string& name,
                                const CalibrateOptions& options) {
  const auto readings = ParseReadings(text, name, book.rig);
  if (!readings) return tl::unexpected(readings.error());
  auto calibration = Calibrate(book.rig, *readings, options, name);
  if (!calibration) return tl::unexpected(calibration.error());
  CalibrationRecord record;
  record.created_unix_s = NowUnixS();
  record.document = CalibrationDocument(*calibration);
  record.readings = text;
  std::int64_t id = 0;
  const auto done = book.logbook.Transact([&]() -> Expected<void> {
    const auto added = book.logbook.AddCalibration(record);
    if (!added) return tl::unexpected(added.error());
    id = *added;
    // Readings of an earlier day may hold for captures that are measured.
    if (calibration->performed_on.empty()) return {};
    return book.logbook.MeasureAnewLater();
  });
  if (!done) return tl::unexpected(done.error());
  return CalibrateAnswer{std::move(*calibration), id};
}

}  // namespace

Expected<CalibrateAnswer> CalibrateBook(const std::string& book_path,
                                        const std::string& readings_path,
                                        const CalibrateOptions& options) {
  auto book = OpenBook(book_path, Access::kWrite);
  if (!book) return tl::unexpected(book.error());
  const auto text = ReadText(readings_path);
  if (!text) return tl::unexpected(text.error());
  return Store(*book, *text, readings_path, options);
}

Expected<CalibrateAnswer> CalibrateBookText(const std::string& book_path,
                                            const std::string& readings,
                                            const std::string& name,
                                            const CalibrateOptions& options) {
  auto book = OpenBook(book_path, Access::kWrite);
  if (!book) return tl::unexpected(book.error());
  return Store(*book, readings, name, options);
}

}  // namespace masseter
