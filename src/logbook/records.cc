// The rig, calibrations, dogs and bites of a logbook.
#include <algorithm>
#include <numeric>

#include "logbook/logbook_impl.h"

namespace masseter {
namespace {

// Runs `query` to its end and turns each row into a T.
template <class T, class Read>
Expected<std::vector<T>> Collect(Expected<Statement> query, Read read) {
  if (!query) return tl::unexpected(query.error());
  std::vector<T> out;
  for (auto row = query->Step();; row = query->Step()) {
    if (!row) return tl::unexpected(row.error());
    if (!*row) return out;
    out.push_back(read(*query));
  }
}

Expected<std::vector<BiteRecord>> BitesOf(Database& db, std::int64_t capture) {
  auto query = db.Prepare(
      "SELECT id, start_s, end_s FROM bite WHERE capture = ?1"
      " ORDER BY start_s, id");
  if (query) query->Bind(1, capture);
  return Collect<BiteRecord>(std::move(query), [&](const Statement& row) {
    return BiteRecord{row.Int(0), capture, row.Real(1), row.Real(2), ""};
  });
}

// For each new bite the number of the old one that it overlaps, 0 for none.
// Both are taken in order of appearance and each number goes out once.
std::vector<std::int64_t> MatchNumbers(const std::vector<BiteRecord>& old,
                                       const std::vector<BiteRecord>& bites) {
  std::vector<std::size_t> order(bites.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](auto a, auto b) {
    return bites[a].start_s < bites[b].start_s;
  });
  std::vector<std::int64_t> numbers(bites.size(), 0);
  std::size_t next = 0;
  for (const std::size_t i : order) {
    while (next < old.size() && old[next].end_s < bites[i].start_s) ++next;
    if (next < old.size() && old[next].start_s <= bites[i].end_s) {
      numbers[i] = old[next++].id;
    }
  }
  return numbers;
}

// Inserts `bite` under `id`, or under a number never used before for 0.
Expected<std::int64_t> InsertBite(Database& db, const BiteRecord& bite,
                                  std::int64_t id, std::int64_t capture) {
  auto insert = db.Prepare(
      "INSERT INTO bite(id, capture, start_s, end_s, document)"
      " VALUES(?1, ?2, ?3, ?4, ?5)");
  if (!insert) return tl::unexpected(insert.error());
  if (id > 0) {
    insert->Bind(1, id);
  } else {
    insert->BindNull(1);
  }
  insert->Bind(2, capture)
      .Bind(3, bite.start_s)
      .Bind(4, bite.end_s)
      .Bind(5, std::string_view(bite.document));
  if (auto run = insert->Run(); !run) return tl::unexpected(run.error());
  return db.LastInsertId();
}

Expected<void> DeleteBites(Database& db, std::int64_t capture) {
  auto clear = db.Prepare("DELETE FROM bite WHERE capture = ?1");
  if (!clear) return tl::unexpected(clear.error());
  return clear->Bind(1, capture).Run();
}

Expected<void> NoteMeasuredBy(Database& db, std::int64_t capture,
                              const std::string& method,
                              std::int64_t calibration) {
  auto update = db.Prepare(
      "UPDATE capture SET measured = 1, method = ?2, calibration = ?3"
      " WHERE id = ?1");
  if (!update) return tl::unexpected(update.error());
  update->Bind(1, capture).Bind(2, std::string_view(method));
  if (calibration == 0) {
    update->BindNull(3);
  } else {
    update->Bind(3, calibration);
  }
  return update->Run();
}

BiteRecord BiteOf(const Statement& row) {
  return {row.Int(0), row.Int(1), row.Real(2), row.Real(3), row.Text(4)};
}

Expected<void> CheckCalibrationExists(Database& db, std::int64_t calibration) {
  if (calibration == 0) return {};
  auto query = db.Prepare("SELECT 1 FROM calibration WHERE id = ?1");
  if (!query) return tl::unexpected(query.error());
  const auto row = query->Bind(1, calibration).Step();
  if (!row) return tl::unexpected(row.error());
  if (*row) return {};
  return BadInput(db.path(), "calibration " + std::to_string(calibration) +
                                 " is not in this logbook");
}

Expected<void> PutDog(Database& db, const RosterEntry& entry) {
  auto put = db.Prepare(
      "INSERT INTO roster(dog, breed, mass_kg) VALUES(?1, ?2, ?3)"
      " ON CONFLICT(dog) DO UPDATE SET breed = ?2, mass_kg = ?3");
  if (!put) return tl::unexpected(put.error());
  return put->Bind(1, std::string_view(entry.dog))
      .Bind(2, std::string_view(entry.breed))
      .Bind(3, entry.mass_kg)
      .Run();
}

}  // namespace

