// What waits in memory while the disk refuses.
#include "logbook/logbook_impl.h"

namespace masseter {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::chrono::seconds kTryAgain{1};

}  // namespace

void Logbook::BePatient(std::size_t most_bytes) {
  impl_->most_waiting = most_bytes;
}

Expected<void> Logbook::Patiently(std::function<Expected<void>()> change) {
  return impl_->Patiently(std::move(change));
}

Expected<void> Logbook::Settle() {
  auto done = impl_->TryAll();
  if (!done) impl_->Refused(done.error());
  return done;
}

Waiting Logbook::waiting() const {
  const Impl& impl = *impl_;
  Waiting out;
  out.why = impl.refused;
  out.bytes = impl.ready_bytes;
  for (const ChunkRow& row : impl.ready) out.samples += row.rows;
  for (const auto& [capture, builder] : impl.builders) {
    out.samples += builder.chunk().block.rows;
  }
  out.changes = impl.later.size();
  out.stored = impl.stored_rows;
  out.stored_unix_s = impl.stored_unix_s;
  if (impl.refused) {
    out.for_s = std::chrono::duration<double>(Clock::now() - impl.refused_since)
                    .count();
  }
  return out;
}

Expected<void> Logbook::Impl::TryAll() {
  if (auto stored = StoreAll(); !stored) return stored;
  if (auto run = RunLater(); !run) return run;
  refused.reset();
  return {};
}

Expected<void> Logbook::Impl::StorePending() {
  if (most_waiting == 0 || depth > 0) return StoreAll();
  if (refused && Clock::now() < next_try) return TooMuch();
  auto done = TryAll();
  if (done || done.error().kind != ErrorKind::kMachine) return done;
  Refused(done.error());
  return TooMuch();
}

Expected<void> Logbook::Impl::Patiently(std::function<Expected<void>()> change,
                                        std::string_view table) {
  if (most_waiting == 0 || depth > 0) return change();
  if (!refused) {
    auto done = change();
    if (done || done.error().kind != ErrorKind::kMachine) return done;
    Refused(done.error());
  }
  later.push_back({std::move(change), table});
  return {};
}

Expected<void> Logbook::Impl::RunLater() {
  while (!later.empty()) {
    auto done = later.front().run();
    if (!done && done.error().kind == ErrorKind::kMachine) return done;
    // One that can never be stored does not hold up the others.
    later.pop_front();
    if (!done) return done;
  }
  return {};
}

void Logbook::Impl::Refused(const Error& error) {
  if (!refused) refused_since = Clock::now();
  refused = error;
  next_try = Clock::now() + kTryAgain;
}

Expected<void> Logbook::Impl::TooMuch() const {
  if (ready_bytes <= most_waiting) return {};
  return tl::unexpected(*refused);
}

Expected<std::int64_t> Logbook::Impl::NextId(std::string_view table) {
  auto query = db.Prepare("SELECT seq FROM sqlite_sequence WHERE name = ?1");
  if (!query) return tl::unexpected(query.error());
  const auto row = query->Bind(1, table).Step();
  if (!row) return tl::unexpected(row.error());
  std::int64_t next = (*row ? query->Int(0) : 0) + 1;
  for (const Change& change : later) {
    if (change.table == table) ++next;
  }
  return next;
}

}  // namespace masseter
