#include "app/inspect_capture.h"

#include <algorithm>
#include <charconv>
#include <optional>
#include <span>

#include "app/book.h"
#include "app/file_io.h"
#include "device/device_intake.h"

namespace masseter {
namespace {

constexpr std::size_t kBlockRows = 4096;

Expected<CaptureHealth> InspectStored(const Book& book, std::int64_t id) {
  const auto captures = book.logbook.Captures();
  if (!captures) return tl::unexpected(captures.error());
  const auto it =
      std::find_if(captures->begin(), captures->end(),
                   [id](const CaptureInfo& c) { return c.id == id; });
  if (it == captures->end()) {
    return BadInput("", "the logbook holds no recording " + std::to_string(id) +
                            "; masseter status lists them");
  }
  HealthMeter meter(book.rig, book.CalibrationOrNull());
  const auto read = book.logbook.ReadRaw(id, [&](const RawBlock& block) {
    meter.Push(block);
    return true;
  });
  if (!read) return tl::unexpected(read.error());
  return meter.Finish(it->broken_lines);
}

Expected<CaptureHealth> InspectFile(const Book& book, const std::string& path) {
  HealthMeter meter(book.rig, book.CalibrationOrNull());
  DeviceIntake intake(book.rig, kBlockRows,
                      [&](const RawBlock& block) -> Expected<void> {
                        meter.Push(block);
                        return {};
                      });
  auto read = ReadPieces(
      path, [&](std::span<const char> piece) { return intake.Push(piece); },
      {});
  if (read) read = intake.Finish();
  if (!read) {
    Error error = read.error();
    if (error.where.empty() || error.where.front() == ':') {
      error.where = path + error.where;
    }
    return tl::unexpected(std::move(error));
  }
  if (intake.report().rows == 0) return BadInput(path, "holds no sample");
  return meter.Finish(intake.report().broken);
}

// A recording's number; nullopt for a path.
std::optional<std::int64_t> NumberOf(const std::string& capture) {
  std::int64_t id = 0;
  const char* end = capture.data() + capture.size();
  const auto number = std::from_chars(capture.data(), end, id);
  if (number.ec != std::errc() || number.ptr != end) return std::nullopt;
  return id;
}

}  // namespace

Expected<HealthModel> InspectCapture(const std::string& book_path,
                                     const std::string& capture) {
  const auto book = OpenBook(book_path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const auto id = NumberOf(capture);
  auto health = id ? InspectStored(*book, *id) : InspectFile(*book, capture);
  if (!health) return tl::unexpected(health.error());
  HealthModel model;
  model.title = book->rig.name;
  model.capture = id ? "Recording " + capture : FileName(capture);
  model.created = LocalTime(NowUnixS());
  model.health = std::move(*health);
  return model;
}

Expected<void> WriteHealth(const HealthModel& model,
                           const std::string& book_path,
                           const std::string& capture,
                           const std::string& out_path) {
  if (SameFile(book_path, out_path)) {
    return BadInput(out_path, "is the logbook; name another file with -o");
  }
  if (!NumberOf(capture) && SameFile(capture, out_path)) {
    return BadInput(out_path, "is the capture; name another file with -o");
  }
  return WriteText(out_path, HealthHtml(model));
}

}  // namespace masseter
