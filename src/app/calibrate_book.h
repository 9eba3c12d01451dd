// `calibrate`: readings into a stored calibration.
#ifndef MASSETER_APP_CALIBRATE_BOOK_H_
#define MASSETER_APP_CALIBRATE_BOOK_H_

#include <cstdint>
#include <string>

#include "core/base/error.h"
#include "core/metrology/calibration.h"

namespace masseter {

struct CalibrateAnswer {
  Calibration calibration;
  std::int64_t id = 0;
};

// Reads the readings file, calibrates, stores. Nothing is stored on error.
Expected<CalibrateAnswer> CalibrateBook(const std::string& book_path,
                                        const std::string& readings_path,
                                        const CalibrateOptions& options);

// The same from the readings' text; `name` stands for the file in messages.
Expected<CalibrateAnswer> CalibrateBookText(const std::string& book_path,
                                            const std::string& readings,
                                            const std::string& name,
                                            const CalibrateOptions& options);

}  // namespace masseter

#endif  // MASSETER_APP_CALIBRATE_BOOK_H_
