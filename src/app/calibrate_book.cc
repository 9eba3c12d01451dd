#include "app/calibrate_book.h"

#include "app/book.h"
#include "app/calibration_json.h"
#include "app/file_io.h"
#include "core/metrology/readings.h"

namespace masseter {

Expected<CalibrateAnswer> CalibrateBook(const std::string& book_path,
                                        const std::string& readings_path,
                                        const CalibrateOptions& options) {
  auto book = OpenBook(book_path, Access::kWrite);
  if (!book) return tl::unexpected(book.error());
  const auto text = ReadText(readings_path);
  if (!text) return tl::unexpected(text.error());
  const auto readings = ParseReadings(*text, readings_path, book->rig);
  if (!readings) return tl::unexpected(readings.error());
  auto calibration = Calibrate(book->rig, *readings, options, readings_path);
  if (!calibration) return tl::unexpected(calibration.error());
  CalibrationRecord record;
  record.created_unix_s = NowUnixS();
  record.document = CalibrationDocument(*calibration);
  record.readings = *text;
  const auto id = book->logbook.AddCalibration(record);
  if (!id) return tl::unexpected(id.error());
  return CalibrateAnswer{std::move(*calibration), *id};
}

}  // namespace masseter
