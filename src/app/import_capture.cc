#include "app/import_capture.h"

#include <thread>
#include <utility>
#include <vector>

#include "app/bite_json.h"
#include "app/bite_spark.h"
#include "app/block_queue.h"
#include "app/book.h"
#include "app/companions.h"
#include "app/file_io.h"
#include "app/measure_capture.h"
#include "app/pipeline_worker.h"
#include "app/validity.h"
#include "core/bite/pipeline.h"
#include "device/device_intake.h"

namespace masseter {
namespace {

constexpr std::size_t kBlockRows = 4096;

// Everything of one import that happens inside the transaction.
class Importer {
 public:
  Importer(Book& book, const ImportRequest& request, Companions companions)
      : book_(book), request_(request), companions_(std::move(companions)) {}

  Expected<ImportAnswer> Run() {
    const auto done = book_.logbook.Transact([this] { return Store(); });
    if (!done) return tl::unexpected(done.error());
    return answer_;
  }

 private:
  Expected<void> Store() {
    CaptureInfo info;
    info.source = FileName(request_.capture_path);
    info.created_unix_s = NowUnixS();
    const auto id = book_.logbook.BeginCapture(info);
    if (!id) return tl::unexpected(id.error());
    answer_.capture = *id;
    if (!companions_.roster.empty()) {
      if (auto ok = book_.logbook.PutRoster(companions_.roster); !ok) return ok;
    }
    for (const Mark& mark : companions_.marks) {
      if (auto ok = book_.logbook.AddMark(*id, mark); !ok) return ok;
    }
    if (auto ok = Date(info); !ok) return ok;
    if (auto ok = ReadSamples(); !ok) return ok;
    return Close(std::move(info));
  }

  // The newest calibration is the one in force now.
  Expected<void> Date(const CaptureInfo& info) {
    info_ = info;
    const auto in_force = CalibrationFor(book_.logbook, info);
    if (!in_force) return tl::unexpected(in_force.error());
    auto validity = ValidityOf(book_.logbook, *in_force);
    if (!validity) return tl::unexpected(validity.error());
    validity_ = std::move(*validity);
    return {};
  }

  // On a thread of its own, beside the pipeline's and that of the logbook.
  Expected<void> ReadFile(DeviceIntake& intake) const {
    auto read = ReadPieces(
        request_.capture_path,
        [&](std::span<const char> piece) { return intake.Push(piece); },
        request_.progress);
    if (read) read = intake.Finish();
    if (read) return {};
    Error error = read.error();
    // The intake knows the line, this place knows the file.
    if (error.where.empty() || error.where.front() == ':') {
      error.where = request_.capture_path + error.where;
    }
    return tl::unexpected(std::move(error));
  }

  Expected<void> StoreBlocks(BlockQueue& queue, PipelineWorker& worker) {
    while (auto block = queue.Take()) {
      if (auto ok = book_.logbook.Append(answer_.capture, *block); !ok) {
        queue.GiveUp();
        return ok;
      }
      worker.Push(std::move(*block));
    }
    return {};
  }

  Expected<void> ReadSamples() {
    PipelineEvents events;
    events.on_bite = [this](MeasuredBite&& b) {
      NameDog(companions_.marks, b.bite);
      DateBite(validity_, info_, b.bite);
      const Provenance provenance{answer_.capture, book_.calibration_id,
                                  book_.rig_revision, kMethodVersion};
      records_.push_back({0, answer_.capture, b.bite.start_s, b.bite.end_s,
                          BiteDocument(b.bite, provenance, SparkOf(b))});
    };
    Pipeline pipeline(book_.rig, book_.CalibrationOrNull(), events);
    PipelineWorker worker(pipeline);
    BlockQueue queue;
    DeviceIntake intake(book_.rig, kBlockRows,
                        [&](const RawBlock& block) -> Expected<void> {
                          if (queue.Put(block)) return {};
                          return MachineFailure("", "the import was given up");
                        });
    Expected<void> read;
    std::thread reader([&] {
      read = ReadFile(intake);
      queue.End();
    });
    Expected<void> stored = StoreBlocks(queue, worker);
    reader.join();
    if (!stored) return stored;
    if (!read) return read;
    if (intake.report().rows == 0) {
      return BadInput(request_.capture_path, "holds no sample");
    }
    worker.Finish();
    answer_.samples = pipeline.timeline().samples;
    answer_.broken_lines = intake.report().broken;
    answer_.notes = NotesFrom(intake.report(), pipeline.timeline(),
                              book_.rig.sample_rate_hz);
    return {};
  }

  Expected<void> Close(CaptureInfo info) {
    info.broken_lines = answer_.broken_lines;
    info.notes = NotesDocument(answer_.notes);
    if (auto ok = book_.logbook.FinishCapture(answer_.capture, info); !ok) {
      return ok;
    }
    const auto ids = book_.logbook.ReplaceBites(
        answer_.capture, records_, kMethodVersion, book_.calibration_id);
    if (!ids) return tl::unexpected(ids.error());
    answer_.bites = ids->size();
    return {};
  }

  Book& book_;
  const ImportRequest& request_;
  Companions companions_;
  ImportAnswer answer_;
  CaptureInfo info_;
  std::optional<Validity> validity_;
  std::vector<BiteRecord> records_;
};

}  // namespace

Expected<ImportAnswer> ImportCapture(const ImportRequest& request) {
  auto companions =
      ReadCompanions(request.roster_path, request.marks_path, request.dog);
  if (!companions) return tl::unexpected(companions.error());
  auto book = OpenBook(request.book_path, Access::kRecord);
  if (!book) return tl::unexpected(book.error());
  if (auto ok = book->logbook.ExpectMuch(); !ok) {
    return tl::unexpected(ok.error());
  }
  return Importer(*book, request, std::move(*companions)).Run();
}

}  // namespace masseter
