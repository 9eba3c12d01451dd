#include "app/bite_list.h"

#include "app/measure_capture.h"
#include "logbook/logbook.h"

namespace masseter {

Expected<std::vector<StoredBite>> ListBites(const std::string& book_path) {
  if (auto ok = MeasureWhatIsLeft(book_path); !ok) {
    return tl::unexpected(ok.error());
  }
  const auto logbook = Logbook::Open(book_path, Access::kRead);
  if (!logbook) return tl::unexpected(logbook.error());
  const auto records = logbook->Bites();
  if (!records) return tl::unexpected(records.error());
  std::vector<StoredBite> out;
  for (const BiteRecord& record : *records) {
    auto bite = ParseBiteDocument(record.document, record.id);
    if (!bite) return tl::unexpected(bite.error());
    out.push_back(std::move(*bite));
  }
  return out;
}

}  // namespace masseter
