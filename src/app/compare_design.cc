#include "app/compare_design.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "core/base/text_fields.h"

namespace masseter {
namespace {

// Half-width of a 95 % interval over its standard uncertainty.
constexpr double kHalfWidth = 1.96;

struct Labels {
  std::vector<std::string> names;  // in byte order
  std::vector<std::size_t> index;  // of every value
};

Labels LabelsOf(const std::vector<std::string>& text) {
  Labels out;
  std::map<std::string, std::size_t> order;
  for (const std::string& t : text) order.emplace(t, 0);
  for (auto& [name, index] : order) {
    index = out.names.size();
    out.names.push_back(name);
  }
  for (const std::string& t : text) out.index.push_back(order[t]);
  return out;
}

// The columns of "day" or "batch:cask".
Expected<std::vector<std::size_t>> PartsOf(const StudyRows& rows,
                                           const std::string& name) {
  std::vector<std::size_t> out;
  for (const std::string& part : SplitFields(name, ':')) {
    const auto column = rows.Need(part);
    if (!column) return tl::unexpected(column.error());
    out.push_back(*column);
  }
  return out;
}

class Designer {
 public:
  Designer(const StudyRows& rows, const CompareQuestion& question)
      : rows_(rows), question_(question) {}

  Expected<CompareDesign> Make();

 private:
  Expected<void> FindColumns();
  Expected<void> AddValues();
  Expected<void> AddKnownSds();
  void AddRandom();
  Expected<void> AddFixed();
  std::vector<std::string> Texts(const std::vector<std::size_t>& parts) const;
  void AddFactor(FixedTerm term, const std::vector<std::string>& text);
  void AddReference();

