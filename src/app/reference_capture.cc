#include "app/reference_capture.h"

#include <fmt/format.h>

#include <cmath>

#include "app/book.h"
#include "app/file_io.h"
#include "app/sample_feed.h"
#include "core/base/text_fields.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr std::string_view kColumn = "column:";
constexpr const char* kForce = "force";

// One source's samples and the moment of its time zero on the host's clock.
struct Track {
  SampleBlock samples;
  std::optional<double> host_zero_s;

  void Take(const FeedBlock& block) {
    AppendSamples(block.samples, samples);
    if (host_zero_s || block.samples.size() == 0) return;
    // The first block that came in live tells; a file begins at 0.
    host_zero_s = block.host_time_s > 0.0
                      ? block.host_time_s - block.samples.t_s.back()
                      : 0.0;
  }
};

TimedSignals SignalsOf(const Track& track, std::size_t first,
                       std::size_t last) {
  TimedSignals out;
  const double zero = track.host_zero_s.value_or(0.0);
  for (const double t : track.samples.t_s) out.t_s.push_back(zero + t);
  for (std::size_t c = first; c < last && c < track.samples.channel.size();
       ++c) {
    out.value.push_back(track.samples.channel[c]);
  }
  return out;
}

// A rig that reads the reference's text.
Expected<Rig> ReferenceRig(const std::string& columns, double rate_hz) {
  if (!(rate_hz >= 5.0 && rate_hz <= 1e5)) {
    return BadInput("--reference-rate", "must lie between 5 and 100000");
  }
  Rig rig;
  rig.name = "reference";
  rig.sample_rate_hz = rate_hz;
  rig.channels.resize(1);
  rig.channels[0].name = kForce;
  const char separator = SeparatorOf(columns);
  for (const std::string& name : SplitFields(columns, separator)) {
    const auto role = RoleOfName(rig, name);
    if (!role) {
      return BadInput("--reference-columns",
                      "\"" + name +
                          "\" is no column; use force, t_us, t_ms, t_s, seq or "
                          "- as in \"t_ms,force\"");
    }
    rig.text.columns.push_back(*role);
  }
  rig.text.separator = separator;
  for (const ColumnRole& column : rig.text.columns) {
    if (column.role == Role::kChannel) return rig;
  }
  return BadInput("--reference-columns", "must name the column \"force\"");
}

// The sleeve's rig with one column more read as a channel: by its name in the
// header, or by its number in the rig file's columns.
Expected<Rig> WithColumn(Rig rig, const std::string& column) {
  Channel extra;
  extra.name = column;
  if (rig.ChannelIndex(column) >= 0) {
    return BadInput("--reference", column + " is a channel of the sleeve");
  }
  rig.channels.push_back(extra);
  const ColumnRole role{Role::kChannel,
                        static_cast<int>(rig.channels.size()) - 1};
  const auto number = ParseNumber(column);
  if (!number) {
    // Without a header it stands behind the columns of the rig file.
    rig.text.columns.push_back(role);
    return rig;
  }
  const auto k = static_cast<std::size_t>(*number);
  if (k < 1 || k > rig.text.columns.size() ||
      rig.text.columns[k - 1].role != Role::kSkip) {
    return BadInput("--reference",
                    "column " + column +
                        " is not left out (\"-\") in the rig file's columns");
  }
  rig.text.columns[k - 1] = role;
  return rig;
}

std::string Number(double value) { return fmt::format("{:.12g}", value); }

std::string RowsCsv(const ordered_json& rows, const Rig& rig,
                    const std::optional<Place>& place, int series_before) {
  std::string out;
  for (const auto& row : rows) {
    out += fmt::format("{},{},{}", row.at("series").get<int>() + series_before,
                       row.at("direction").get<std::string>(),
                       Number(row.at("force_n").get<double>()));
    if (place) {
      out += "," + Number(place->x_mm) + "," + Number(place->y_mm);
    }
    out += "," + Number(row.at("t_s").get<double>());
    const auto& signal = row.at("signal");
    for (std::size_t c = 0; c < rig.channels.size(); ++c) {
      out += "," + Number(signal.at(c).get<double>());
    }
    out += "\n";
  }
  return out;
}

std::string CsvHeader(const Rig& rig, bool place) {
  std::string out = "series,direction,force_n";
  if (place) out += ",x_mm,y_mm";
  out += ",t_s";
  for (const Channel& c : rig.channels) out += "," + c.name;
  return out + "\n";
}

