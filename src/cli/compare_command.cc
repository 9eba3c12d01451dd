#include <fmt/format.h>

#include <cmath>

#include "app/compare_answer.h"
#include "app/file_io.h"
#include "cli/command.h"
#include "cli/terminal_lines.h"
#include "cli/usage_words.h"
#include "report/significant.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  CompareQuestion question;
  std::string response = "log";
  std::string pictures;
};

std::string Share(double v) { return FixedText(v, 2); }

std::string PText(double p) {
  if (!std::isfinite(p)) return "";
  return p < 0.001 ? "< 0.001" : FixedText(p, 3);
}

// Empty where an end cannot be had.
std::string Between(double lo, double hi, int digits) {
  if (!std::isfinite(lo) || !std::isfinite(hi)) return "";
  return Significant(lo, digits) + " to " + Significant(hi, digits);
}

std::string Range(const CompareAnswer& a, const CompareFigure& f) {
  if (!f.interval) return "";
  return Between(a.Newtons(f.interval->lo), a.Newtons(f.interval->hi), 3);
}

std::string Percent(double ln) {
  return Significant(100.0 * std::expm1(ln), 2) + " %";
}

// A difference in words' unit: per cent of the second on logarithms, else N.
std::string Difference(const CompareAnswer& a, double v) {
  return a.question.log ? Percent(v) : Significant(v, 3) + " N";
}

std::string DogsText(const CompareAnswer& a) {
  TextTable table;
  const bool ranked = !a.dogs.empty() && a.dogs[0].rank.has_value();
  table.AddColumn(a.question.subject, Align::kLeft, 24);
  table.AddColumn("bites", Align::kRight);
  table.AddColumn("mean, N", Align::kPoint);
  table.AddColumn("95 % interval", Align::kLeft);
  table.AddColumn("own bites alone", Align::kPoint);
  const bool many = a.dogs.size() > 4;
  if (ranked) {
    table.AddColumn("rank", Align::kLeft);
    table.AddColumn("strongest", Align::kPoint);
    if (many) table.AddColumn("among the three strongest", Align::kPoint);
  }
  for (const CompareDog& d : a.dogs) {
    const bool none =
        a.method == CompareMethod::kNone || !std::isfinite(d.mean.value);
    std::vector<std::string> row = {
        d.name,
        std::to_string(d.bites) +
            (d.at_least > 0 ? fmt::format(", {} ≥", d.at_least) : ""),
        none ? "≥ " + Significant(d.highest_bound.value_or(0.0), 3)
             : Significant(a.Newtons(d.mean.value), 3),
        Range(a, d.mean), d.own ? Significant(a.Newtons(*d.own), 3) : ""};
    if (d.rank) {
      row.push_back(d.rank->lo == d.rank->hi
                        ? std::to_string(d.rank->lo)
                        : fmt::format("{}–{}", d.rank->lo, d.rank->hi));
      row.push_back(Share(d.rank->strongest));
      if (many) row.push_back(Share(d.rank->among_three));
    }
    table.AddRow(std::move(row));
  }
  return table.Text(TerminalIsUtf8());
}

std::string ReliabilityText(const CompareAnswer& a) {
  std::string text;
  if (a.icc) {
    text += "Reliability of one bite, ICC: " + Share(a.icc->value);
    if (a.icc->interval) {
      text += fmt::format(" (95 % {} to {})", Share(a.icc->interval->lo),
                          Share(a.icc->interval->hi));
    }
    text += a.bites_for_0_9 ? fmt::format(". The mean of {} reaches 0.9.\n",
                                          CountText(*a.bites_for_0_9, "bite"))
                            : ". No number of bites is known to reach 0.9.\n";
  }
  if (!a.told() && a.dogs.size() > 1) return text;
  text += fmt::format(
      "Two single bites less than {} apart may be the same dog's.\n",
      Difference(a, a.one_bite_difference));
  return text;
}

std::string PairsText(const CompareAnswer& a) {
  if (a.pairs.pairs.empty()) return "";
  std::size_t told = 0;
  TextTable table;
  table.AddColumn("stronger", Align::kLeft, 20);
  table.AddColumn("than", Align::kLeft, 20);
  table.AddColumn("by", Align::kPoint);
  table.AddColumn("all pairs together, 95 %", Align::kLeft);
  for (const DogPair& p : a.pairs.pairs) {
    if (!p.told_apart) continue;
    ++told;
    table.AddRow({a.dogs[p.a].name, a.dogs[p.b].name,
                  Difference(a, p.difference),
                  Difference(a, p.lo) + " to " + Difference(a, p.hi)});
  }
  std::string text = fmt::format("\n{} of {} pairs can be told apart.\n", told,
                                 a.pairs.pairs.size());
  return told > 0 ? text + table.Text(TerminalIsUtf8()) : text;
}

