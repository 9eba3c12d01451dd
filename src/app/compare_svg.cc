#include <algorithm>
#include <cmath>
#include <filesystem>
#include <limits>
#include <map>

#include "app/compare_answer.h"
#include "app/compare_parts.h"
#include "app/file_io.h"
#include "core/base/text_fields.h"

namespace masseter {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

Verdict VerdictOf(const std::string& word) {
  for (const Verdict v : {Verdict::kDoubtful, Verdict::kVoid}) {
    if (word == VerdictWord(v)) return v;
  }
  return Verdict::kSound;
}

}  // namespace

report::ComparePicture ComparePictureOf(const CompareAnswer& a) {
  report::ComparePicture p;
  p.of = a.design.figures.of;
  p.all_n = kNone;
  const bool fitted = a.method != CompareMethod::kNone;
  if (fitted) {
    double sum = 0.0;
    for (std::size_t k = 0; k < a.fit.beta.size(); ++k) {
      sum += a.design.mean[k] * a.fit.beta[k];
    }
    p.all_n = a.Newtons(sum);
  }
  for (const CompareDog& d : a.dogs) {
    report::ComparedDog dog{d.name, d.seen, kNone, kNone, kNone, kNone, {}};
    if (fitted) dog.mean_n = a.Newtons(d.mean.value);
    if (d.mean.interval) {
      dog.lo_n = a.Newtons(d.mean.interval->lo);
      dog.hi_n = a.Newtons(d.mean.interval->hi);
    }
    if (d.own) dog.own_n = a.Newtons(*d.own);
    if (d.rank) dog.rank_probability = d.rank->probability;
    p.dogs.push_back(std::move(dog));
  }
  return p;
}

void AddSeenBites(CompareAnswer& a, const StudyRows& rows) {
  const auto dog = rows.Find(a.question.subject);
  const auto of = rows.Find(a.design.figures.of);
  const auto verdict = rows.Find("verdict");
  if (!dog || !of) return;
  std::map<std::string, std::size_t> index;
  for (std::size_t j = 0; j < a.dogs.size(); ++j) index[a.dogs[j].name] = j;
  std::vector<char> counted(rows.rows.size(), 0);
  std::vector<char> bound(rows.rows.size(), 0);
  for (std::size_t i = 0; i < a.design.value_row.size(); ++i) {
    counted[a.design.value_row[i]] = 1;
    if (a.design.data.at_least.empty()) continue;
    bound[a.design.value_row[i]] = a.design.data.at_least[i];
  }
  for (std::size_t r = 0; r < rows.rows.size(); ++r) {
    const Verdict v =
        verdict ? VerdictOf(rows.rows[r][*verdict]) : Verdict::kSound;
    const auto found = index.find(rows.rows[r][*dog]);
    const auto force = ParseNumber(rows.rows[r][*of]);
    const bool drawn = counted[r] != 0 || v == Verdict::kVoid;
    if (found == index.end() || !force || !drawn) continue;
    a.dogs[found->second].seen.push_back({*force, v, bound[r] != 0});
  }
}

Expected<std::vector<std::string>> WriteComparePictures(
    const CompareAnswer& a, const std::string& folder) {
  std::error_code failed;
  std::filesystem::create_directories(folder, failed);
  if (failed) {
    return MachineFailure(folder, "cannot be made: " + failed.message());
  }
  const report::ComparePicture picture = ComparePictureOf(a);
  std::vector<std::string> out;
  const auto write = [&](const char* name, const std::string& svg) {
    out.push_back(folder + "/" + name);
    return WriteText(out.back(), svg);
  };
  if (auto ok = write("bites.svg", ComparedBitesSvg(picture)); !ok) {
    return tl::unexpected(ok.error());
  }
  if (a.method == CompareMethod::kNone) return out;
  if (auto ok = write("means.svg", ComparedMeansSvg(picture)); !ok) {
    return tl::unexpected(ok.error());
  }
  if (a.dogs[0].rank) {
    if (auto ok = write("ranks.svg", ComparedRanksSvg(picture)); !ok) {
      return tl::unexpected(ok.error());
    }
  }
  return out;
}

}  // namespace masseter