ordered_json Document(const ReferenceRequest& request,
                      const PairedReadings& paired) {
  ordered_json rows = ordered_json::array();
  const double start = paired.rows.empty() ? 0.0 : paired.rows.front().t_s;
  for (const PairRow& r : paired.rows) {
    rows.push_back({{"series", r.series},
                    {"direction", r.rising ? "up" : "down"},
                    {"force_n", r.force_n},
                    {"signal", r.signal},
                    {"t_s", r.t_s - start},
                    {"samples", r.samples}});
  }
  ordered_json j = {{"lag_s", paired.lag_s},
                    {"lag_drift", paired.lag_drift},
                    {"reference_zero_n", paired.reference_zero_n},
                    {"largest_n", paired.largest_n},
                    {"passes", paired.passes},
                    {"factor", request.factor},
                    {"rows", rows}};
  if (request.place) {
    j["x_mm"] = request.place->x_mm;
    j["y_mm"] = request.place->y_mm;
  }
  return j;
}

}  // namespace

Expected<ReferenceAnswer> CaptureReference(const ReferenceRequest& request) {
  auto book = OpenBook(request.book_path, Access::kWrite);
  if (!book) return tl::unexpected(book.error());
  if (!std::isfinite(request.factor) || request.factor == 0.0) {
    return BadInput("--reference-factor", "must be a number other than 0");
  }
  Track sleeve;
  Track reference;
  std::vector<FeedSource> sources;
  const std::size_t channels = book->rig.channels.size();
  const bool column = request.reference.starts_with(kColumn);
  const auto keep_sleeve = [&](const FeedBlock& b) -> Expected<void> {
    sleeve.Take(b);
    return {};
  };
  if (column) {
    auto rig = WithColumn(book->rig, request.reference.substr(kColumn.size()));
    if (!rig) return tl::unexpected(rig.error());
    sources.push_back({request.source, std::move(*rig), keep_sleeve});
  } else {
    auto rig = ReferenceRig(request.columns, request.rate_hz);
    if (!rig) return tl::unexpected(rig.error());
    sources.push_back({request.source, book->rig, keep_sleeve});
    sources.push_back({request.reference, std::move(*rig),
                       [&](const FeedBlock& b) -> Expected<void> {
                         reference.Take(b);
                         return {};
                       }});
  }
  FeedEvents events;
  events.on_up = request.say;
  events.on_tick = [&]() -> Expected<bool> {
    return !request.go_on || request.go_on();
  };
  if (auto ok = RunFeed(sources, events); !ok)
    return tl::unexpected(ok.error());
  TimedSignals force = column ? SignalsOf(sleeve, channels, channels + 1)
                              : SignalsOf(reference, 0, 1);
  for (auto& values : force.value) {
    for (double& f : values) f *= request.factor;
  }
  if (force.value.empty()) return BadInput("--reference", "gave no samples");
  auto paired =
      PairReadings(SignalsOf(sleeve, 0, channels), force, request.pair);
  if (!paired) {
    Error error = paired.error();
    if (error.where.empty()) error.where = request.reference;
    return tl::unexpected(std::move(error));
  }
  ReferenceAnswer answer;
  const ordered_json document = Document(request, *paired);
  const auto id = book->logbook.AddBenchEntry(
      {0, "reference", NowUnixS(), document.dump()});
  if (!id) return tl::unexpected(id.error());
  answer.session = *id;
  answer.csv = CsvHeader(book->rig, request.place.has_value()) +
               RowsCsv(document.at("rows"), book->rig, request.place, 0);
  answer.paired = std::move(*paired);
  if (sleeve.samples.size() > 0) {
    answer.seconds = sleeve.samples.t_s.back() - sleeve.samples.t_s.front();
  }
  return answer;
}

Expected<std::string> ReferenceCsv(const std::string& book_path) {
  const auto book = OpenBook(book_path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const auto entries = book->logbook.BenchEntries("reference");
  if (!entries) return tl::unexpected(entries.error());
  // One file has places in every row or in none.
  bool all_placed = true;
  std::vector<ordered_json> documents;
  for (const BenchEntry& entry : *entries) {
    auto j = ordered_json::parse(entry.document, nullptr, false);
    if (!j.is_object() || !j.contains("rows")) continue;
    all_placed = all_placed && j.contains("x_mm") && j.contains("y_mm");
    documents.push_back(std::move(j));
  }
  if (documents.empty()) {
    return BadInput(book_path, "holds no recording with a reference");
  }
  std::string out = CsvHeader(book->rig, all_placed);
  int series = 0;
  for (const ordered_json& j : documents) {
    std::optional<Place> place;
    if (all_placed) {
      place = Place{j.at("x_mm").get<double>(), j.at("y_mm").get<double>()};
    }
    out += RowsCsv(j.at("rows"), book->rig, place, series);
    // Series of the next recording are numbered on.
    if (!j.at("rows").empty()) {
      series += j.at("rows").back().at("series").get<int>();
    }
  }
  return out;
}

}  // namespace masseter
