// A logbook with its rig and the calibration in force: what most use cases
// start from.
#ifndef MASSETER_APP_BOOK_H_
#define MASSETER_APP_BOOK_H_

#include <cstdint>
#include <optional>
#include <string>

#include "core/base/error.h"
#include "core/metrology/calibration.h"
#include "core/rig/rig.h"
#include "logbook/logbook.h"

namespace masseter {

struct Book {
  Logbook logbook;
  Rig rig;
  int rig_revision = 1;
  std::optional<Calibration> calibration;  // the newest
  std::int64_t calibration_id = 0;

  const Calibration* CalibrationOrNull() const {
    return calibration ? &*calibration : nullptr;
  }
};

// Makes a logbook from the rig file's text; nothing is left behind on error.
Expected<void> NewBook(const std::string& path, const std::string& rig_toml,
                       const std::string& rig_file);

Expected<Book> OpenBook(const std::string& path, Access access);

}  // namespace masseter

#endif  // MASSETER_APP_BOOK_H_
