// Rows of the readings file that are no loads of their own: those that stand
// twice, and those of a load that was left to stand.
#ifndef MASSETER_CORE_METROLOGY_ROW_SIEVE_H_
#define MASSETER_CORE_METROLOGY_ROW_SIEVE_H_

#include <cstddef>
#include <vector>

#include "core/metrology/readings.h"

namespace masseter {

// Indices of rows that repeat an earlier row: in one series with the same
// load, place, direction, time and signals; or, in a block of three loads and
// more, all but the series' label and the time (a series that was copied).
// Signals that cannot tell (one channel, or steps as coarse as the loads) are
// never called repeated. Ascending.
std::vector<std::size_t> RepeatedRows(const ReadingsTable& readings);

// Runs of three and more rows one after another in one series with the same
// load at the same place and times that span two minutes and more: a record
// of creep. Each run lists its rows' indices.
std::vector<std::vector<std::size_t>> StandingRuns(
    const ReadingsTable& readings);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_ROW_SIEVE_H_
