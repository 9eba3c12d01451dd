#include "app/explain_pair.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "app/bite_list.h"
#include "app/calendar_day.h"
#include "app/validity.h"
#include "report/figure_text.h"

namespace masseter {
namespace {

constexpr double kCoverage95 = 1.959964;

Expected<void> Comparable(const ReplayedBite& b) {
  if (b.calibration && b.measured.bite.peak_n && b.measured.steps) return {};
  return BadInput(std::to_string(b.measured.bite.id),
                  "this bite has no figure in newtons with an uncertainty; "
                  "calibrate first");
}

std::string NameOf(const ReplayedBite& b) {
  const Bite& bite = b.measured.bite;
  return "bite " + std::to_string(bite.id) +
         (bite.dog.empty() ? "" : " (" + bite.dog + ")");
}

// Whole newtons, or more digits for small ones.
std::string Newtons(double n) {
  return FixedText(n, std::abs(n) < 9.95 ? 1 : 0) + " N";
}

const CauseShare* ShareOf(const Disagreement& d) {
  for (const CauseShare& s : d.shares) {
    if (s.cause == d.cause && s.side == d.side) return &s;
  }
  return nullptr;
}

std::string Range(std::optional<double> low, std::optional<double> high) {
  if (low && high) {
    const double wide = 0.5 * (*high - *low);
    const int decimals =
        wide > 0.0 ? std::max(0, UncertaintyDecimals(wide)) : 0;
    return Typographic(FixedText(*low, decimals) + " to " +
                       FixedText(*high, decimals) + " N");
  }
  if (low) return FixedText(*low, 0) + " N or more";
  if (high) return FixedText(*high, 0) + " N or less";
  return "unknown";
}

std::string LostSentence(const PairExplanation& p) {
  const ReplayedBite& cut = p.split.side == Side::kFirst ? p.first : p.second;
  const ReplayedBite& whole = p.split.side == Side::kFirst ? p.second : p.first;
  return "The two cannot be compared: " +
         CauseWords(p.split.cause, p.split.side, p) + " took force away, so " +
         NameOf(cut) + " is known only as at least " +
         FixedText(*PeakLow(cut.measured.bite), 0) +
         " N, and what it lost can make up the whole difference to " +
         NameOf(whole) + ".";
}

std::string DogSentence(const PairExplanation& p) {
  const Disagreement& d = p.split;
  const bool first = d.dog_n.value_or(d.difference_n) > 0.0;
  const ReplayedBite& strong = first ? p.first : p.second;
  const ReplayedBite& weak = first ? p.second : p.first;
  const bool same = strong.measured.bite.dog == weak.measured.bite.dog;
  auto low = first ? d.dog_low_n : d.dog_high_n;
  auto high = first ? d.dog_high_n : d.dog_low_n;
  if (!first && low) low = -*low;
  if (!first && high) high = -*high;
  return std::string(same ? "It is the dog" : "It is the dogs") + ": " +
         NameOf(strong) + " is harder than " + NameOf(weak) + " by " +
         (d.dog_n ? Newtons(std::abs(*d.dog_n)) + " (" + Range(low, high) + ")"
                  : Range(low, high)) +
         "; the instrument does not explain that.";
}

std::string AgreeSentence(const PairExplanation& p) {
  const Disagreement& d = p.split;
  return "The two cannot be told apart: their figures lie " +
         Newtons(std::abs(d.difference_n)) +
         " apart, and the dog's part of that may be " +
         Range(d.dog_low_n, d.dog_high_n) +
         "; most of what is open comes from " + CauseWords(d.cause, d.side, p) +
         ".";
}

std::string SentenceOf(const PairExplanation& p) {
  const Disagreement& d = p.split;
  const CauseShare* share = ShareOf(d);
  if (d.cause != "dog" && share != nullptr && !share->share_n) {
    return LostSentence(p);
  }
  if (d.agree && d.dog_n) return AgreeSentence(p);
  if (d.cause == "dog" || share == nullptr) return DogSentence(p);
  const double most = std::abs(*share->share_n);
  const bool done = std::abs(share->corrected_n) > 0.5 * most;
  return "It is most of all " + CauseWords(d.cause, d.side, p) + ": " +
         Newtons(most) + " of what a plain read-out would show between them" +
         (done ? "; the figures have it taken out already."
               : ", and the figures cannot be freed of it (" +
                     Range(share->low_n, share->high_n) + ").");
}

bool HasTwoEnds(const Bite& b) {
  return b.peak_n && b.peak_u95_n && *b.peak_u95_n > 0.0 && !b.at_least &&
         b.verdict != Verdict::kVoid;
}

ConsistencyGroup GroupOf(std::string of, bool dog,
                         const std::vector<const Bite*>& bites) {
  ConsistencyGroup out{std::move(of), dog, 0, std::nullopt};
  std::vector<StatedValue> values;
  for (const Bite* b : bites) {
    if (HasTwoEnds(*b)) {
      values.push_back({*b->peak_n, *b->peak_u95_n / kCoverage95});
    } else {
      ++out.left_out;
    }
  }
  out.test = TestConsistency(values);
  return out;
}

Expected<void> AddGroups(const std::string& book_path, PairExplanation& p) {
  const auto all = ListBites(book_path);
  if (!all) return tl::unexpected(all.error());
  const auto logbook = Logbook::Open(book_path, Access::kRead);
  if (!logbook) return tl::unexpected(logbook.error());
  const auto captures = logbook->Captures();
  if (!captures) return tl::unexpected(captures.error());
  std::map<std::int64_t, const CaptureInfo*> by_id;
  for (const CaptureInfo& c : *captures) by_id[c.id] = &c;
  const auto day_of = [&](std::int64_t capture, double t_s) {
    const auto it = by_id.find(capture);
    return it == by_id.end() ? std::string()
                             : DayText(WallTime(*it->second, t_s));
  };
  for (const ReplayedBite* one : {&p.first, &p.second}) {
    const Bite& bite = one->measured.bite;
    const std::string day = day_of(one->capture.id, bite.end_s);
    std::vector<const Bite*> of_dog;
    std::vector<const Bite*> of_day;
    for (const StoredBite& s : *all) {
      if (!bite.dog.empty() && s.bite.dog == bite.dog) {
        of_dog.push_back(&s.bite);
      }
      if (day_of(s.provenance.capture, s.bite.end_s) == day) {
        of_day.push_back(&s.bite);
      }
    }
    const auto add = [&](const std::string& of, bool dog, const auto& bites) {
      for (const ConsistencyGroup& g : p.groups) {
        if (g.of == of && g.dog == dog) return;
      }
      if (!of.empty()) p.groups.push_back(GroupOf(of, dog, bites));
    };
    add(bite.dog, true, of_dog);
    add(day, false, of_day);
  }
  std::stable_sort(p.groups.begin(), p.groups.end(),
                   [](const auto& a, const auto& b) { return a.dog > b.dog; });
  return {};
}

}  // namespace

std::string CauseWords(const std::string& cause, Side side,
                       const PairExplanation& p) {
  static const std::map<std::string, std::string> kWords = {
      {"dog", "the dog"},
      {"place", "where they were gripped"},
      {"zero", "a zero that moved"},
      {"sampling", "sampling and noise at the crest"},
      {"calibration", "the calibration"},
      {"gap", "the missing samples"},
      {"restart", "the loss of power"},
      {"sag", "the low supply"},
      {"rail", "a converter at its end"},
      {"overload", "an overloaded cell"},
      {"stuck", "the stuck channel"},
      {"glitch", "impossible values"},
      {"loose", "the loose channel"}};
  const auto it = kWords.find(cause);
  std::string out = it == kWords.end() ? cause : it->second;
  if (side == Side::kBoth) return out;
  return out + " in bite " +
         std::to_string(
             (side == Side::kFirst ? p.first : p.second).measured.bite.id);
}

Expected<PairExplanation> ExplainPair(const std::string& book_path,
                                      std::int64_t first, std::int64_t second) {
  if (first == second) {
    return BadInput(std::to_string(second),
                    "the same bite twice; name two of them");
  }
  auto bites = ReplayBites(book_path, {first, second});
  if (!bites) return tl::unexpected(bites.error());
  for (const ReplayedBite& b : *bites) {
    if (auto ok = Comparable(b); !ok) return tl::unexpected(ok.error());
  }
  PairExplanation out;
  out.first = std::move((*bites)[0]);
  out.second = std::move((*bites)[1]);
  out.split =
      SplitDifference(out.first.measured, *out.first.calibration,
                      out.second.measured, *out.second.calibration,
                      out.first.calibration_id == out.second.calibration_id);
  out.sentence = SentenceOf(out);
  if (auto ok = AddGroups(book_path, out); !ok) {
    return tl::unexpected(ok.error());
  }
  return out;
}

}  // namespace masseter
