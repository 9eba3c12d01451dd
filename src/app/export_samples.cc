// The table of samples: each row of a capture with its time and force.
#include <fmt/format.h>

#include <array>
#include <deque>
#include <limits>
#include <span>

#include "app/dog_files.h"
#include "app/export_tables.h"
#include "app/validity.h"
#include "core/bite/pipeline.h"
#include "core/signal/timeline.h"

namespace masseter {
namespace {

std::string_view BreakWord(Break before) {
  switch (before) {
    case Break::kGap:
      return "gap";
    case Break::kRestart:
      return "restart";
    case Break::kNone:
      break;
  }
  return "";
}

RawBlock RowOf(const RawBlock& block, std::size_t row) {
  RawBlock out;
  out.layout = block.layout;
  out.rows = 1;
  out.host_time_s = block.host_time_s;
  for (const RawColumn& column : block.columns) {
    out.columns.push_back(std::visit(
        [&](const auto& v) {
          return RawColumn(std::decay_t<decltype(v)>{v[row]});
        },
        column));
  }
  return out;
}

double ValueAt(const RawColumn& column, std::size_t row) {
  return std::visit([&](const auto& v) { return static_cast<double>(v[row]); },
                    column);
}

// Rows that wait for their zero: what was printed, and for each row its place
// on the time axis; nothing for a row that came late or twice.
struct WaitingBlock {
  RawBlock raw;
  SampleBlock samples;
  std::vector<bool> counts;
  std::size_t row = 0;     // the next to write
  std::size_t sample = 0;  // of these, samples
};

class SampleWriter {
 public:
  SampleWriter(const Book& book, const CaptureInfo& capture,
               const Calibration* calibration, bool live)
      : rig_(book.rig),
        layout_(capture.layout),
        live_(live),
        timeline_(book.rig),
        pipeline_(book.rig, calibration, Events()) {
    const ForceModel& model = pipeline_.model();
    newtons_ = model.in_newtons;
    gains_ = newtons_ && model.estimator.form != EstimatorForm::kCurve;
  }

  std::vector<CsvColumn> Columns() const {
    std::vector<CsvColumn> out = {
        {"row", "integer", "", "number of the row in its recording, from 0"},
        {"capture_s", "double", "s",
         "time from the first sample by the device's clock, wraps undone; "
         "empty for a row that came late or twice"}};
    if (live_) {
      out.push_back({"arrived_utc", "datetime", "",
                     "when it arrived, by the recording machine's clock"});
    }
    out.push_back({"before", "string", "",
                   "gap or restart between the row before and this one"});
    out.push_back({"clipped", "boolean", "",
                   "a channel stands at an end of its converter"});
    for (CsvColumn& c : RawColumns(rig_, layout_, whole_)) {
      out.push_back(std::move(c));
    }
    if (gains_) {
      for (const Channel& c : rig_.channels) {
        out.push_back({"force_" + c.name + "_n", "double", "N",
                       "the channel above its zero by its own gain; the "
                       "total is not their sum where the estimator corrects "
                       "for the place"});
      }
    }
    if (newtons_) {
      out.push_back({"force_n", "double", "N",
                     "total force above the zero that was followed then"});
    }
    return out;
  }

  void SeekZeroAt(double t_s) { pipeline_.SeekZeroAt(t_s); }

  void Push(const RawBlock& block, CsvFile& file) {
    NoteDecimals(block, whole_);
    waiting_.push_back(Placed(block));
    pipeline_.Push(block);
    Write(covered_, file);
  }

  void Finish(CsvFile& file) {
    pipeline_.Finish();
    // What is behind the last whole frame keeps the last zero.
    Write(std::numeric_limits<std::uint64_t>::max(), file);
  }

 private:
  struct Span {
    std::uint64_t end = 0;
    ChannelValues zero{};
  };

  PipelineEvents Events() {
    PipelineEvents events;
    events.on_zero = [this](std::uint64_t first, std::uint64_t count,
                            const ChannelValues& zero) {
      covered_ = first + count;
      zeros_.push_back({covered_, zero});
    };
    return events;
  }

  // On the time axis; row by row where some rows do not count.
  WaitingBlock Placed(const RawBlock& block) {
    WaitingBlock out;
    Timeline ahead = timeline_;
    ahead.Push(block, out.samples);
    if (out.samples.size() == block.rows) {
      timeline_ = std::move(ahead);
      out.counts.assign(block.rows, true);
    } else {
      out.samples = {};
      for (std::size_t i = 0; i < block.rows; ++i) {
        const std::size_t before = out.samples.size();
        timeline_.Push(RowOf(block, i), out.samples);
        out.counts.push_back(out.samples.size() > before);
      }
    }
    out.raw = block;
    return out;
  }

  void Write(std::uint64_t end, CsvFile& file) {
    while (!waiting_.empty()) {
      WaitingBlock& block = waiting_.front();
      for (; block.row < block.raw.rows; ++block.row) {
        const bool counts = block.counts[block.row];
        if (counts && sample_ >= end) return;
        WriteRow(block, counts, file);
        if (!counts) continue;
        ++block.sample;
        ++sample_;
      }
      waiting_.pop_front();
    }
  }

