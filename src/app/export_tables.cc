// The tables of bites and of what the devices printed.
#include "app/export_tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "app/file_io.h"
#include "app/unit_word.h"
#include "app/version.h"
#include "core/bite/pipeline.h"

namespace masseter {
namespace {

struct RoleWords {
  const char* title;
  const char* unit;
  const char* description;
};

RoleWords WordsOf(Role role) {
  switch (role) {
    case Role::kSequence:
      return {"seq", "", "the device's counter of samples"};
    case Role::kTimeUs:
      return {"t_us", "us", "the device's clock; may wrap"};
    case Role::kTimeMs:
      return {"t_ms", "ms", "the device's clock; may wrap"};
    case Role::kTimeS:
      return {"t_s", "s", "the device's clock"};
    case Role::kSupplyMv:
      return {"supply_mv", "mV", "supply voltage"};
    case Role::kTemperatureC:
      return {"temp_c", "Cel", "temperature"};
    case Role::kAccelXG:
      return {"ax_g", "[g]", "acceleration along the sleeve"};
    case Role::kAccelYG:
      return {"ay_g", "[g]", "acceleration across the sleeve"};
    case Role::kAccelZG:
      return {"az_g", "[g]", "acceleration out of the sleeve"};
    case Role::kBoot:
      return {"boot", "", "another number after each start of the device"};
    case Role::kChannel:
    case Role::kSkip:
      break;
  }
  return {"", "", ""};
}

std::vector<CsvColumn> BiteColumns() {
  return {
      {"id", "integer", "", "number of the bite in its logbook"},
      {"capture", "integer", "", "number of the recording"},
      {"dog", "string", "", "who was up; empty when nobody was"},
      {"breed", "string", "", "as the roster tells"},
      {"mass_kg", "double", "kg", "body mass as the roster tells"},
      {"start_utc", "datetime", "",
       "the bite's beginning by the recording machine's clock; empty where "
       "that is not known"},
      {"start_s", "double", "s", "its beginning from the first sample"},
      {"end_s", "double", "s", "its end from the first sample"},
      {"duration_s", "double", "s", ""},
      {"peak_n", "double", "N", "peak force"},
      {"peak_u95_n", "double", "N", "half-width of its 95 % interval"},
      {"peak_lo_n", "double", "N", "lower end where it is not symmetric"},
      {"peak_hi_n", "double", "N", "upper end where it is not symmetric"},
      {"peak_at_s", "double", "s", "time of the peak"},
      {"strike_n", "double", "N", "highest force in the first 0.20 s"},
      {"squeeze_n", "double", "N", "highest mean over 0.25 s after that"},
      {"squeeze_u95_n", "double", "N", "half-width of its 95 % interval"},
      {"held_n", "double", "N", "mean while above half the peak"},
      {"impulse_ns", "double", "N.s", "force integrated over the bite"},
      {"rise_s", "double", "s", "from 10 % to 90 % of the peak"},
      {"loading_rate_n_s", "double", "N/s", "steepest rise"},
      {"regrips", "integer", "", "times the grip was let go and taken again"},
      {"shake_hz", "double", "Hz", "frequency of shaking"},
      {"held_cv", "double", "", "variation while held, a share of held_n"},
      {"out_s", "double", "s", "from the out command to the bite's end"},
      {"x_mm", "double", "mm", "centre of force along the sleeve"},
      {"y_mm", "double", "mm", "centre of force across the sleeve"},
      {"verdict", "string", "", "sound, doubtful or void"},
      {"at_least", "boolean", "", "peak_n is only a lower bound"},
      {"reasons", "string", "",
       "codes of what speaks against the figures, with blanks between them"},
      {"first_row", "integer", "", "first sample of the bite"},
      {"last_row", "integer", "", "last sample of the bite"},
      {"calibration", "integer", "", "its calibration; empty for none"},
      {"rig_revision", "integer", "", ""},
      {"method", "string", "", "version of the method"}};
}

void PutReasons(const Bite& b, CsvFile& file) {
  std::string codes;
  for (const Reason& reason : b.reasons) {
    if (!codes.empty()) codes += ' ';
    codes += ReasonWord(reason.code);
  }
  file.Put(std::string_view(codes));
}

void PutFigures(const Bite& b, CsvFile& file) {
  for (const double v : {b.start_s, b.end_s, b.duration_s}) file.Put(v);
  for (const auto& v : {b.peak_n, b.peak_u95_n, b.peak_lo_n, b.peak_hi_n}) {
    file.Put(v);
  }
  file.Put(b.peak_at_s);
  for (const auto& v : {b.strike_n, b.squeeze_n, b.squeeze_u95_n, b.held_n,
                        b.impulse_ns, b.rise_s, b.loading_rate_n_s}) {
    file.Put(v);
  }
  file.Put(std::int64_t{b.regrips});
  for (const auto& v : {b.shake_hz, b.held_cv, b.out_s, b.x_mm, b.y_mm}) {
    file.Put(v);
  }
}

void PutBite(const StoredBite& s, const RosterEntry& dog, CsvFile& file) {
  const Bite& b = s.bite;
  file.Put(b.id);
  file.Put(s.provenance.capture);
  file.Put(std::string_view(b.dog));
  file.Put(std::string_view(dog.breed));
  file.Put(dog.mass_kg);
  const auto utc = UtcText(s.start_unix_s.value_or(0.0));
  file.Put(std::string_view(utc ? *utc : std::string()));
  PutFigures(b, file);
  file.Put(VerdictWord(b.verdict));
  file.Put(b.at_least);
  PutReasons(b, file);
  file.Put(static_cast<std::int64_t>(b.first_row));
  file.Put(static_cast<std::int64_t>(b.last_row));
  if (s.provenance.calibration == 0) {
    file.PutNothing();
  } else {
    file.Put(s.provenance.calibration);
  }
  file.Put(std::int64_t{s.provenance.rig_revision});
  file.Put(std::string_view(s.provenance.method));
  file.EndRow();
}

}  // namespace

std::vector<std::string> ExportComments(const Book& book,
                                        const std::string& what) {
  return {fmt::format("masseter {}: {}", kProgramVersion, what),
          fmt::format("rig: {}, revision {}, {} channels, {} Hz nominal",
                      book.rig.name, book.rig_revision,
                      book.rig.channels.size(), book.rig.sample_rate_hz),
          fmt::format("method: {}", kMethodVersion),
          "exported: " + UtcText(NowUnixS()).value_or("")};
}

Expected<WrittenTable> WriteBites(const Book& book,
                                  const std::vector<StoredBite>& bites,
                                  const std::string& folder,
                                  const std::string& name) {
  const auto roster = book.logbook.Roster();
  if (!roster) return tl::unexpected(roster.error());
  std::map<std::string, RosterEntry> dogs;
  for (const RosterEntry& entry : *roster) dogs[entry.dog] = entry;
  auto comments = ExportComments(book, "bites");
  comments.push_back(
      book.calibration
          ? fmt::format("calibration in force: {}, expanded uncertainty "
                        "{:.2f} % of force (95 %)",
                        book.calibration_id,
                        100.0 * book.calibration->expanded_relative_u95)
          : "calibration in force: none");
  const CsvTable table{name, "Bites", comments.size(), BiteColumns(), "id"};
  auto file = CsvFile::Create(folder + "/" + name, comments, table.columns);
  if (!file) return tl::unexpected(file.error());
  for (const StoredBite& s : bites) {
    const auto dog = dogs.find(s.bite.dog);
    PutBite(s, dog == dogs.end() ? RosterEntry{} : dog->second, *file);
  }
  if (auto ok = file->Close(); !ok) return tl::unexpected(ok.error());
  return WrittenTable{table, file->rows(), file->bytes()};
}

std::vector<CsvColumn> RawColumns(const Rig& rig,
                                  const std::vector<ColumnRole>& layout,
                                  const std::vector<bool>& whole) {
  std::vector<CsvColumn> out;
  for (std::size_t c = 0; c < layout.size(); ++c) {
    const std::string type =
        c < whole.size() && !whole[c] ? "double" : "integer";
    if (layout[c].role != Role::kChannel) {
      const RoleWords words = WordsOf(layout[c].role);
      out.push_back({words.title, type, words.unit, words.description});
      continue;
    }
    const Channel& channel =
        rig.channels.at(static_cast<std::size_t>(layout[c].channel));
    out.push_back({channel.name, type, std::string(UnitWord(channel.unit)),
                   "the cell's reading as the device printed it"});
  }
  return out;
}

void NoteDecimals(const RawBlock& block, std::vector<bool>& whole) {
  whole.resize(block.columns.size(), true);
  for (std::size_t c = 0; c < block.columns.size(); ++c) {
    if (std::holds_alternative<std::vector<double>>(block.columns[c])) {
      whole[c] = false;
    }
  }
}

void PutRaw(const RawColumn& column, std::size_t row, CsvFile& file) {
  std::visit([&](const auto& v) { file.Put(v[row]); }, column);
}

Expected<WrittenTable> WriteRaw(const Book& book, const CaptureInfo& capture,
                                const std::string& folder,
                                const ExportStep& step) {
  const auto comments = ExportComments(
      book, fmt::format("what the device printed, recording {} from {}",
                        capture.id, capture.source));
  std::vector<bool> whole;
  const std::string name = fmt::format("raw-{}.csv", capture.id);
  auto file = CsvFile::Create(folder + "/" + name, comments,
                              RawColumns(book.rig, capture.layout, whole));
  if (!file) return tl::unexpected(file.error());
  bool go_on = true;
  const auto read = book.logbook.ReadRaw(capture.id, [&](const RawBlock& b) {
    NoteDecimals(b, whole);
    for (std::size_t i = 0; i < b.rows; ++i) {
      for (const RawColumn& column : b.columns) PutRaw(column, i, *file);
      file->EndRow();
    }
    go_on = step(file->rows(), file->bytes());
    return go_on;
  });
  if (!read) return tl::unexpected(read.error());
  if (auto ok = file->Close(); !ok) return tl::unexpected(ok.error());
  return WrittenTable{
      {name, fmt::format("Recording {}, as printed", capture.id),
       comments.size(), RawColumns(book.rig, capture.layout, whole), ""},
      file->rows(),
      file->bytes()};
}

}  // namespace masseter
