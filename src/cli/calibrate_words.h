// What `calibrate` says on a terminal.
#ifndef MASSETER_CLI_CALIBRATE_WORDS_H_
#define MASSETER_CLI_CALIBRATE_WORDS_H_

#include <string>

#include "app/calibrate_book.h"

namespace masseter::cli {

// Headline, curve, terms, places, reference force, class and warnings.
std::string CalibrateWords(const CalibrateAnswer& answer);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_CALIBRATE_WORDS_H_
