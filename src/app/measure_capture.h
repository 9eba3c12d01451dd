// Bites from stored raw samples: what import, a restart after a crash and a
// new calibration all do, by the one pipeline.
#ifndef MASSETER_APP_MEASURE_CAPTURE_H_
#define MASSETER_APP_MEASURE_CAPTURE_H_

#include <cstdint>
#include <functional>
#include <vector>

#include "app/book.h"
#include "core/bite/pipeline.h"

namespace masseter {

// Gives the bite its dog and the time from the "out" command to its end.
void NameDog(const std::vector<Mark>& marks, Bite& bite);

// Whether bites carry their steps from a plain read-out (figure_steps.h).
enum class ReplaySteps { kLeave, kKeep };

// Runs a capture's stored samples through the pipeline, the operator's own
// zeros (marks "!zero") included. `on_bite` gets each bite with its samples,
// named; the time axis's report comes back.
Expected<TimelineReport> ReplayCapture(
    const Book& book, std::int64_t capture, const Calibration* calibration,
    const std::function<void(MeasuredBite&&)>& on_bite,
    ReplaySteps steps = ReplaySteps::kLeave);

// Measures a capture with the calibration valid at its time (validity.h) and
// replaces its bites.
// Returns how many.
Expected<std::size_t> MeasureCapture(Book& book, const CaptureInfo& capture);

// Measures what is not measured yet: captures whose recorder died, captures
// without calibration when there is one now, and those of another method.
// Captures being recorded by another process are left alone.
Expected<void> MeasureWhatIsLeft(const std::string& book_path);

}  // namespace masseter

#endif  // MASSETER_APP_MEASURE_CAPTURE_H_
