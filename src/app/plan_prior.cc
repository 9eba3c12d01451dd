#include "app/plan_prior.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/metrology/student_t.h"
#include "core/study/anova.h"
#include "report/significant.h"

namespace masseter {
namespace {

// Police Malinois in long attacks: median 247.0 N, interquartile range 289.8 N,
// test-retest ICC 0.75 (Hyytiäinen et al., Animals 11 (2021) 874, abstract).
// As lognormal quartiles the range is a standard deviation of ln F of 0.83;
// the ICC splits its square into dogs and bites.
constexpr double kPublishedSd = 0.83;
constexpr double kPublishedIcc = 0.75;

Expected<PlanPrior> Estimated(const PlanQuestion& q) {
  const auto rows = ReadStudy(q.book.empty() ? std::vector<std::string>{}
                                             : std::vector<std::string>{q.book},
                              q.table);
  if (!rows) return tl::unexpected(rows.error());
  const auto dog = rows->Need("dog");
  if (!dog) return tl::unexpected(dog.error());
  const auto figures = FiguresOf(*rows, q.of, {*dog}, true);
  if (!figures) return tl::unexpected(figures.error());
  std::vector<std::string> names;
  std::vector<double> value;
  std::vector<std::size_t> group;
  for (const StudyFigure& f : figures->figures) {
    if (f.at_least) continue;
    const std::string& name = rows->rows[f.row][*dog];
    const auto it = std::find(names.begin(), names.end(), name);
    group.push_back(static_cast<std::size_t>(it - names.begin()));
    if (it == names.end()) names.push_back(name);
    value.push_back(std::log(f.value));
  }
  const auto a = AnalyseOneWay(value, group, names.size());
  if (!a) return BadInput(rows->file, a.error().what);
  PlanPrior out;
  out.prior.bite_sd = std::sqrt(a->within_ms);
  out.prior.dog_sd =
      std::sqrt(std::max(0.0, (a->between_ms - a->within_ms) / a->n0));
  out.bite_sd_upper =
      out.prior.bite_sd *
      std::sqrt(a->within_dof / ChiSquaredQuantile(0.10, a->within_dof));
  if (!(out.prior.bite_sd > 0.0)) {
    return BadInput(rows->file, "has bites without any scatter");
  }
  out.from = fmt::format(
      "Spreads of ln force from {} of {} bites of {} dogs in {}: dogs {}, "
      "bites {}.",
      figures->of, a->values, a->groups, rows->file,
      Significant(out.prior.dog_sd, 2), Significant(out.prior.bite_sd, 2));
  return out;
}

}  // namespace

Expected<PlanPrior> PriorOf(const PlanQuestion& q) {
  PlanPrior out;
  const bool data = !q.book.empty() || !q.table.empty();
  if (data) {
    auto estimated = Estimated(q);
    if (!estimated) return estimated;
    out = *estimated;
  } else {
    out.assumed = !q.dog_sd || !q.bite_sd;
    out.prior.dog_sd = kPublishedSd * std::sqrt(kPublishedIcc);
    out.prior.bite_sd = kPublishedSd * std::sqrt(1.0 - kPublishedIcc);
    out.from = fmt::format(
        "Assumed spreads of ln force: dogs {}, bites {}, as in a published "
        "study of police Malinois (long attacks; ICC 0.75).",
        Significant(out.prior.dog_sd, 2), Significant(out.prior.bite_sd, 2));
  }
  if (q.dog_sd) out.prior.dog_sd = *q.dog_sd;
  if (q.bite_sd) {
    out.prior.bite_sd = *q.bite_sd;
    out.bite_sd_upper = 0.0;
  }
  if (q.dog_sd || q.bite_sd) {
    out.from = fmt::format(
        "Spreads of ln force: dogs {}{}, bites {}{}.",
        Significant(out.prior.dog_sd, 2), q.dog_sd ? " (given)" : "",
        Significant(out.prior.bite_sd, 2), q.bite_sd ? " (given)" : "");
  }
  return out;
}

}  // namespace masseter