Expected<std::string> Logbook::RigToml() const {
  auto query =
      impl_->db.Prepare("SELECT toml FROM rig ORDER BY revision DESC LIMIT 1");
  if (!query) return tl::unexpected(query.error());
  const auto row = query->Step();
  if (!row) return tl::unexpected(row.error());
  if (!*row) return BadInput(impl_->path, "is damaged (it has no rig)");
  return query->Text(0);
}

Expected<int> Logbook::RigRevision() const {
  const auto revision = impl_->db.QueryInt("SELECT max(revision) FROM rig");
  if (!revision) return tl::unexpected(revision.error());
  return static_cast<int>(*revision);
}

Expected<std::int64_t> Logbook::AddCalibration(
    const CalibrationRecord& record) {
  std::int64_t id = 0;
  auto done = impl_->Transact([&]() -> Expected<void> {
    auto insert = impl_->db.Prepare(
        "INSERT INTO calibration(created_unix_s, document, readings)"
        " VALUES(?1, ?2, ?3)");
    if (!insert) return tl::unexpected(insert.error());
    insert->Bind(1, record.created_unix_s)
        .Bind(2, std::string_view(record.document))
        .Bind(3, std::string_view(record.readings));
    auto run = insert->Run();
    id = impl_->db.LastInsertId();
    return run;
  });
  if (!done) return tl::unexpected(done.error());
  return id;
}

Expected<std::vector<CalibrationRecord>> Logbook::Calibrations() const {
  return Collect<CalibrationRecord>(
      impl_->db.Prepare("SELECT id, created_unix_s, document, readings"
                        " FROM calibration ORDER BY id"),
      [](const Statement& row) {
        return CalibrationRecord{row.Int(0), row.Real(1), row.Text(2),
                                 row.Text(3)};
      });
}

Expected<void> Logbook::PutRoster(const std::vector<RosterEntry>& entries) {
  return impl_->Patiently([impl = impl_.get(), entries] {
    return impl->Transact([&]() -> Expected<void> {
      for (const RosterEntry& entry : entries) {
        if (auto put = PutDog(impl->db, entry); !put) return put;
      }
      return {};
    });
  });
}

Expected<std::vector<RosterEntry>> Logbook::Roster() const {
  return Collect<RosterEntry>(
      impl_->db.Prepare(
          "SELECT dog, breed, mass_kg FROM roster ORDER BY rowid"),
      [](const Statement& row) {
        RosterEntry entry{row.Text(0), row.Text(1), std::nullopt};
        if (!row.IsNull(2)) entry.mass_kg = row.Real(2);
        return entry;
      });
}

Expected<void> Logbook::AddMark(std::int64_t capture, const Mark& mark) {
  return impl_->Patiently([impl = impl_.get(), capture, mark] {
    return impl->Transact([&]() -> Expected<void> {
      if (auto exists = CheckCaptureExists(impl->db, capture); !exists) {
        return exists;
      }
      auto insert = impl->db.Prepare(
          "INSERT INTO mark(capture, t_s, dog) VALUES(?1, ?2, ?3)");
      if (!insert) return tl::unexpected(insert.error());
      return insert->Bind(1, capture)
          .Bind(2, mark.t_s)
          .Bind(3, std::string_view(mark.dog))
          .Run();
    });
  });
}

