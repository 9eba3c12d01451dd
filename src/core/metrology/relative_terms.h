// ISO 376's relative quantities from bench loads and an estimator's answers.
// Each is a standard figure relative to the load; nullopt where the readings
// cannot tell. Formulae: docs/calibration.md.
#ifndef MASSETER_CORE_METROLOGY_RELATIVE_TERMS_H_
#define MASSETER_CORE_METROLOGY_RELATIVE_TERMS_H_

#include <vector>

#include "core/metrology/bench_set.h"
#include "core/metrology/calibration.h"

namespace masseter {

// `answer` is the estimate for each load of `prepared`, newtons; `counts` says
// that the channels print whole counts, whose step is the resolution. The
// reference, creep and temperature are judged elsewhere and stay nullopt.
RelativeTerms JudgeLoads(const PreparedBench& prepared,
                         const std::vector<double>& answer,
                         const Estimator& estimator, bool counts);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_RELATIVE_TERMS_H_
