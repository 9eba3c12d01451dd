#include "app/book.h"

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
  if (!calibrations->empty()) {
    auto calibration = ParseCalibrationDocument(calibrations->back().document);
    if (!calibration) return tl::unexpected(calibration.error());
    const auto ringing = RingingOf(book.logbook);
    if (!ringing) return tl::unexpected(ringing.error());
    calibration->ringing = *ringing;
    book.calibration = std::move(*calibration);
    book.calibration_id = calibrations->back().id;
  }
  return book;
}

}  // namespace masseter
