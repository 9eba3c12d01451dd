#include "app/record.h"

#include <unistd.h>

#include "app/book.h"
#include "app/record_session.h"
#include "device/source.h"

namespace masseter {

Expected<RecordAnswer> Record(const RecordRequest& request, LiveHub& hub) {
  if (request.sources.empty()) {
    return BadInput("--from",
                    "name a source, as in --from serial:/dev/ttyUSB0");
  }
  for (const std::string& text : request.sources) {
    const auto name = ParseSourceName(text);
    if (!name) return tl::unexpected(name.error());
    if (name->kind == SourceName::Kind::kFile &&
        ::access(name->path.c_str(), F_OK) != 0) {
      return BadInput(name->path, "no such file");
    }
  }
  auto book = OpenBook(request.book_path, Access::kRecord);
  if (!book) return tl::unexpected(book.error());
  return RecordSession(*book, request, hub).Run();
}

}  // namespace masseter