  void WriteRow(const WaitingBlock& block, bool counts, CsvFile& file) {
    file.Put(static_cast<std::int64_t>(row_++));
    if (counts) {
      file.Put(block.samples.t_s[block.sample]);
    } else {
      file.PutNothing();
    }
    if (live_) {
      const auto utc = UtcText(block.raw.host_time_s);
      file.Put(std::string_view(utc ? *utc : std::string()));
    }
    file.Put(
        BreakWord(counts ? block.samples.before[block.sample] : Break::kNone));
    ReadChannels(block.raw, block.row);
    file.Put(clipped_);
    for (const RawColumn& column : block.raw.columns) {
      PutRaw(column, block.row, file);
    }
    if (newtons_) PutForces(counts, file);
    file.EndRow();
  }

  void ReadChannels(const RawBlock& raw, std::size_t row) {
    values_.fill(0.0);
    clipped_ = false;
    for (std::size_t c = 0; c < raw.layout.size(); ++c) {
      if (raw.layout[c].role != Role::kChannel) continue;
      const auto k = static_cast<std::size_t>(raw.layout[c].channel);
      const double value = ValueAt(raw.columns[c], row);
      values_.at(k) = value;
      const Channel& channel = rig_.channels.at(k);
      clipped_ = clipped_ || (channel.adc_min && value <= *channel.adc_min) ||
                 (channel.adc_max && value >= *channel.adc_max);
    }
  }

  void PutForces(bool counts, CsvFile& file) {
    while (zeros_.size() > 1 && zeros_.front().end <= sample_) {
      zeros_.pop_front();
    }
    const std::size_t channels = rig_.channels.size();
    if (zeros_.empty() || !counts) {
      for (std::size_t k = 0; k < (gains_ ? channels : 0) + 1; ++k) {
        file.PutNothing();
      }
      return;
    }
    const Estimator& estimator = pipeline_.model().estimator;
    std::array<double, kMaxChannels> above{};
    for (std::size_t k = 0; k < channels; ++k) {
      above.at(k) = values_.at(k) - zeros_.front().zero.at(k);
      if (gains_) file.Put(estimator.gain.at(k) * above.at(k));
    }
    file.Put(estimator.Force(std::span(above).first(channels)));
  }

  const Rig& rig_;
  std::vector<ColumnRole> layout_;
  bool live_;
  Timeline timeline_;
  std::uint64_t covered_ = 0;  // samples whose zero is known
  std::deque<Span> zeros_;
  Pipeline pipeline_;
  bool newtons_ = false;
  bool gains_ = false;
  std::vector<bool> whole_;
  std::deque<WaitingBlock> waiting_;
  std::uint64_t row_ = 0;
  std::uint64_t sample_ = 0;
  ChannelValues values_{};
  bool clipped_ = false;
};

// Whether the host's clock came with the samples.
Expected<bool> IsLive(const Book& book, std::int64_t capture) {
  bool live = false;
  const auto read =
      book.logbook.ReadRawRange(capture, 0, 0, [&](const RawBlock& block) {
        live = block.host_time_s > 0.0;
        return false;
      });
  if (!read) return tl::unexpected(read.error());
  return live;
}

}  // namespace

Expected<WrittenTable> WriteSamples(const Book& book,
                                    const CaptureInfo& capture,
                                    const std::string& folder,
                                    const ExportStep& step) {
  const auto in_force = CalibrationFor(book.logbook, capture);
  if (!in_force) return tl::unexpected(in_force.error());
  const auto marks = book.logbook.Marks(capture.id);
  if (!marks) return tl::unexpected(marks.error());
  const auto live = IsLive(book, capture.id);
  if (!live) return tl::unexpected(live.error());
  auto comments =
      ExportComments(book, fmt::format("samples of recording {} from {}",
                                       capture.id, capture.source));
  comments.push_back(in_force->id == 0
                         ? "calibration: none"
                         : fmt::format("calibration: {}", in_force->id));
  SampleWriter writer(book, capture, in_force->OrNull(), *live);
  for (const Mark& mark : *marks) {
    if (mark.dog == kZeroMark) writer.SeekZeroAt(mark.t_s);
  }
  const std::string name = fmt::format("samples-{}.csv", capture.id);
  auto file = CsvFile::Create(folder + "/" + name, comments, writer.Columns());
  if (!file) return tl::unexpected(file.error());
  const auto read =
      book.logbook.ReadRaw(capture.id, [&](const RawBlock& block) {
        writer.Push(block, *file);
        return step(file->rows(), file->bytes());
      });
  if (!read) return tl::unexpected(read.error());
  writer.Finish(*file);
  if (auto ok = file->Close(); !ok) return tl::unexpected(ok.error());
  return WrittenTable{{name, fmt::format("Samples of recording {}", capture.id),
                       comments.size(), writer.Columns(), "row"},
                      file->rows(),
                      file->bytes()};
}

}  // namespace masseter
