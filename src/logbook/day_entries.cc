#include "logbook/day_entries.h"

#include "logbook/logbook_impl.h"

namespace masseter {
namespace {

Expected<bool> HasDayTable(Database& db) {
  const auto found = db.QueryInt(
      "SELECT count(*) FROM sqlite_schema WHERE name = 'day_entry'");
  if (!found) return tl::unexpected(found.error());
  return *found > 0;
}

Expected<void> InsertEntry(Database& db, const DayEntry& entry) {
  auto insert = db.Prepare(
      "INSERT INTO day_entry(kind, created_unix_s, capture, t_s, document)"
      " VALUES(?1, ?2, ?3, ?4, ?5)");
  if (!insert) return tl::unexpected(insert.error());
  insert->Bind(1, std::string_view(entry.kind)).Bind(2, entry.created_unix_s);
  if (entry.capture == 0) {
    insert->BindNull(3);
  } else {
    insert->Bind(3, entry.capture);
  }
  insert->Bind(4, entry.t_s).Bind(5, std::string_view(entry.document));
  return insert->Run();
}

}  // namespace

Expected<std::int64_t> Logbook::AddDayEntry(const DayEntry& entry) {
  std::int64_t id = 0;
  const auto insert = [](Impl& impl, const DayEntry& e) {
    return impl.Transact([&] { return InsertEntry(impl.db, e); });
  };
  if (impl_->most_waiting > 0 && impl_->depth == 0) {
    auto next = impl_->NextId("day_entry");
    if (!next) return next;
    id = *next;
  }
  auto done = impl_->Patiently(
      [impl = impl_.get(), entry, insert] { return insert(*impl, entry); },
      "day_entry");
  if (!done) return tl::unexpected(done.error());
  return impl_->later.empty() ? impl_->db.LastInsertId() : id;
}

Expected<std::vector<DayEntry>> Logbook::DayEntries() const {
  const auto has = HasDayTable(impl_->db);
  if (!has) return tl::unexpected(has.error());
  std::vector<DayEntry> out;
  if (!*has) return out;
  auto query = impl_->db.Prepare(
      "SELECT id, kind, created_unix_s, capture, t_s, document FROM day_entry"
      " ORDER BY id");
  if (!query) return tl::unexpected(query.error());
  for (auto row = query->Step();; row = query->Step()) {
    if (!row) return tl::unexpected(row.error());
    if (!*row) return out;
    DayEntry entry{query->Int(0), query->Text(1), query->Real(2), 0,
                   std::nullopt,  query->Text(5)};
    if (!query->IsNull(3)) entry.capture = query->Int(3);
    if (!query->IsNull(4)) entry.t_s = query->Real(4);
    out.push_back(std::move(entry));
  }
}

Expected<std::int64_t> Logbook::LastDayEntry() const {
  const auto has = HasDayTable(impl_->db);
  if (!has) return tl::unexpected(has.error());
  if (!*has) return 0;
  return impl_->db.QueryInt("SELECT coalesce(max(id), 0) FROM day_entry");
}

Expected<void> Logbook::RemoveMark(std::int64_t capture, const Mark& mark) {
  return impl_->Patiently([impl = impl_.get(), capture, mark] {
    return impl->Transact([&]() -> Expected<void> {
      auto find = impl->db.Prepare(
          "SELECT max(id) FROM mark WHERE capture = ?1 AND t_s = ?2"
          " AND dog = ?3");
      if (!find) return tl::unexpected(find.error());
      find->Bind(1, capture)
          .Bind(2, mark.t_s)
          .Bind(3, std::string_view(mark.dog));
      const auto row = find->Step();
      if (!row) return tl::unexpected(row.error());
      if (!*row || find->IsNull(0)) {
        return BadInput(impl->path, "holds no such mark");
      }
      auto remove = impl->db.Prepare("DELETE FROM mark WHERE id = ?1");
      if (!remove) return tl::unexpected(remove.error());
      return remove->Bind(1, find->Int(0)).Run();
    });
  });
}

Expected<void> Logbook::RemoveDog(const std::string& dog) {
  return impl_->Patiently([impl = impl_.get(), dog] {
    return impl->Transact([&]() -> Expected<void> {
      auto remove = impl->db.Prepare("DELETE FROM roster WHERE dog = ?1");
      if (!remove) return tl::unexpected(remove.error());
      return remove->Bind(1, std::string_view(dog)).Run();
    });
  });
}

Expected<void> Logbook::RedescribeBite(std::int64_t id,
                                       const std::string& document) {
  return impl_->Patiently([impl = impl_.get(), id, document] {
    return impl->Transact([&]() -> Expected<void> {
      auto update =
          impl->db.Prepare("UPDATE bite SET document = ?2 WHERE id = ?1");
      if (!update) return tl::unexpected(update.error());
      return update->Bind(1, id).Bind(2, std::string_view(document)).Run();
    });
  });
}

}  // namespace masseter
