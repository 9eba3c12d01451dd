// Files for the use cases: whole texts in, whole texts out.
#ifndef MASSETER_APP_FILE_IO_H_
#define MASSETER_APP_FILE_IO_H_

#include <functional>
#include <span>
#include <string>
#include <string_view>

#include "core/base/error.h"

namespace masseter {

// The file's text; refuses files above 64 MiB, folders and files that are not
// there, each in a sentence.
Expected<std::string> ReadText(const std::string& path);

// Reads a file of any size in pieces of up to 256 KiB. `progress` (may be
// empty) is told the bytes read so far and the file's size (0 if unknown).
Expected<void> ReadPieces(
    const std::string& path,
    const std::function<Expected<void>(std::span<const char>)>& take,
    const std::function<void(std::uint64_t, std::uint64_t)>& progress);

// Why nothing could be made at `path`, by errno: there is no folder for it
// (then the call is wrong), or what else the machine says.
Error CannotMake(const std::string& path);

// Writes the whole file or nothing: a temporary name beside it, then renamed.
Expected<void> WriteText(const std::string& path, std::string_view text);

// Whether both paths lead to one file; false where one of them leads nowhere.
bool SameFile(const std::string& a, const std::string& b);

// The last part of a path.
std::string FileName(const std::string& path);

// Host clock, seconds since the Unix epoch.
double NowUnixS();
// "2026-05-16 14:07" in the machine's own time zone; "" for 0.
std::string LocalTime(double unix_s);
// "14:07:31"; "" for 0.
std::string LocalClock(double unix_s);

}  // namespace masseter

#endif  // MASSETER_APP_FILE_IO_H_
