// Folders, blocks and random values that the logbook's tests share.
#ifndef MASSETER_LOGBOOK_TEST_FILES_H_
#define MASSETER_LOGBOOK_TEST_FILES_H_

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <random>
#include <string>
#include <vector>

#include "core/signal/raw_block.h"

#if defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define MASSETER_RUN_TIME_CHECKS 1
#endif
#endif

namespace masseter {

// How often a test draws: `all` times, and a tenth of that in a build whose
// run-time checks make each time some thirty times as long. What such a build
// looks for, a tenth meets as well; what the test proves, the plain build does.
#ifdef MASSETER_RUN_TIME_CHECKS
constexpr std::size_t Times(std::size_t all) { return all / 10; }
#else
constexpr std::size_t Times(std::size_t all) { return all; }
#endif

// A new empty folder that goes with the object.
class TestFolder {
 public:
  TestFolder();
  TestFolder(const TestFolder&) = delete;
  TestFolder& operator=(const TestFolder&) = delete;
  ~TestFolder();

  std::string File(const std::string& name) const {
    return (folder_ / name).string();
  }
  // Names of what the folder holds, sorted.
  std::vector<std::string> Names() const;
  const std::filesystem::path& path() const { return folder_; }

 private:
  std::filesystem::path folder_;
};

std::string ReadBytes(const std::string& path);
void WriteBytes(const std::string& path, const std::string& bytes);

// Sequence, microseconds and one channel: rows first .. first + rows - 1 of a
// 1 kHz device whose channel reads 10 times the row.
RawBlock SteadyBlock(std::int64_t first, std::size_t rows,
                     double host_time_s = 0.0);

// A block of any shape: extremes of int64, every kind of double (-0.0, NaN
// with payload, infinities, subnormals, decimals), smooth and wild columns.
RawBlock RandomBlock(std::mt19937_64& random, std::size_t max_rows);

// Equal in every bit, so that NaN equals itself and 0.0 differs from -0.0.
bool SameBits(const RawBlock& a, const RawBlock& b);

// `b` added behind `a`; both of one shape.
void Concatenate(RawBlock& a, const RawBlock& b);

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_TEST_FILES_H_
