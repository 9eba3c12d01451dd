#include "logbook/bench_entries.h"

#include "logbook/logbook_impl.h"

namespace masseter {

Expected<std::int64_t> Logbook::AddBenchEntry(const BenchEntry& entry) {
  std::int64_t id = 0;
  auto done = impl_->Transact([&]() -> Expected<void> {
    auto insert = impl_->db.Prepare(
        "INSERT INTO bench_entry(kind, created_unix_s, document)"
        " VALUES(?1, ?2, ?3)");
    if (!insert) return tl::unexpected(insert.error());
    insert->Bind(1, std::string_view(entry.kind))
        .Bind(2, entry.created_unix_s)
        .Bind(3, std::string_view(entry.document));
    auto run = insert->Run();
    id = impl_->db.LastInsertId();
    return run;
  });
  if (!done) return tl::unexpected(done.error());
  return id;
}

Expected<std::vector<BenchEntry>> Logbook::BenchEntries(
    const std::string& kind) const {
  auto query = impl_->db.Prepare(
      "SELECT id, kind, created_unix_s, document FROM bench_entry"
      " WHERE ?1 = '' OR kind = ?1 ORDER BY id");
  if (!query) return tl::unexpected(query.error());
  query->Bind(1, std::string_view(kind));
  std::vector<BenchEntry> out;
  for (auto row = query->Step();; row = query->Step()) {
    if (!row) return tl::unexpected(row.error());
    if (!*row) return out;
    out.push_back(
        {query->Int(0), query->Text(1), query->Real(2), query->Text(3)});
  }
}

Expected<void> Logbook::MeasureAnewLater() {
  return impl_->Transact([&]() -> Expected<void> {
    return impl_->db.Execute("UPDATE capture SET measured = 0 WHERE open = 0");
  });
}

}  // namespace masseter
