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
  std::optional<Calibration> calibration;  // the one in force now
  std::int64_t calibration_id = 0;

  const Calibration* CalibrationOrNull() const {
    return calibration ? &*calibration : nullptr;
  }
};

// Makes a logbook from the rig file's text; nothing is left behind on error.
Expected<void> NewBook(const std::string& path, const std::string& rig_toml,
                       const std::string& rig_file);

// When a calibration begins to hold, and to age: when its readings were taken
// (noon of the stated day), else when it was evaluated.
double CalibrationBegins(const Calibration& calibration, double created_unix_s);

// Of several calibrations the one that began last is in force, whatever order
// they were evaluated in; of two that began together the one evaluated later.
Expected<Book> OpenBook(const std::string& path, Access access);

}  // namespace masseter

#endif  // MASSETER_APP_BOOK_H_
