// A bite as one line of the terminal while a day is recorded.
#ifndef MASSETER_CLI_BITE_LINE_H_
#define MASSETER_CLI_BITE_LINE_H_

#include <string>

#include "core/bite/bite.h"

namespace masseter::cli {

// "  7  1:02  ● Brisk          743.1 ± 6.2 N   squeeze 688 N   2.85 s  sound".
// Shapes: sound ● (ASCII *), doubtful ◐ (~), void ○ (o), at least ↑ (^).
std::string BiteLine(const Bite& bite, bool utf8);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_BITE_LINE_H_
