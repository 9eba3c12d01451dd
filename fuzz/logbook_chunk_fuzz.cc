// Any bytes as the content of a raw chunk: refused or read, never more memory
// than a chunk may have; and what was read is written and read again the same.
#include <cstdint>
#include <cstdlib>
#include <span>

#include "logbook/chunk_codec.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  using masseter::Bytes;
  const auto chunk = masseter::ReadContent(std::span(data, size));
  if (!chunk) return 0;
  // The input may use another order or width than the writer would, so the
  // comparison is between two writings.
  Bytes once;
  masseter::WriteContent(*chunk, once);
  const auto again = masseter::ReadContent(once);
  if (!again) std::abort();
  Bytes twice;
  masseter::WriteContent(*again, twice);
  if (once != twice) std::abort();
  return 0;
}
