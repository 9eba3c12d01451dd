// The bites of a logbook in order, each with what it rests on.
#ifndef MASSETER_APP_BITE_LIST_H_
#define MASSETER_APP_BITE_LIST_H_

#include <string>
#include <vector>

#include "app/bite_json.h"
#include "core/base/error.h"

namespace masseter {

// Measures first what is left to measure (a capture whose recorder died), then
// reads. Works beside a recorder: what it has measured so far is there. What
// the operator struck out comes as `void` (day_words.h).
Expected<std::vector<StoredBite>> ListBites(const std::string& book_path);

}  // namespace masseter

#endif  // MASSETER_APP_BITE_LIST_H_
