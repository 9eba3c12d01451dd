// The bites of a logbook as a table for the terminal.
#ifndef MASSETER_CLI_BITES_TABLE_H_
#define MASSETER_CLI_BITES_TABLE_H_

#include <string>
#include <vector>

#include "app/bite_list.h"

namespace masseter::cli {

std::string BitesTable(const std::vector<StoredBite>& bites);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_BITES_TABLE_H_
