// Raw samples into the logbook.
#include <algorithm>

#include "logbook/layout_text.h"
#include "logbook/logbook_impl.h"

namespace masseter {
namespace {

// A store is due this long after the last. A margin below 0.25 s, so that a
// source whose blocks come every 50 ms is stored in time.
constexpr std::chrono::milliseconds kStoreInterval{200};

ChunkRow::Printed ValueAt(const RawColumn& column, std::size_t row) {
  return std::visit([&](const auto& v) { return ChunkRow::Printed(v[row]); },
                    column);
}

bool IsTime(Role role) {
  return role == Role::kTimeUs || role == Role::kTimeMs || role == Role::kTimeS;
}

// What the table says of a chunk besides its bytes.
ChunkRow Describe(const RawChunk& chunk) {
  const RawBlock& block = chunk.block;
  ChunkRow row;
  row.capture = chunk.capture;
  row.first_row = chunk.first_row;
  row.rows = block.rows;
  row.host_time_s = chunk.arrivals.back().host_time_s;
  row.layout = LayoutText(block.layout);
  for (std::size_t c = 0; c < block.columns.size(); ++c) {
    if (block.layout[c].role == Role::kSequence) {
      row.first_seq = ValueAt(block.columns[c], 0);
      row.last_seq = ValueAt(block.columns[c], block.rows - 1);
    } else if (IsTime(block.layout[c].role)) {
      row.first_time = ValueAt(block.columns[c], 0);
      row.last_time = ValueAt(block.columns[c], block.rows - 1);
    }
  }
  return row;
}

void BindPrinted(Statement& statement, int index,
                 const ChunkRow::Printed& value) {
  if (const auto* integer = std::get_if<std::int64_t>(&value)) {
    statement.Bind(index, *integer);
  } else if (const auto* real = std::get_if<double>(&value)) {
    statement.Bind(index, *real);
  } else {
    statement.BindNull(index);
  }
}

Expected<void> CheckBlock(const std::string& path, const RawBlock& block) {
  const bool whole = block.columns.size() == block.layout.size() &&
                     std::all_of(block.columns.begin(), block.columns.end(),
                                 [&](const RawColumn& c) {
                                   return RawColumnSize(c) == block.rows;
                                 });
  if (!whole)
    return BadInput(path, "samples come in columns of unequal length");
  if (block.columns.size() > kMaxChunkColumns) {
    return BadInput(path, "samples have " +
                              std::to_string(block.columns.size()) +
                              " columns; a logbook takes " +
                              std::to_string(kMaxChunkColumns));
  }
  return {};
}

}  // namespace

Expected<void> CheckCaptureExists(Database& db, std::int64_t capture) {
  auto query = db.Prepare("SELECT 1 FROM capture WHERE id = ?1");
  if (!query) return tl::unexpected(query.error());
  const auto row = query->Bind(1, capture).Step();
  if (!row) return tl::unexpected(row.error());
  if (*row) return {};
  return BadInput(db.path(), "capture " + std::to_string(capture) +
                                 " is not in this logbook");
}

Expected<std::int64_t> Logbook::BeginCapture(const CaptureInfo& info) {
  std::int64_t id = 0;
  auto done = impl_->Transact([&]() -> Expected<void> {
    auto insert = impl_->db.Prepare(
        "INSERT INTO capture(source, created_unix_s, broken_lines, notes,"
        " layout, rig_revision) VALUES(?1, ?2, ?3, ?4, ?5,"
        " (SELECT max(revision) FROM rig))");
    if (!insert) return tl::unexpected(insert.error());
    insert->Bind(1, std::string_view(info.source))
        .Bind(2, info.created_unix_s)
        .Bind(3, static_cast<std::int64_t>(info.broken_lines))
        .Bind(4, std::string_view(info.notes))
        .Bind(5, std::string_view(LayoutText(info.layout)));
    auto run = insert->Run();
    id = impl_->db.LastInsertId();
    return run;
  });
  if (!done) return tl::unexpected(done.error());
  return id;
}

Expected<void> Logbook::Append(std::int64_t capture, const RawBlock& block) {
  Impl& impl = *impl_;
  if (impl.access == Access::kRead) {
    return BadInput(impl.path, "is open for reading only");
  }
  if (auto sound = CheckBlock(impl.path, block); !sound) return sound;
  auto builder = impl.BuilderOf(capture);
  if (!builder) return tl::unexpected(builder.error());
  if (auto done = impl.Gather(**builder, block); !done) return done;
  const bool due =
      impl.depth == 0 &&
      std::chrono::steady_clock::now() - impl.last_store >= kStoreInterval;
  if (due || impl.ready_bytes > kMostReadyBytes) return impl.StorePending();
  return {};
}

Expected<void> Logbook::Commit() { return impl_->StorePending(); }

Expected<void> Logbook::FinishCapture(std::int64_t capture,
                                      const CaptureInfo& info) {
  auto done = impl_->Transact([&]() -> Expected<void> {
    if (auto open = impl_->BuilderOf(capture); !open) {
      return tl::unexpected(open.error());
    }
    auto update = impl_->db.Prepare(
        "UPDATE capture SET open = 0, broken_lines = ?2, notes = ?3,"
        " layout = CASE WHEN ?4 = '' THEN layout ELSE ?4 END WHERE id = ?1");
    if (!update) return tl::unexpected(update.error());
    update->Bind(1, capture)
        .Bind(2, static_cast<std::int64_t>(info.broken_lines))
        .Bind(3, std::string_view(info.notes))
        .Bind(4, std::string_view(LayoutText(info.layout)));
    return update->Run();
  });
  if (done) impl_->builders.erase(capture);
  return done;
}

Expected<ChunkBuilder*> Logbook::Impl::BuilderOf(std::int64_t capture) {
  if (const auto found = builders.find(capture); found != builders.end()) {
    return &found->second;
  }
  if (auto exists = CheckCaptureExists(db, capture); !exists) {
    return tl::unexpected(exists.error());
  }
  auto query = db.Prepare(
      "SELECT open, coalesce((SELECT first_row + rows FROM raw_chunk"
      " WHERE capture = ?1 ORDER BY first_row DESC LIMIT 1), 0)"
      " FROM capture WHERE id = ?1");
  if (!query) return tl::unexpected(query.error());
  const auto row = query->Bind(1, capture).Step();
  if (!row) return tl::unexpected(row.error());
  if (query->Int(0) == 0) {
    return BadInput(path, "capture " + std::to_string(capture) +
                              " is closed; nothing can be added to it");
  }
  const auto next = static_cast<std::uint64_t>(query->Int(1));
  return &builders.emplace(capture, ChunkBuilder(capture, next)).first->second;
}

Expected<void> Logbook::Impl::Gather(ChunkBuilder& builder,
                                     const RawBlock& block) {
  for (std::size_t from = 0; from < block.rows;) {
    if (!builder.Accepts(block)) {
      if (auto sealed = Seal(builder); !sealed) return sealed;
    }
    from += builder.Add(block, from);
  }
  return {};
}

Expected<void> Logbook::Impl::Seal(ChunkBuilder& builder) {
  if (builder.empty()) return {};
  auto packed = codec.Pack(builder.chunk());
  if (!packed) return MachineFailure(path, packed.error().what);
  ChunkRow row = Describe(builder.chunk());
  row.packed = std::move(*packed);
  ready_bytes += row.packed.bytes.size();
  ready.push_back(std::move(row));
  builder.StartNext();
  return {};
}

Expected<void> Logbook::Impl::StoreAll() {
  for (auto& [capture, builder] : builders) {
    if (auto sealed = Seal(builder); !sealed) return sealed;
  }
  while (!ready.empty()) {
    // After a disk has refused for long there is a lot: piece by piece, so that
    // what fits is kept.
    std::size_t count = 0;
    for (std::size_t bytes = 0; count < ready.size(); ++count) {
      bytes += ready[count].packed.bytes.size();
      if (count > 0 && bytes > kMostReadyBytes) break;
    }
    if (auto stored = StoreReady(count); !stored) return stored;
  }
  return {};
}

Expected<void> Logbook::Impl::StoreReady(std::size_t count) {
  const bool own = depth == 0;
  if (own) {
    if (auto begun = Begin(); !begun) return begun;
  } else if (!db.InTransaction()) {
    return MachineFailure(path, "the change failed and was taken back");
  }
  const auto end = ready.begin() + static_cast<std::ptrdiff_t>(count);
  Expected<void> done;
  for (auto row = ready.begin(); row != end; ++row) {
    if (done = Insert(*row); !done) break;
  }
  if (own && done) done = End();
  if (!done) {
    if (own) Abandon();
    return done;
  }
  for (auto row = ready.begin(); row != end; ++row) {
    ready_bytes -= row->packed.bytes.size();
    stored_rows += row->rows;
    stored_unix_s = row->host_time_s;
  }
  ready.erase(ready.begin(), end);
  last_store = std::chrono::steady_clock::now();
  return {};
}

Expected<void> Logbook::Impl::Insert(const ChunkRow& row) {
  auto insert = db.Prepare(
      "INSERT INTO raw_chunk(capture, first_row, rows, first_seq, last_seq,"
      " first_time, last_time, host_time_s, codec, sha256, data)"
      " VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)");
  if (!insert) return tl::unexpected(insert.error());
  insert->Bind(1, row.capture)
      .Bind(2, static_cast<std::int64_t>(row.first_row))
      .Bind(3, static_cast<std::int64_t>(row.rows));
  BindPrinted(*insert, 4, row.first_seq);
  BindPrinted(*insert, 5, row.last_seq);
  BindPrinted(*insert, 6, row.first_time);
  BindPrinted(*insert, 7, row.last_time);
  insert->Bind(8, row.host_time_s)
      .Bind(9, std::int64_t{kChunkCodecVersion})
      .Bind(10, std::span<const std::uint8_t>(row.packed.sha256))
      .Bind(11, std::span<const std::uint8_t>(row.packed.bytes));
  if (auto done = insert->Run(); !done) return done;
  if (row.first_row > 0) return {};
  auto update = db.Prepare(
      "UPDATE capture SET layout = ?2 WHERE id = ?1 AND layout = ''");
  if (!update) return tl::unexpected(update.error());
  return update->Bind(1, row.capture)
      .Bind(2, std::string_view(row.layout))
      .Run();
}

Expected<std::vector<CaptureInfo>> Logbook::Captures() const {
  if (auto stored = impl_->StorePending(); !stored) {
    return tl::unexpected(stored.error());
  }
  auto query = impl_->db.Prepare(
      "SELECT id, source, created_unix_s, broken_lines, notes, open, measured,"
      " method, coalesce(calibration, 0), layout,"
      " coalesce((SELECT first_row + rows FROM raw_chunk WHERE capture ="
      " capture.id ORDER BY first_row DESC LIMIT 1), 0)"
      " FROM capture ORDER BY id");
  if (!query) return tl::unexpected(query.error());
  std::vector<CaptureInfo> captures;
  for (auto row = query->Step();; row = query->Step()) {
    if (!row) return tl::unexpected(row.error());
    if (!*row) return captures;
    CaptureInfo info;
    info.id = query->Int(0);
    info.source = query->Text(1);
    info.created_unix_s = query->Real(2);
    info.broken_lines = static_cast<std::uint64_t>(query->Int(3));
    info.notes = query->Text(4);
    info.open = query->Int(5) != 0;
    info.measured = query->Int(6) != 0;
    info.method = query->Text(7);
    info.calibration = query->Int(8);
    auto layout = ParseLayoutText(query->Text(9));
    info.rows = static_cast<std::uint64_t>(query->Int(10));
    if (!layout) {
      return BadInput(impl_->path, "is damaged (capture " +
                                       std::to_string(info.id) +
                                       " has an unknown column)");
    }
    info.layout = std::move(*layout);
    captures.push_back(std::move(info));
  }
}

}  // namespace masseter
