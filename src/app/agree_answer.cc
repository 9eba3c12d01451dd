#include "app/agree_answer.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "report/study_pictures.h"

namespace masseter {
namespace {

std::size_t IndexOf(std::vector<std::string>& names, const std::string& name) {
  const auto it = std::find(names.begin(), names.end(), name);
  if (it != names.end()) return static_cast<std::size_t>(it - names.begin());
  names.push_back(name);
  return names.size() - 1;
}

// Values by subject and levels of the factors, as far as they came.
struct Cells {
  std::vector<double> value;
  std::vector<std::size_t> subject;
  std::vector<std::vector<std::size_t>> level;  // of each factor
};

Expected<Cells> ReadCells(const StudyRows& rows, AgreeAnswer& a) {
  std::vector<std::size_t> needed;
  const auto subject = rows.Need(a.question.subject);
  if (!subject) return tl::unexpected(subject.error());
  needed.push_back(*subject);
  for (const std::string& by : a.question.by) {
    const auto column = rows.Need(by);
    if (!column) return tl::unexpected(column.error());
    needed.push_back(*column);
  }
  auto figures = FiguresOf(rows, a.question.of, needed, a.question.log);
  if (!figures) return tl::unexpected(figures.error());
  a.figures = std::move(*figures);
  a.levels.resize(a.question.by.size());
  Cells out;
  out.level.resize(a.question.by.size());
  for (const StudyFigure& f : a.figures.figures) {
    if (f.at_least) {
      ++a.at_least;
      continue;
    }
    const std::vector<std::string>& row = rows.rows[f.row];
    out.value.push_back(a.question.log ? std::log(f.value) : f.value);
    out.subject.push_back(IndexOf(a.subjects, row[*subject]));
    for (std::size_t k = 0; k < out.level.size(); ++k) {
      out.level[k].push_back(IndexOf(a.levels[k], row[needed[k + 1]]));
    }
  }
  return out;
}

using ByLevel = std::vector<std::vector<std::vector<double>>>;

// values[subject][level]
ByLevel SortByLevel(const Cells& cells, const AgreeAnswer& a) {
  ByLevel out(a.subjects.size(),
              std::vector<std::vector<double>>(a.levels[0].size()));
  for (std::size_t i = 0; i < cells.value.size(); ++i) {
    out[cells.subject[i]][cells.level[0][i]].push_back(cells.value[i]);
  }
  return out;
}

bool Complete(const std::vector<std::vector<double>>& levels) {
  return std::none_of(levels.begin(), levels.end(),
                      [](const auto& v) { return v.empty(); });
}

double MeanOf(const std::vector<double>& v) {
  double sum = 0.0;
  for (const double x : v) sum += x;
  return sum / static_cast<double>(v.size());
}

void AddReliability(const ByLevel& values, AgreeAnswer& a) {
  RaterTable table;
  table.raters = a.levels[0].size();
  std::vector<MethodPair> pairs;
  for (const auto& levels : values) {
    if (!Complete(levels)) {
      ++a.incomplete;
      continue;
    }
    ++table.dogs;
    for (const auto& v : levels) {
      table.value.push_back(MeanOf(v));
      a.of_means = a.of_means || v.size() > 1;
    }
    if (table.raters == 2) pairs.push_back({levels[0], levels[1]});
  }
  a.complete = table.dogs;
  auto reliability = AnalyseReliability(table);
  if (reliability) {
    a.reliability = std::move(*reliability);
  } else {
    a.notes.push_back("no table of " + a.question.by[0] + ": it " +
                      reliability.error().what);
  }
  if (table.raters != 2) return;
  auto limits = CompareMethods(pairs);
  if (limits) {
    a.bland_altman = std::move(*limits);
  } else {
    a.notes.push_back("no limits of agreement: it " + limits.error().what);
  }
}

// The full crossing as a table, or what keeps it from being one.
Expected<CrossedTable> CrossedOf(const Cells& cells, const AgreeAnswer& a) {
  CrossedTable table;
  table.levels.push_back(a.subjects.size());
  std::size_t slots = a.subjects.size();
  for (const auto& levels : a.levels) {
    table.levels.push_back(levels.size());
    slots *= levels.size();
    if (slots > 1000000) return BadInput("", "has too many levels");
  }
  std::vector<std::vector<double>> cell(slots);
  for (std::size_t i = 0; i < cells.value.size(); ++i) {
    std::size_t at = cells.subject[i];
    for (std::size_t k = 0; k < a.levels.size(); ++k) {
      at = at * a.levels[k].size() + cells.level[k][i];
    }
    cell[at].push_back(cells.value[i]);
  }
  table.repeats = cell[0].size();
  for (const auto& values : cell) {
    if (values.size() != table.repeats || values.empty()) {
      return BadInput("", "is not equally filled");
    }
    table.values.insert(table.values.end(), values.begin(), values.end());
  }
  return table;
}

void AddGauge(const Cells& cells, AgreeAnswer& a) {
  const auto table = CrossedOf(cells, a);
  Expected<GaugeStudy> gauge = tl::unexpected(Error{});
  if (table) {
    gauge = AnalyseGauge(*table, a.question.pool_above);
    if (gauge) {
      a.gauge = std::move(*gauge);
      return;
    }
  }
  a.notes.push_back("no gauge study: the table " +
                    (table ? gauge.error().what : table.error().what) +
                    "; it takes every " + a.question.subject + " with every " +
                    fmt::format("{}", fmt::join(a.question.by, " and ")) +
                    " equally often");
}

nlohmann::ordered_json Number(double v) {
  return std::isfinite(v) ? nlohmann::ordered_json(v)
                          : nlohmann::ordered_json(nullptr);
}

nlohmann::ordered_json IccJson(const Icc& i) {
  return {
      {"form", i.form},     {"means", i.means},   {"value", Number(i.value)},
      {"lo", Number(i.lo)}, {"hi", Number(i.hi)}, {"f", Number(i.f)},
      {"dof1", i.dof1},     {"dof2", i.dof2},     {"p", Number(i.p)}};
}

nlohmann::ordered_json ReliabilityJson(const AgreeAnswer& a) {
  const Reliability& r = *a.reliability;
  nlohmann::ordered_json icc = nlohmann::ordered_json::array();
  for (const Icc& i : r.icc) icc.push_back(IccJson(i));
  nlohmann::ordered_json without;
  for (std::size_t k = 0; k < r.alpha.without_rater.size(); ++k) {
    without[a.levels[0][k]] = Number(r.alpha.without_rater[k]);
  }
  return {
      {"subjects", a.complete},
      {"of_means", a.of_means},
      {"mean_squares",
       {{"between", r.dogs_ms},
        {"within", r.within_ms},
        {"raters", r.raters_ms},
        {"error", r.error_ms}}},
      {"icc", icc},
      {"cronbach_alpha",
       {{"value", Number(r.alpha.value)},
        {"lo", Number(r.alpha.lo)},
        {"hi", Number(r.alpha.hi)},
        {"standardised", Number(r.alpha.standardised)},
        {"without", without}}},
      {"standard_error",
       {{"agreement", r.sem_agreement}, {"consistency", r.sem_consistency}}},
      {"smallest_real_difference",
       {{"agreement", r.srd_agreement}, {"consistency", r.srd_consistency}}}};
}

nlohmann::ordered_json BlandAltmanJson(const AgreeAnswer& a) {
  const BlandAltman& b = *a.bland_altman;
  return {{"first", a.levels[0][0]},
          {"second", a.levels[0][1]},
          {"subjects", b.subjects},
          {"repeated", b.repeated},
          {"mean", b.mean},
          {"mean_ci", {b.mean_lo, b.mean_hi}},
          {"sd", b.sd},
          {"limits", {b.limit_lo, b.limit_hi}},
          {"lower_ci", {b.limit_lo_from, b.limit_lo_to}},
          {"upper_ci", {b.limit_hi_from, b.limit_hi_to}},
          {"within_sd", {b.within_a_sd, b.within_b_sd}},
          {"slope", b.slope},
          {"slope_p", b.slope_p}};
}

nlohmann::ordered_json PartJson(const GaugePart& p) {
  return {{"sd", p.sd},
          {"sd_lo", Number(p.sd_lo)},
          {"sd_hi", Number(p.sd_hi)},
          {"variance", p.variance},
          {"percent_of_total", p.percent_of_total},
          {"percent_contribution", p.percent_contribution}};
}

nlohmann::ordered_json GaugeJson(const AgreeAnswer& a) {
  const GaugeStudy& g = *a.gauge;
  nlohmann::ordered_json j;
  j["repeatability"] = PartJson(g.repeatability);
  for (std::size_t k = 0; k < g.conditions.size(); ++k) {
    j["by"][a.question.by[k]] = PartJson(g.conditions[k]);
  }
  j["interaction"] = PartJson(g.interaction);
  j["reproducibility"] = PartJson(g.reproducibility);
  j["gauge"] = PartJson(g.gauge);
  j["subjects"] = PartJson(g.dogs);
  j["total"] = PartJson(g.total);
  j["distinct_categories"] = g.categories;
  j["icc"] = {{"value", g.icc}, {"lo", g.icc_lo}, {"hi", g.icc_hi}};
  j["pooled_interactions"] = g.anova.pooled.size();
  return j;
}

}  // namespace

Expected<AgreeAnswer> AnswerAgree(const AgreeQuestion& question) {
  AgreeAnswer a;
  a.question = question;
  if (a.question.books.size() > 1 && a.question.by.empty()) {
    a.question.by = {"book"};
  }
  if (a.question.by.size() > 2) {
    return BadInput("--by", "takes one or two columns");
  }
  const auto rows = ReadStudy(question.books, question.table);
  if (!rows) return tl::unexpected(rows.error());
  const auto cells = ReadCells(*rows, a);
  if (!cells) return tl::unexpected(cells.error());
  const auto one =
      AnalyseOneWay(cells->value, cells->subject, a.subjects.size());
  if (!one) {
    return BadInput(rows->file,
                    "by \"" + question.subject + "\" " + one.error().what);
  }
  a.one_way = *one;
  a.icc_one = OneWayIcc(*one);
  a.bites_for_0_9 = BitesForReliability(a.icc_one.value, 0.9);
  if (a.question.by.size() == 1) {
    if (a.levels[0].size() < 2) {
      return BadInput(rows->file, "has a single " + a.question.by[0] + ": \"" +
                                      a.levels[0][0] + "\"");
    }
    AddReliability(SortByLevel(*cells, a), a);
  }
  if (!a.question.by.empty()) AddGauge(*cells, a);
  return a;
}

nlohmann::ordered_json AgreeJson(const AgreeAnswer& a) {
  nlohmann::ordered_json j;
  j["of"] = a.figures.of;
  j["response"] = a.question.log ? "log" : "linear";
  j["subject"] = a.question.subject;
  j["by"] = a.question.by;
  j["levels"] = a.levels;
  j["values"] = a.one_way.values;
  j["subjects"] = a.one_way.groups;
  j["left_out"] = LeftOutJson(a.figures);
  j["left_out"]["at_least"] = a.at_least;
  j["left_out"]["incomplete_subjects"] = a.incomplete;
  j["one_way"] = {{"between_ss", a.one_way.between_ss},
                  {"within_ss", a.one_way.within_ss},
                  {"between_dof", a.one_way.between_dof},
                  {"within_dof", a.one_way.within_dof},
                  {"f", Number(a.one_way.f)},
                  {"p", Number(a.one_way.p)},
                  {"within_sd", a.one_way.residual_sd},
                  {"icc", IccJson(a.icc_one)},
                  {"bites_for_0_9", nullptr}};
  if (a.bites_for_0_9) j["one_way"]["bites_for_0_9"] = *a.bites_for_0_9;
  j["reliability"] = nullptr;
  if (a.reliability) j["reliability"] = ReliabilityJson(a);
  j["bland_altman"] = nullptr;
  if (a.bland_altman) j["bland_altman"] = BlandAltmanJson(a);
  j["gauge"] = nullptr;
  if (a.gauge) j["gauge"] = GaugeJson(a);
  j["notes"] = a.notes;
  return j;
}

Expected<std::string> AgreeSvg(const AgreeAnswer& a) {
  if (!a.bland_altman) {
    return BadInput("-o",
                    "draws two ways of measuring against each other; name a "
                    "column with two levels by --by");
  }
  return report::BlandAltmanSvg({*a.bland_altman, a.levels[0][0],
                                 a.levels[0][1], a.figures.of, a.question.log});
}

}  // namespace masseter
