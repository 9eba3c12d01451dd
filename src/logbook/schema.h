// The tables of a logbook, as numbered migrations. docs/formats/logbook.md
// says what each column means.
//
// A file is a logbook when its application_id is kApplicationId; user_version
// is the number of migrations it has been through.
#ifndef MASSETER_LOGBOOK_SCHEMA_H_
#define MASSETER_LOGBOOK_SCHEMA_H_

#include <cstdint>
#include <span>
#include <string_view>

#include "logbook/sqlite.h"

namespace masseter {

inline constexpr std::int64_t kApplicationId = 0x6D737472;  // "mstr"

// The statements of migration i + 1, which lead from version i to i + 1.
std::span<const std::string_view> Migrations();

// The oldest version that can be read as it stands, without its migrations.
inline constexpr int kOldestVersion = 1;

// The version this program writes: how many migrations it knows.
int CurrentVersion();

// Brings `db` from its user_version to the end of `migrations`, all in one
// transaction: either every step is done or none. Sets application_id too.
Expected<void> Migrate(Database& db,
                       std::span<const std::string_view> migrations);

// Refuses a database that is not a logbook, one of a newer version, and one
// whose header or tables show that it is damaged: a quick look at the first
// pages, not at every byte. Returns its version.
Expected<int> CheckIdentity(Database& db);

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_SCHEMA_H_