std::string BreedsText(const CompareAnswer& a) {
  if (a.breeds.empty()) return "";
  TextTable table;
  table.AddColumn("breed", Align::kLeft, 30);
  table.AddColumn("dogs", Align::kRight);
  table.AddColumn("bites", Align::kRight);
  table.AddColumn("mean, N", Align::kPoint);
  table.AddColumn("95 % interval", Align::kLeft);
  for (const CompareBreed& b : a.breeds) {
    table.AddRow({b.name, std::to_string(b.dogs), std::to_string(b.bites),
                  Significant(a.Newtons(b.mean.value), 3), Range(a, b.mean)});
  }
  std::string text = "\n" + table.Text(TerminalIsUtf8());
  for (const CompareBreedPair& p : a.breed_pairs) {
    const CompareFigure& d = p.difference;
    text += fmt::format("{} against {}: {} (95 % {} to {}){}.\n",
                        a.breeds[p.a].name, a.breeds[p.b].name,
                        Difference(a, d.value), Difference(a, d.interval->lo),
                        Difference(a, d.interval->hi),
                        p.told_apart ? "" : "; not told apart");
  }
  text += fmt::format(
      "About {} dogs of each breed would tell a difference of {} %.\n",
      *a.dogs_per_breed, Significant(100.0 * a.question.difference, 2));
  return text;
}

std::string ModelText(const CompareAnswer& a) {
  TextTable parts;
  parts.AddColumn("spread", Align::kLeft);
  parts.AddColumn(a.question.log ? "sd of ln N" : "sd, N", Align::kPoint);
  parts.AddColumn("95 % interval", Align::kLeft);
  for (const CompareComponent& c : a.parts) {
    if (&c == &a.parts[0] && !a.told()) continue;
    std::string range;
    if (c.sd) {
      range = Between(c.sd->lo, c.sd->hi, 3);
    }
    parts.AddRow({c.name == "residual" ? "bite to bite" : c.name,
                  Significant(std::sqrt(c.variance), 3), range});
  }
  std::string text = "\n" + parts.Text(TerminalIsUtf8());
  if (a.terms.size() < 2) return text;
  TextTable terms;
  terms.AddColumn("term", Align::kLeft, 30);
  terms.AddColumn("estimate", Align::kPoint);
  terms.AddColumn("95 % interval", Align::kLeft);
  terms.AddColumn("p", Align::kPoint);
  for (const CompareTerm& t : a.terms) {
    terms.AddRow({t.name, Significant(t.estimate, 4),
                  Between(t.interval.lo, t.interval.hi, 4), PText(t.p)});
  }
  return text + terms.Text(TerminalIsUtf8());
}

std::string Answer(const CompareAnswer& a) {
  std::string text = DogsText(a);
  if (a.method != CompareMethod::kNone) {
    text += ReliabilityText(a) + PairsText(a) + BreedsText(a) + ModelText(a);
  }
  std::string notes;
  for (const OddValue& o : a.odd) {
    const std::size_t dog = a.design.data.random[0].level[o.value];
    notes += fmt::format(
        "Note: {} N of {} lies {} standard deviations from what its other "
        "bites let expect.\n",
        Significant(a.design.newtons[o.value], 3), a.design.dogs[dog],
        Significant(o.deviation, 2));
  }
  for (const CompareNote& n : a.notes) notes += "Note: " + n.text + ".\n";
  const std::string left = LeftOutWords(a.design.figures);
  if (!left.empty()) notes += left + "\n";
  return text + (notes.empty() ? "" : "\n" + notes);
}

Expected<void> Run(const Options& o, bool json) {
  CompareQuestion question = o.question;
  question.log = o.response == "log";
  const auto answer = AnswerCompare(question);
  if (!answer) return tl::unexpected(answer.error());
  std::string wrote;
  if (!o.pictures.empty()) {
    const auto paths = WriteComparePictures(*answer, o.pictures);
    if (!paths) return tl::unexpected(paths.error());
    for (const std::string& path : *paths) wrote += "Wrote " + path + ".\n";
  }
  if (json) return PrintJson(CompareJson(*answer));
  return Print(TerminalLines(Answer(*answer)) + wrote);
}

}  // namespace

void AddCompare(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  CompareQuestion& q = o->question;
  Command command(app, "compare",
                  "Which dogs bite harder, and how sure that is");
  command.Add("BOOK", q.books, "One or more logbooks");
  command.Add("--table", q.table,
              "A table with a header instead, one row a bite");
  command.Add("--of", q.of, "The figure's column (peak_n, squeeze_n, ...)");
  command
      .Add("--response", o->response,
           "log (differences are ratios; the usual) or linear")
      .OneOf({"linear", "log"});
  command
      .Add("--fixed", q.fixed,
           "Columns to take into account: breed, mass_kg, x_mm, order, "
           "practice, ...")
      .SplitAt(',');
  command
      .Add("--random", q.random,
           "Columns whose levels are a sample, besides the dog: day, "
           "helper; batch:cask joins two")
      .SplitAt(',');
  command
      .Add("--names", q.factors,
           "Columns of numbers to take as names, not amounts")
      .SplitAt(',');
  command.Add("--subject", q.subject, "The column of what is compared (dog)");
  command.Add(
      "--u95", q.u95,
      "The column with the instrument's 95 % half-width, or none (a logbook's "
      "own is used)");
  command.AddFlag("--ml", q.full_likelihood,
                  "Full instead of restricted likelihood");
  command
      .Add("--difference", q.difference,
           "Difference of breeds that should be told (0.2)")
      .Between(0.01, 10.0);
  command.Add("--pictures", o->pictures,
              "Draw bites, means and ranks (SVG) into this folder");
  Bind<Options>(command, call, o,
                "masseter compare day.book --fixed breed,mass_kg", Run);
}

}  // namespace masseter::cli
