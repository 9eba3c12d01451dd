#include "app/rig_file.h"

// Debian's built library throws; the headers alone return errors as values.
#undef TOML_HEADER_ONLY
#undef TOML_SHARED_LIB
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#include <toml++/toml.h>

#include <cmath>
#include <initializer_list>
#include <set>

#include "core/metrology/estimator.h"

namespace masseter {
namespace {

Error At(const std::string& file, const toml::source_region& where,
         std::string what) {
  std::string place = file;
  if (where.begin.line > 0) place += ":" + std::to_string(where.begin.line);
  return Error{ErrorKind::kBadInput, place, std::move(what)};
}

// Reads values out of one table and keeps the first mistake.
class TableReader {
 public:
  TableReader(const toml::table& table, std::string name,
              const std::string& file)
      : table_(table), name_(std::move(name)), file_(file) {}

  const std::optional<Error>& error() const { return error_; }

  void Fail(const toml::source_region& where, std::string what) {
    if (!error_) error_ = At(file_, where, std::move(what));
  }
  void FailAt(std::string_view key, std::string what) {
    const toml::node* node = table_.get(key);
    Fail(node != nullptr ? node->source() : table_.source(), std::move(what));
  }

  std::optional<double> Number(std::string_view key) {
    const toml::node* node = table_.get(key);
    if (node == nullptr) return std::nullopt;
    const auto value = node->value<double>();
    if (!node->is_number() || !value || !std::isfinite(*value)) {
      Fail(node->source(), std::string(key) + " must be a number");
      return std::nullopt;
    }
    return value;
  }

  std::optional<double> Positive(std::string_view key) {
    const auto value = Number(key);
    if (value && *value <= 0.0) {
      FailAt(key, std::string(key) + " must be above zero");
      return std::nullopt;
    }
    return value;
  }

  std::optional<std::string> Text(std::string_view key) {
    const toml::node* node = table_.get(key);
    if (node == nullptr) return std::nullopt;
    if (!node->is_string()) {
      Fail(node->source(), std::string(key) + " must be a text in quotes");
      return std::nullopt;
    }
    return node->value<std::string>();
  }

  void AllowOnly(std::initializer_list<std::string_view> keys) {
    for (const auto& [key, node] : table_) {
      bool known = false;
      for (const std::string_view k : keys) known = known || k == key.str();
      if (known) continue;
      std::string list;
      for (const std::string_view k : keys) {
        list += (list.empty() ? "" : ", ") + std::string(k);
      }
      Fail(key.source(), "unknown key \"" + std::string(key.str()) + "\" in " +
                             name_ + "; known are " + list);
    }
  }

 private:
  const toml::table& table_;
  std::string name_;
  const std::string& file_;
  std::optional<Error> error_;
};

class RigReader {
 public:
  RigReader(const toml::table& root, const std::string& file)
      : root_(root), file_(file) {}

  Expected<Rig> Read() {
    TopLevel();
    if (!error_) RigTable();
    if (!error_) Channels();
    if (!error_) TextTable();
    if (!error_) SupplyTable();
    if (error_) return tl::unexpected(*error_);
    return rig_;
  }

 private:
  void Take(const TableReader& reader) {
    if (!error_ && reader.error()) error_ = reader.error();
  }
  void Fail(const toml::source_region& where, std::string what) {
    if (!error_) error_ = At(file_, where, std::move(what));
  }

  void TopLevel() {
    TableReader top(root_, "the rig file", file_);
    top.AllowOnly({"rig", "text", "channel", "supply"});
    Take(top);
  }

  const toml::table* Table(std::string_view name, bool needed) {
    const toml::node* node = root_.get(name);
    if (node == nullptr) {
      if (needed) {
        Fail({}, "the table [" + std::string(name) + "] is missing");
      }
      return nullptr;
    }
    if (!node->is_table()) {
      Fail(node->source(), "[" + std::string(name) + "] must be a table");
      return nullptr;
    }
    return node->as_table();
  }

