#include "app/book.h"

#include <algorithm>

#include "app/calendar_day.h"
#include "app/calibration_json.h"
#include "app/file_io.h"
#include "app/rig_file.h"
#include "app/tap_json.h"

namespace masseter {

Expected<void> NewBook(const std::string& path, const std::string& rig_toml,
                       const std::string& rig_file) {
  const auto rig = ParseRig(rig_toml, rig_file);
  if (!rig) return tl::unexpected(rig.error());
  const auto logbook = Logbook::Create(path, rig_toml, NowUnixS());
  if (!logbook) return tl::unexpected(logbook.error());
  return {};
}

double CalibrationBegins(const Calibration& calibration,
                         double created_unix_s) {
  return std::min(created_unix_s,
                  ParseDay(calibration.performed_on).value_or(created_unix_s));
}

Expected<Book> OpenBook(const std::string& path, Access access) {
  auto logbook = Logbook::Open(path, access);
  if (!logbook) return tl::unexpected(logbook.error());
  const auto toml = logbook->RigToml();
  if (!toml) return tl::unexpected(toml.error());
  auto rig = ParseRig(*toml, path + " (rig)");
  if (!rig) return tl::unexpected(rig.error());
  const auto revision = logbook->RigRevision();
  if (!revision) return tl::unexpected(revision.error());
  const auto calibrations = logbook->Calibrations();
  if (!calibrations) return tl::unexpected(calibrations.error());
  Book book{std::move(*logbook), std::move(*rig), *revision, std::nullopt, 0};
  double begins = 0.0;
  for (const CalibrationRecord& record : *calibrations) {
    auto calibration = ParseCalibrationDocument(record.document);
    if (!calibration) return tl::unexpected(calibration.error());
    const double since = CalibrationBegins(*calibration, record.created_unix_s);
    if (book.calibration && since < begins) continue;
    begins = since;
    book.calibration = std::move(*calibration);
    book.calibration_id = record.id;
  }
  if (!book.calibration) return book;
  const auto ringing = RingingOf(book.logbook);
  if (!ringing) return tl::unexpected(ringing.error());
  book.calibration->ringing = *ringing;
  return book;
}

}  // namespace masseter
