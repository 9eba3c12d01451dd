#include <algorithm>

#include "core/study/anova.h"
#include "core/study/reliability.h"
#include "selftest/certified_data.h"
#include "selftest/groups.h"

namespace masseter::selftest {
namespace {

// Shrout and Fleiss 1979 print 0.17, 0.29, 0.71, 0.44, 0.62 and 0.91.
CheckedGroup Intraclass() {
  const Table t = CertifiedTable("shrout_fleiss_1979.csv");
  RaterTable table;
  table.raters = 4;
  table.dogs = t.at("J1").size();
  for (std::size_t i = 0; i < table.dogs; ++i) {
    for (const char* judge : {"J1", "J2", "J3", "J4"}) {
      table.value.push_back(t.at(judge)[i]);
    }
  }
  CheckedLine value{
      "the six coefficients",
      {},
      {0.16574176840547553, 0.2897637795275592, 0.7148407148407154,
       0.4427971336792688, 0.6200505475989893, 0.9093155423770697},
      9};
  // The two libraries' F quantiles.
  CheckedLine bounds{
      "their 95 % intervals",
      {},
      {-0.13293232487475096, 0.7225600623281211, 0.018786513374712044,
       0.7610843696489529, 0.34246476503392614, 0.9458582599553597,
       -0.8844421552381196, 0.9124154203407756, 0.07113681530250347,
       0.9272320401677219, 0.6756747138163055, 0.9858916781690623},
      6};
  if (const auto r = AnalyseReliability(table)) {
    for (const Icc& icc : r->icc) {
      value.values.push_back(icc.value);
      bounds.values.push_back(icc.lo);
      bounds.values.push_back(icc.hi);
    }
  }
  return {"Intraclass correlation",
          "Shrout and Fleiss, Psychol. Bull. 86 (1979) 420, tables 2 to 4; in "
          "full by R 4.2.2 with psych 2.2.9.",
          {std::move(value), std::move(bounds)}};
}

struct CertifiedAnova {
  const char* name;
  Column expected;  // SS between, SS within, F, R squared, residual sd
  double digits;    // what the data keep when they are rounded to double
};

CheckedLine AnovaLine(const CertifiedAnova& set) {
  const Table t = CertifiedTable("nist_" + std::string(set.name) + ".csv");
  std::vector<std::size_t> group;
  std::size_t groups = 0;
  for (const double g : t.at("group")) {
    group.push_back(static_cast<std::size_t>(g) - 1);
    groups = std::max(groups, group.back() + 1);
  }
  CheckedLine line{set.name, {}, set.expected, set.digits};
  if (const auto a = AnalyseOneWay(t.at("y"), group, groups)) {
    line.values = {a->between_ss, a->within_ss, a->f, a->r_squared,
                   a->residual_sd};
  }
  return line;
}

}  // namespace

void AddAgreement(Groups& out) {
  out.push_back(Intraclass());
  // The data of SmLs04 and SmLs07 have 1e6 and 1e12 in front of differences of
  // 0.1, so a double keeps about 9 and 3 digits.
  const Column small = {1.68, 1.8, 21.0, 0.482758620689655, 0.1};
  const CertifiedAnova sets[] = {
      {"sirstv",
       {0.0511462616, 0.21663656, 1.18046237440255, 0.190999039051129,
        0.104076068334656},
       10},
      {"atmwtag",
       {3.638341875e-09, 1.04951729166667e-08, 15.946733567793,
        0.257426544538321, 1.5104831444641e-05},
       7},
      {"smls01", small, 13},
      {"smls04", small, 8},
      {"smls07", small, 2}};
  CheckedGroup group{"Analysis of variance",
                     "NIST Statistical Reference Datasets, one way: sums of "
                     "squares, F, R², residual sd.",
                     {}};
  for (const CertifiedAnova& set : sets) group.lines.push_back(AnovaLine(set));
  out.push_back(std::move(group));
}

}  // namespace masseter::selftest
