// The bites of a logbook in order, each with what it rests on.
#ifndef MASSETER_APP_BITE_LIST_H_
#define MASSETER_APP_BITE_LIST_H_

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "app/bite_json.h"
#include "core/base/error.h"
#include "logbook/logbook.h"

namespace masseter {

// Measures first what is left to measure (a capture whose recorder died), then
// reads. Works beside a recorder: what it has measured so far is there. What
// the operator struck out comes as `void` (day_words.h).
Expected<std::vector<StoredBite>> ListBites(const std::string& book_path);

// One recording's bites that end at `from_s` or later, one at a time, as they
// are stored: nothing is measured, nothing laid over.
Expected<void> VisitBites(const Logbook& logbook, std::int64_t capture,
                          double from_s,
                          const std::function<void(const StoredBite&)>& visit);
// One bite as it is stored, and its recording; nullopt where there is none.
Expected<std::optional<StoredBite>> FindStoredBite(const Logbook& logbook,
                                                   std::int64_t id);

}  // namespace masseter

#endif  // MASSETER_APP_BITE_LIST_H_
