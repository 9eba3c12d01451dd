#include "core/metrology/readings.h"

#include <map>

#include "core/base/text_fields.h"

namespace masseter {
namespace {

// Columns of the file by name, and where the channels stand.
struct Header {
  std::map<std::string, std::size_t, std::less<>> at;
  std::vector<std::size_t> channel;
  std::size_t width = 0;
  char separator = ',';
  std::string load;
};

std::string Place(const std::string& file, int line) {
  return file + ":" + std::to_string(line);
}

std::string Quoted(std::string_view s) {
  std::string out = "\"";
  for (const char c : s.substr(0, 40)) {
    out += (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) ? '?' : c;
  }
  return out + '"';
}

Expected<Header> ReadHeader(std::string_view line, const std::string& place,
                            const Rig& rig) {
  Header header;
  header.separator = SeparatorOf(line);
  const auto names = SplitFields(line, header.separator);
  header.width = names.size();
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (!header.at.emplace(names[i], i).second) {
      return BadInput(place, "the column " + Quoted(names[i]) +
                                 " stands twice in the header");
    }
  }
  const bool mass = header.at.contains("mass_kg");
  const bool force = header.at.contains("force_n");
  if (mass == force) {
    return BadInput(place, mass ? "the header has both mass_kg and force_n; "
                                  "keep the one that was measured"
                                : "the header has neither mass_kg nor force_n; "
                                  "one of them states the load");
  }
  header.load = mass ? "mass_kg" : "force_n";
  if (header.at.contains("x_mm") != header.at.contains("y_mm")) {
    return BadInput(place, "the header has one of x_mm and y_mm; both or none");
  }
  for (const Channel& channel : rig.channels) {
    const auto it = header.at.find(channel.name);
    if (it == header.at.end()) {
      return BadInput(place, "the header has no column for the rig's channel " +
                                 Quoted(channel.name));
    }
    header.channel.push_back(it->second);
  }
  return header;
}

class RowReader {
 public:
  RowReader(const Header& header, const std::vector<std::string>& fields,
            std::string place)
      : header_(header), fields_(fields), place_(std::move(place)) {}

  Expected<double> Value(const std::string& name) const {
    return At(header_.at.at(name), name);
  }
  Expected<double> At(std::size_t i, const std::string& name) const {
    const auto value = ParseNumber(fields_[i]);
    if (!value) {
      return BadInput(place_, name + " is not a number: " + Quoted(fields_[i]));
    }
    return *value;
  }
  bool Has(const std::string& name) const {
    const auto it = header_.at.find(name);
    return it != header_.at.end() && !fields_[it->second].empty();
  }
  std::string_view Text(const std::string& name) const {
    return fields_[header_.at.at(name)];
  }

 private:
  const Header& header_;
  const std::vector<std::string>& fields_;
  std::string place_;
};

Expected<void> ReadDirection(const RowReader& row, const std::string& place,
                             Reading& out) {
  if (!row.Has("direction")) return {};
  const std::string_view word = row.Text("direction");
  if (word != "up" && word != "down") {
    return BadInput(place, "direction is neither up nor down: " + Quoted(word));
  }
  out.rising = word == "up";
  return {};
}

Expected<void> ReadOptional(const RowReader& row, const std::string& name,
                            std::optional<double>& out) {
  if (!row.Has(name)) return {};
  const auto value = row.Value(name);
  if (!value) return tl::unexpected(value.error());
  out = *value;
  return {};
}

Expected<Reading> ReadRow(const Header& header, const RowReader& row,
                          const std::string& place, const Rig& rig) {
  Reading out;
  out.series = row.Has("series") ? std::string(row.Text("series")) : "1";
  if (auto ok = ReadDirection(row, place, out); !ok) {
    return tl::unexpected(ok.error());
  }
  const auto load = row.Value(header.load);
  if (!load) return tl::unexpected(load.error());
  if (*load < 0.0) {
    return BadInput(
        place, header.load + " is negative: " + Quoted(row.Text(header.load)));
  }
  (header.load == "mass_kg" ? out.mass_kg : out.force_n) = *load;
  if (header.at.contains("x_mm")) {
    const auto x = row.Value("x_mm");
    const auto y = row.Value("y_mm");
    // A zero reading has no place; its position may be left empty.
    if (x && y) {
      out.x_mm = *x;
      out.y_mm = *y;
    } else if (*load > 0.0 || row.Has("x_mm") || row.Has("y_mm")) {
      return tl::unexpected(x ? y.error() : x.error());
    }
  }
  if (auto ok = ReadOptional(row, "temp_c", out.temp_c); !ok) {
    return tl::unexpected(ok.error());
  }
  if (auto ok = ReadOptional(row, "t_s", out.t_s); !ok) {
    return tl::unexpected(ok.error());
  }
  for (std::size_t c = 0; c < rig.channels.size(); ++c) {
    const auto value = row.At(header.channel[c], rig.channels[c].name);
    if (!value) return tl::unexpected(value.error());
    out.signal.push_back(*value);
  }
  return out;
}

}  // namespace

Expected<ReadingsTable> ParseReadings(std::string_view text,
                                      const std::string& file, const Rig& rig) {
  ReadingsTable table;
  std::optional<Header> header;
  TextLines lines(text);
  while (const auto line = lines.Next()) {
    const std::string place = Place(file, lines.number());
    if (!header) {
      auto read = ReadHeader(*line, place, rig);
      if (!read) return tl::unexpected(read.error());
      header = std::move(*read);
      continue;
    }
    const auto fields = SplitFields(*line, header->separator);
    if (fields.size() != header->width) {
      return BadInput(place, std::to_string(fields.size()) +
                                 " fields where the header has " +
                                 std::to_string(header->width));
    }
    auto row = ReadRow(*header, RowReader(*header, fields, place), place, rig);
    if (!row) return tl::unexpected(row.error());
    row->line = lines.number();
    table.rows.push_back(std::move(*row));
  }
  if (!header) return BadInput(file, "the readings file is empty");
  if (table.rows.empty()) {
    return BadInput(file, "the readings file has a header and no readings");
  }
  table.by_mass = header->load == "mass_kg";
  table.has_position = header->at.contains("x_mm");
  return table;
}

}  // namespace masseter
