#include "core/study/published_ranges.h"

#include <array>

namespace masseter {

std::span<const PublishedRange> PublishedRanges() {
  // The two middle halves are median and interquartile range laid out as
  // lognormal quartiles; the papers print the median and the range only.
  static constexpr std::array<PublishedRange, 5> kRanges = {
      {{"pet dogs, chewing on rawhide",
        "voluntary; transducer rolled into rawhide", 13.0, 1394.0, 163.0,
        "lowest to highest of 101 readings", 7.0, 55.0, 22,
        "Lindner et al., J Vet Dent 1995",
        "abstract as quoted elsewhere; range also in Kim et al. 2018, Table 1"},
       {"anaesthetised dogs, stimulated, at a canine tooth",
        "jaw muscles stimulated electrically under anaesthesia", 147.0, 946.0,
        0.0, "lowest to highest", 0.0, 0.0, 20,
        "Ellis et al., J Anat 212 (2008) 769", "abstract"},
       {"anaesthetised dogs, stimulated, at a second molar",
        "jaw muscles stimulated electrically under anaesthesia", 524.0, 3417.0,
        0.0, "lowest to highest", 0.0, 0.0, 20,
        "Ellis et al., J Anat 212 (2008) 769", "abstract"},
       {"police German Shepherds, long attack into a sleeve",
        "running attack; sleeve with three force sensors", 164.0, 792.0, 360.4,
        "middle half, computed from median and interquartile range", 0.0, 0.0,
        7, "Hyytiäinen et al., Animals 11 (2021) 874",
        "abstract; the quartiles assume a lognormal spread"},
       {"police Malinois, long attack into a sleeve",
        "running attack; sleeve with three force sensors", 141.0, 431.0, 247.0,
        "middle half, computed from median and interquartile range", 0.0, 0.0,
        13, "Hyytiäinen et al., Animals 11 (2021) 874",
        "abstract; the quartiles assume a lognormal spread"}}};
  return kRanges;
}

}  // namespace masseter
