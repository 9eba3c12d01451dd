#include "app/bite_list.h"

#include <map>

#include "app/capture_notes.h"
#include "app/day_words.h"
#include "app/file_io.h"
#include "app/measure_capture.h"

namespace masseter {

Expected<std::vector<StoredBite>> ListBites(const std::string& book_path) {
  if (auto ok = MeasureWhatIsLeft(book_path); !ok) {
    return tl::unexpected(ok.error());
  }
  const auto logbook = Logbook::Open(book_path, Access::kRead);
  if (!logbook) return tl::unexpected(logbook.error());
  const auto records = logbook->Bites();
  if (!records) return tl::unexpected(records.error());
  const auto words = ReadDayWords(*logbook, NowUnixS());
  if (!words) return tl::unexpected(words.error());
  const auto captures = logbook->Captures();
  if (!captures) return tl::unexpected(captures.error());
  std::map<std::int64_t, JoinedClocks> clocks;
  for (const CaptureInfo& info : *captures) {
    const auto joined = ParseNotes(info.notes).clocks;
    if (joined) clocks.emplace(info.id, *joined);
  }
  std::vector<StoredBite> out;
  for (const BiteRecord& record : *records) {
    auto bite = ParseBiteDocument(record.document, record.id);
    if (!bite) return tl::unexpected(bite.error());
    LayOver(*words, bite->bite);
    const auto joined = clocks.find(record.capture);
    if (joined != clocks.end()) {
      bite->start_unix_s = joined->second.HostAt(bite->bite.start_s);
    }
    out.push_back(std::move(*bite));
  }
  return out;
}

Expected<void> VisitBites(const Logbook& logbook, std::int64_t capture,
                          double from_s,
                          const std::function<void(const StoredBite&)>& visit) {
  std::optional<Error> unreadable;
  const auto read =
      logbook.ReadBites(capture, from_s, [&](const BiteRecord& record) {
        const auto stored = ParseBiteDocument(record.document, record.id);
        if (!stored) {
          unreadable = stored.error();
          return false;
        }
        visit(*stored);
        return true;
      });
  if (read && unreadable) return tl::unexpected(*unreadable);
  return read;
}

Expected<std::optional<StoredBite>> FindStoredBite(const Logbook& logbook,
                                                   std::int64_t id) {
  const auto record = logbook.FindBite(id);
  if (!record) return tl::unexpected(record.error());
  if (!*record) return std::nullopt;
  auto stored = ParseBiteDocument((*record)->document, id);
  if (!stored) return tl::unexpected(stored.error());
  return std::move(*stored);
}

}  // namespace masseter