  void RigTable() {
    const toml::table* table = Table("rig", true);
    if (table == nullptr) return;
    TableReader r(*table, "[rig]", file_);
    r.AllowOnly({"name", "sample_rate_hz", "safe_load_n", "bandwidth_hz",
                 "moving_mass_kg", "grip_thickness_mm", "cover"});
    rig_.name = r.Text("name").value_or("");
    if (rig_.name.empty()) r.FailAt("name", "[rig] needs a name");
    const auto rate = r.Positive("sample_rate_hz");
    if (!rate) r.FailAt("sample_rate_hz", "[rig] needs sample_rate_hz");
    rig_.sample_rate_hz = rate.value_or(1.0);
    if (rate && (*rate < 1.0 || *rate > 1e6)) {
      r.FailAt("sample_rate_hz",
               "sample_rate_hz must lie between 1 and 1000000");
    }
    if (const auto v = r.Positive("safe_load_n")) rig_.safe_load = Force(*v);
    rig_.bandwidth_hz = r.Positive("bandwidth_hz");
    if (const auto v = r.Positive("moving_mass_kg")) {
      rig_.moving_mass = Mass(*v);
    }
    if (const auto v = r.Positive("grip_thickness_mm")) {
      rig_.grip_thickness = Length(*v * 1e-3);
    }
    rig_.cover = r.Text("cover").value_or("");
    Take(r);
  }

  void Channels() {
    const toml::node* node = root_.get("channel");
    if (node == nullptr || !node->is_array_of_tables()) {
      Fail(node != nullptr ? node->source() : toml::source_region{},
           "the rig needs a [[channel]] for every load cell");
      return;
    }
    std::set<std::string> names;
    for (const toml::node& entry : *node->as_array()) {
      Channel(*entry.as_table(), names);
      if (error_) return;
    }
    if (rig_.channels.size() > kMaxChannels) {
      Fail(node->source(), "more than " + std::to_string(kMaxChannels) +
                               " channels in one sleeve");
    }
  }

  void Channel(const toml::table& table, std::set<std::string>& names) {
    TableReader r(table, "[[channel]]", file_);
    r.AllowOnly({"name", "x_mm", "y_mm", "capacity_n", "adc_bits", "adc_min",
                 "adc_max", "unit"});
    masseter::Channel channel;
    channel.name = r.Text("name").value_or("");
    if (channel.name.empty()) {
      r.FailAt("name", "a [[channel]] needs a name");
    } else if (!names.insert(channel.name).second) {
      r.FailAt("name", "two channels are called \"" + channel.name + "\"");
    } else if (RoleOfName(Rig(), channel.name)) {
      r.FailAt("name", "\"" + channel.name +
                           "\" is the name of a role and cannot be a channel");
    } else if (channel.name.find_first_of(",; \t\"#") != std::string::npos) {
      r.FailAt("name",
               "a channel's name cannot hold blanks, separators, "
               "quotes or #");
    }
    if (const auto x = r.Number("x_mm")) channel.x = Length(*x * 1e-3);
    if (const auto y = r.Number("y_mm")) channel.y = Length(*y * 1e-3);
    if (channel.x.has_value() != channel.y.has_value()) {
      r.FailAt(channel.x ? "x_mm" : "y_mm",
               "a channel's place needs both x_mm and y_mm");
    }
    if (const auto v = r.Positive("capacity_n")) channel.capacity = Force(*v);
    Unit(r, channel);
    Scale(r, table, channel);
    Take(r);
    rig_.channels.push_back(std::move(channel));
  }

  static void Unit(TableReader& r, masseter::Channel& channel) {
    const std::string unit = r.Text("unit").value_or("count");
    if (unit == "count") {
      channel.unit = SignalUnit::kCount;
    } else if (unit == "N") {
      channel.unit = SignalUnit::kNewton;
    } else if (unit == "kgf") {
      channel.unit = SignalUnit::kKilogramForce;
    } else if (unit == "lbf") {
      channel.unit = SignalUnit::kPoundForce;
    } else if (unit == "V") {
      channel.unit = SignalUnit::kVolt;
    } else {
      r.FailAt("unit",
               "unit must be count, N, kgf, lbf or V, not \"" + unit + "\"");
    }
  }

  static void Scale(TableReader& r, const toml::table& table,
                    masseter::Channel& channel) {
    channel.adc_min = r.Number("adc_min");
    channel.adc_max = r.Number("adc_max");
    if (channel.adc_min.has_value() != channel.adc_max.has_value() ||
        (channel.adc_min && *channel.adc_min >= *channel.adc_max)) {
      r.FailAt(channel.adc_max ? "adc_max" : "adc_min",
               "adc_min and adc_max go together, the smaller first");
    }
    if (table.get("adc_bits") == nullptr) return;
    const auto bits = r.Number("adc_bits");
    if (!bits) return;
    if (*bits != std::floor(*bits) || *bits < 8.0 || *bits > 32.0) {
      r.FailAt("adc_bits", "adc_bits must be a whole number from 8 to 32");
    } else if (channel.adc_min) {
      r.FailAt("adc_bits", "adc_bits or adc_min and adc_max, not both");
    } else {
      channel.adc_max = std::ldexp(1.0, static_cast<int>(*bits) - 1) - 1.0;
      channel.adc_min = -std::ldexp(1.0, static_cast<int>(*bits) - 1);
    }
  }

