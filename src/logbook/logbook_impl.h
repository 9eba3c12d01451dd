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

struct Logbook::Impl {
  Impl(std::string file, Access how, Database database)
      : path(std::move(file)), access(how), db(std::move(database)) {}

  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;

  // --- logbook.cc ---
  ~Impl();
  Expected<void> Transact(const std::function<Expected<void>()>& body);
  Expected<void> Begin();
  Expected<void> End();
  void Abandon();

  // --- captures.cc ---
  // The builder of an open capture, made on its first use.
  Expected<ChunkBuilder*> BuilderOf(std::int64_t capture);
  Expected<void> Gather(ChunkBuilder& builder, const RawBlock& block);
  // Packs what `builder` has gathered into `ready`.
  Expected<void> Seal(ChunkBuilder& builder);
  // Stores all that is pending: in the open transaction or in one of its own.
  // On failure outside a transaction it stays pending.
  Expected<void> StorePending();
  Expected<void> Insert(const ChunkRow& row);

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
};

// "capture 3 is not in this logbook" unless it is.
Expected<void> CheckCaptureExists(Database& db, std::int64_t capture);

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_LOGBOOK_IMPL_H_
