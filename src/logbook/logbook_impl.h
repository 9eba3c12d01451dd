// What a Logbook holds. Private to src/logbook; the members of Logbook are
// spread over logbook.cc (the file, transactions), captures.cc (raw samples
// in), raw_reading.cc (raw samples out), records.cc (everything else).
//
// Transactions: every change runs inside Transact. Samples that are gathered
// but not stored yet ("pending") are stored at the borders of a transaction,
// so that all a failed one loses is what was appended inside it.
#ifndef MASSETER_LOGBOOK_LOGBOOK_IMPL_H_
#define MASSETER_LOGBOOK_LOGBOOK_IMPL_H_

#include <chrono>
#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "logbook/chunk_builder.h"
#include "logbook/chunk_codec.h"
#include "logbook/logbook.h"
#include "logbook/recorder_lock.h"
#include "logbook/sqlite.h"

namespace masseter {

// A row of table raw_chunk, ready to insert.
struct ChunkRow {
  std::int64_t capture = 0;
  std::uint64_t first_row = 0;
  std::size_t rows = 0;
  // As printed: nothing, an integer or a double.
  using Printed = std::variant<std::monostate, std::int64_t, double>;
  Printed first_seq, last_seq, first_time, last_time;
  double host_time_s = 0.0;
  std::string layout;
  PackedChunk packed;
};

// Packed samples that go into one transaction, and that may wait for the next
// store when a file is read faster than the interval.
inline constexpr std::size_t kMostReadyBytes = std::size_t{4} << 20;

struct Logbook::Impl {
  Impl(std::string file, Access how, Database database)
      : path(std::move(file)), access(how), db(std::move(database)) {}

  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;

  // --- logbook.cc ---
  ~Impl();
  Expected<void> Transact(const std::function<Expected<void>()>& body);
  // The same for what is derived from samples that are stored: does not wait
  // for the disk. Durable with the next samples that are; until then a power
  // cut may take it, and it is derived anew.
  Expected<void> TransactDerived(const std::function<Expected<void>()>& body);
  Expected<void> Begin();
  Expected<void> End();
  void Abandon();

  // --- captures.cc ---
  // The builder of an open capture, made on its first use.
  Expected<ChunkBuilder*> BuilderOf(std::int64_t capture);
  Expected<void> Gather(ChunkBuilder& builder, const RawBlock& block);
  // Packs what `builder` has gathered into `ready`.
  Expected<void> Seal(ChunkBuilder& builder);
  // Stores all that is pending: in the open transaction or in some of its own,
  // piece by piece. On failure outside a transaction the rest stays pending.
  Expected<void> StoreAll();
  Expected<void> StoreReady(std::size_t count);
  Expected<void> Insert(const ChunkRow& row);

  // --- patience.cc ---
  // StoreAll, or what patience makes of it.
  Expected<void> StorePending();
  Expected<void> Patiently(std::function<Expected<void>()> change,
                           std::string_view table = {});
  Expected<void> TryAll();
  Expected<void> RunLater();
  void Refused(const Error& error);
  // {} unless too much waits.
  Expected<void> TooMuch() const;
  // The id that the next row of an AUTOINCREMENT table gets.
  Expected<std::int64_t> NextId(std::string_view table);

  std::string path;
  Access access;
  Database db;
  std::optional<RecorderLock> lock;
  int depth = 0;  // open transactions, the outermost and its savepoints

  ChunkCodec codec;
  std::map<std::int64_t, ChunkBuilder> builders;  // by capture
  std::vector<ChunkRow> ready;                    // packed, not stored
  std::size_t ready_bytes = 0;
  std::chrono::steady_clock::time_point last_store;  // epoch: never yet
  std::uint64_t stored_rows = 0;
  double stored_unix_s = 0.0;

  struct Change {
    std::function<Expected<void>()> run;
    std::string_view table;  // that gets a row by it, or empty
  };
  std::size_t most_waiting = 0;  // bytes; 0: not patient
  std::optional<Error> refused;  // the disk's last word
  std::chrono::steady_clock::time_point refused_since;
  std::chrono::steady_clock::time_point next_try;
  std::deque<Change> later;  // in order
};

// "capture 3 is not in this logbook" unless it is.
Expected<void> CheckCaptureExists(Database& db, std::int64_t capture);

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_LOGBOOK_IMPL_H_