  void TextTable() {
    const toml::table* table = Table("text", false);
    if (table == nullptr) {
      if (!error_) DefaultColumns();
      return;
    }
    TableReader r(*table, "[text]", file_);
    r.AllowOnly({"separator", "columns"});
    Separator(r);
    Take(r);
    if (!error_) Columns(*table);
  }

  // Without a [text] table: a comma between the channels in their order.
  void DefaultColumns() {
    for (std::size_t c = 0; c < rig_.channels.size(); ++c) {
      rig_.text.columns.push_back({Role::kChannel, static_cast<int>(c)});
    }
  }

  void Separator(TableReader& r) {
    const std::string word = r.Text("separator").value_or(",");
    if (word == "," || word == ";") {
      rig_.text.separator = word[0];
    } else if (word == "tab" || word == "\t") {
      rig_.text.separator = '\t';
    } else if (word == "space" || word == " ") {
      rig_.text.separator = ' ';
    } else {
      r.FailAt("separator",
               "separator must be \",\", \";\", \"tab\" or "
               "\"space\", not \"" +
                   word + "\"");
    }
  }

  void Columns(const toml::table& table) {
    const toml::node* node = table.get("columns");
    if (node == nullptr) {
      DefaultColumns();
      return;
    }
    if (!node->is_array()) {
      Fail(node->source(), "columns must be a list of names in quotes");
      return;
    }
    for (const toml::node& entry : *node->as_array()) {
      Column(entry);
      if (error_) return;
    }
    for (std::size_t c = 0; c < rig_.channels.size(); ++c) {
      bool found = false;
      for (const ColumnRole& role : rig_.text.columns) {
        found = found || (role.role == Role::kChannel &&
                          role.channel == static_cast<int>(c));
      }
      if (!found) {
        Fail(node->source(), "columns does not name the channel \"" +
                                 rig_.channels[c].name + "\"");
        return;
      }
    }
  }

  void Column(const toml::node& entry) {
    const auto name = entry.value<std::string>();
    if (!entry.is_string() || !name) {
      Fail(entry.source(), "columns must be a list of names in quotes");
      return;
    }
    const auto role = RoleOfName(rig_, *name);
    if (!role) {
      Fail(entry.source(),
           "unknown column \"" + *name +
               "\"; a column is seq, t_us, t_ms, t_s, supply_mv, temp_c, "
               "ax_g, ay_g, az_g, - or a channel's name");
      return;
    }
    const bool twice =
        role->role != Role::kSkip &&
        std::find(rig_.text.columns.begin(), rig_.text.columns.end(), *role) !=
            rig_.text.columns.end();
    if (twice) {
      Fail(entry.source(), "the column \"" + *name + "\" is named twice");
      return;
    }
    if (IsTime(role->role)) {
      for (const ColumnRole& other : rig_.text.columns) {
        if (!IsTime(other.role)) continue;
        Fail(entry.source(), "two columns tell the time; keep one of them");
        return;
      }
    }
    rig_.text.columns.push_back(*role);
  }

  static bool IsTime(Role role) {
    return role == Role::kTimeUs || role == Role::kTimeMs ||
           role == Role::kTimeS;
  }

  void SupplyTable() {
    const toml::table* table = Table("supply", false);
    if (table == nullptr) return;
    TableReader r(*table, "[supply]", file_);
    r.AllowOnly({"minimum_mv"});
    rig_.supply_minimum_mv = r.Positive("minimum_mv");
    Take(r);
  }

  const toml::table& root_;
  const std::string& file_;
  Rig rig_;
  std::optional<Error> error_;
};

}  // namespace

Expected<Rig> ParseRig(std::string_view toml_text, const std::string& file) {
  const toml::parse_result parsed = toml::parse(toml_text, file);
  if (!parsed) {
    std::string what(parsed.error().description());
    return tl::unexpected(
        At(file, parsed.error().source(), "not valid TOML: " + what));
  }
  return RigReader(parsed.table(), file).Read();
}

}  // namespace masseter