Expected<std::vector<Mark>> Logbook::Marks(std::int64_t capture) const {
  auto query = impl_->db.Prepare(
      "SELECT t_s, dog FROM mark WHERE capture = ?1 ORDER BY t_s, id");
  if (query) query->Bind(1, capture);
  return Collect<Mark>(std::move(query), [](const Statement& row) {
    return Mark{row.Real(0), row.Text(1)};
  });
}

Expected<std::vector<std::int64_t>> Logbook::ReplaceBites(
    std::int64_t capture, const std::vector<BiteRecord>& bites,
    const std::string& method, std::int64_t calibration) {
  Database& db = impl_->db;
  std::vector<std::int64_t> ids;
  auto done = impl_->Transact([&]() -> Expected<void> {
    if (auto known = CheckCaptureExists(db, capture); !known) return known;
    if (auto known = CheckCalibrationExists(db, calibration); !known) {
      return known;
    }
    const auto old = BitesOf(db, capture);
    if (!old) return tl::unexpected(old.error());
    if (auto gone = DeleteBites(db, capture); !gone) return gone;
    ids = MatchNumbers(*old, bites);
    for (std::size_t i = 0; i < bites.size(); ++i) {
      const auto id = InsertBite(db, bites[i], ids[i], capture);
      if (!id) return tl::unexpected(id.error());
      ids[i] = *id;
    }
    return NoteMeasuredBy(db, capture, method, calibration);
  });
  if (!done) return tl::unexpected(done.error());
  return ids;
}

Expected<std::int64_t> Logbook::AddBite(const BiteRecord& bite) {
  std::int64_t id = 0;
  if (impl_->most_waiting > 0 && impl_->depth == 0) {
    auto next = impl_->NextId("bite");
    if (!next) return next;
    id = *next;
  }
  auto done = impl_->Patiently(
      [impl = impl_.get(), bite] {
        return impl->TransactDerived([&]() -> Expected<void> {
          if (auto known = CheckCaptureExists(impl->db, bite.capture); !known) {
            return known;
          }
          const auto added = InsertBite(impl->db, bite, 0, bite.capture);
          if (!added) return tl::unexpected(added.error());
          return {};
        });
      },
      "bite");
  if (!done) return tl::unexpected(done.error());
  return impl_->later.empty() ? impl_->db.LastInsertId() : id;
}

Expected<std::vector<BiteRecord>> Logbook::Bites() const {
  return Collect<BiteRecord>(
      impl_->db.Prepare("SELECT id, capture, start_s, end_s, document"
                        " FROM bite ORDER BY capture, start_s, id"),
      BiteOf);
}

Expected<void> Logbook::ReadBites(
    std::int64_t capture, double from_s,
    const std::function<bool(const BiteRecord&)>& visit) const {
  auto query = impl_->db.Prepare(
      "SELECT id, capture, start_s, end_s, document FROM bite"
      " WHERE capture = ?1 AND end_s >= ?2 ORDER BY start_s, id");
  if (!query) return tl::unexpected(query.error());
  query->Bind(1, capture).Bind(2, from_s);
  for (auto row = query->Step();; row = query->Step()) {
    if (!row) return tl::unexpected(row.error());
    if (!*row || !visit(BiteOf(*query))) return {};
  }
}

Expected<std::optional<BiteRecord>> Logbook::FindBite(std::int64_t id) const {
  auto query = impl_->db.Prepare(
      "SELECT id, capture, start_s, end_s, document FROM bite WHERE id = ?1");
  if (!query) return tl::unexpected(query.error());
  const auto row = query->Bind(1, id).Step();
  if (!row) return tl::unexpected(row.error());
  if (!*row) return std::nullopt;
  return BiteOf(*query);
}

Expected<void> Logbook::NoteMeasured(std::int64_t capture,
                                     const std::string& method,
                                     std::int64_t calibration) {
  return impl_->Transact([&]() -> Expected<void> {
    if (auto known = CheckCaptureExists(impl_->db, capture); !known) {
      return known;
    }
    if (auto known = CheckCalibrationExists(impl_->db, calibration); !known) {
      return known;
    }
    return NoteMeasuredBy(impl_->db, capture, method, calibration);
  });
}

}  // namespace masseter