  const StudyRows& rows_;
  const CompareQuestion& question_;
  std::vector<std::vector<std::size_t>> fixed_;
  std::vector<std::vector<std::size_t>> random_;  // the subject first
  CompareDesign out_;
};

Expected<void> Designer::FindColumns() {
  std::vector<std::string> random = {question_.subject};
  random.insert(random.end(), question_.random.begin(), question_.random.end());
  for (const std::string& name : random) {
    auto parts = PartsOf(rows_, name);
    if (!parts) return tl::unexpected(parts.error());
    random_.push_back(std::move(*parts));
  }
  for (const std::string& name : question_.fixed) {
    const auto column = rows_.Need(name);
    if (!column) return tl::unexpected(column.error());
    fixed_.push_back({*column});
  }
  return {};
}

Expected<void> Designer::AddValues() {
  std::vector<std::size_t> needed;
  for (const auto& parts : random_) {
    needed.insert(needed.end(), parts.begin(), parts.end());
  }
  for (const auto& parts : fixed_) {
    needed.insert(needed.end(), parts.begin(), parts.end());
  }
  auto figures = FiguresOf(rows_, question_.of, needed, question_.log);
  if (!figures) {
    Error e = figures.error();
    if (question_.log && e.what.find("above zero") != std::string::npos) {
      e.what += "; --response linear takes such values";
    }
    return tl::unexpected(e);
  }
  out_.figures = std::move(*figures);
  if (out_.figures.figures.empty()) {
    return BadInput(
        rows_.file,
        "holds no bite with a figure and a dog's name; import --marks or --dog "
        "says who was up");
  }
  bool bounds = false;
  for (const StudyFigure& f : out_.figures.figures) {
    out_.value_row.push_back(f.row);
    out_.newtons.push_back(f.value);
    out_.data.y.push_back(question_.log ? std::log(f.value) : f.value);
    out_.data.at_least.push_back(f.at_least ? 1 : 0);
    bounds = bounds || f.at_least;
  }
  if (!bounds) out_.data.at_least.clear();
  return {};
}

Expected<void> Designer::AddKnownSds() {
  std::string name = question_.u95;
  if (name == "none") return {};
  if (name.empty()) {
    if (!question_.table.empty()) return {};
    if (out_.figures.of == "peak_n") name = "peak_u95_n";
    if (out_.figures.of == "squeeze_n") name = "squeeze_u95_n";
    if (name.empty()) return {};
  }
  const auto column = rows_.Need(name);
  if (!column) return tl::unexpected(column.error());
  double sum = 0.0;
  for (std::size_t i = 0; i < out_.value_row.size(); ++i) {
    const std::string& text = rows_.rows[out_.value_row[i]][*column];
    const auto value = text.empty() ? std::optional(0.0) : ParseNumber(text);
    if (!value || *value < 0.0) {
      return BadInput(rows_.PlaceOf(out_.value_row[i]),
                      name + " is not a half-width: \"" + text + "\"");
    }
    const double sd = *value / kHalfWidth;
    out_.data.known_sd.push_back(question_.log ? sd / out_.newtons[i] : sd);
    sum += sd;
  }
  out_.u95 = name;
  if (sum == 0.0) out_.data.known_sd.clear();
  return {};
}

std::vector<std::string> Designer::Texts(
    const std::vector<std::size_t>& parts) const {
  std::vector<std::string> out;
  for (const std::size_t row : out_.value_row) {
    std::string text;
    for (const std::size_t c : parts) {
      text += (text.empty() ? "" : ":") + rows_.rows[row][c];
    }
    out.push_back(std::move(text));
  }
  return out;
}

void Designer::AddRandom() {
  for (std::size_t k = 0; k < random_.size(); ++k) {
    Labels labels = LabelsOf(Texts(random_[k]));
    const std::string name =
        k == 0 ? question_.subject : question_.random[k - 1];
    if (k == 0) out_.dogs = labels.names;
    if (k > 0 && labels.names.size() < 2) {
      out_.notes.push_back(
          {"one_level", fmt::format("a single {}: left out", name)});
      continue;
    }
    // The same grouping under two names has no two variances.
    bool twin = false;
    for (const RandomFactor& f : out_.data.random) {
      std::vector<std::string> both;
      for (std::size_t i = 0; i < labels.index.size(); ++i) {
        both.push_back(fmt::format("{} {}", f.level[i], labels.index[i]));
      }
      const std::size_t joint = LabelsOf(both).names.size();
      twin = twin || (joint == f.levels && joint == labels.names.size());
    }
    if (twin || (k > 0 && labels.names.size() == out_.data.y.size())) {
      out_.notes.push_back(
          {"same_groups",
           fmt::format("{} cannot be told from what is already in the model: "
                       "left out",
                       name)});
      continue;
    }
    out_.data.random.push_back(
        {name, labels.names.size(), std::move(labels.index)});
  }
}

void Designer::AddFactor(FixedTerm term, const std::vector<std::string>& text) {
  Labels labels = LabelsOf(text);
  term.factor = true;
  term.levels = labels.names;
  term.level = labels.index;
  for (std::size_t l = 1; l < labels.names.size(); ++l) {
    std::vector<double> column;
    for (const std::size_t at : labels.index) {
      column.push_back(at == l ? 1.0 : 0.0);
    }
    term.columns.push_back(out_.data.x.size());
    out_.columns.push_back(term.name + labels.names[l]);
    out_.data.x.push_back(std::move(column));
  }
  out_.terms.push_back(std::move(term));
}

Expected<void> Designer::AddFixed() {
  out_.columns = {"(Intercept)"};
  out_.data.x = {std::vector<double>(out_.data.y.size(), 1.0)};
  for (std::size_t k = 0; k < fixed_.size(); ++k) {
    FixedTerm term;
    term.name = question_.fixed[k];
    const std::vector<std::string> text = Texts(fixed_[k]);
    const bool named =
        std::find(question_.factors.begin(), question_.factors.end(),
                  term.name) != question_.factors.end();
    std::vector<double> numbers;
    std::optional<std::size_t> odd;
    for (std::size_t i = 0; i < text.size(); ++i) {
      const auto number = named ? std::nullopt : ParseNumber(text[i]);
      if (number) numbers.push_back(*number);
      if (!number && !odd) odd = i;
    }
    if (odd && 2 * numbers.size() > text.size()) {
      return BadInput(rows_.PlaceOf(out_.value_row[*odd]),
                      fmt::format("{} is not a number: \"{}\"; --names {} "
                                  "takes all of it as names",
                                  term.name, text[*odd], term.name));
    }
    if (odd) {
      AddFactor(std::move(term), text);
      continue;
    }
    term.columns = {out_.data.x.size()};
    out_.columns.push_back(term.name);
    out_.data.x.push_back(std::move(numbers));
    out_.terms.push_back(std::move(term));
  }
  return {};
}

void Designer::AddReference() {
  const std::vector<std::size_t>& dog = out_.data.random[0].level;
  out_.first_value.assign(out_.dogs.size(), 0);
  for (std::size_t i = dog.size(); i-- > 0;) out_.first_value[dog[i]] = i;
  for (const std::vector<double>& column : out_.data.x) {
    double sum = 0.0;
    std::vector<double> first(out_.dogs.size(), std::nan(""));
    bool moves = false;
    for (std::size_t i = 0; i < column.size(); ++i) {
      sum += column[i];
      double& of = first[dog[i]];
      if (std::isnan(of)) of = column[i];
      moves = moves || of != column[i];
    }
    out_.mean.push_back(sum / static_cast<double>(column.size()));
    out_.moves.push_back(moves ? 1 : 0);
  }
}

Expected<CompareDesign> Designer::Make() {
  if (auto ok = FindColumns(); !ok) return tl::unexpected(ok.error());
  if (auto ok = AddValues(); !ok) return tl::unexpected(ok.error());
  if (auto ok = AddKnownSds(); !ok) return tl::unexpected(ok.error());
  AddRandom();
  if (auto ok = AddFixed(); !ok) return tl::unexpected(ok.error());
  AddReference();
  out_.Keep(IndependentColumns(out_.data.x),
            {"dependent_column",
             "left out of the model, since earlier terms already say it"});
  return std::move(out_);
}

}  // namespace

std::vector<double> CompareDesign::RowOf(std::size_t dog) const {
  const std::size_t at = first_value[dog];
  std::vector<double> out;
  for (std::size_t k = 0; k < data.columns(); ++k) {
    out.push_back(moves[k] != 0 ? mean[k] : data.x[k][at]);
  }
  return out;
}

void CompareDesign::Keep(const std::vector<std::size_t>& kept,
                         const CompareNote& note) {
  std::vector<std::size_t> name(data.columns(), data.columns());
  for (std::size_t k = 0; k < kept.size(); ++k) name[kept[k]] = k;
  std::string gone;
  for (std::size_t k = 0; k < name.size(); ++k) {
    if (name[k] < data.columns()) continue;
    gone += (gone.empty() ? "" : ", ") + columns[k];
  }
  if (gone.empty()) return;
  notes.push_back({note.code, gone + ": " + note.text});
  for (FixedTerm& term : terms) {
    std::vector<std::size_t> left;
    for (const std::size_t c : term.columns) {
      if (name[c] < data.columns()) left.push_back(name[c]);
    }
    // A factor that lost a level's column can no longer be read by level.
    if (left.size() != term.columns.size()) left.clear();
    term.columns = std::move(left);
  }
  const CompareDesign before = *this;
  data.x.clear();
  columns.clear();
  mean.clear();
  moves.clear();
  for (const std::size_t k : kept) {
    data.x.push_back(before.data.x[k]);
    columns.push_back(before.columns[k]);
    mean.push_back(before.mean[k]);
    moves.push_back(before.moves[k]);
  }
}

Expected<CompareDesign> DesignComparison(const StudyRows& rows,
                                         const CompareQuestion& question) {
  return Designer(rows, question).Make();
}

}  // namespace masseter
