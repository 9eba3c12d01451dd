// Pictures of dogs beside each other, as SVG: every bite with its dog's
// interval, the shrunken means in order, and how probable each rank is. A row
// is a dog, strongest on top; the verdict is told by shape, a probability by
// size, so that colour only repeats. Pure functions of their model.
#ifndef MASSETER_REPORT_COMPARE_PICTURES_H_
#define MASSETER_REPORT_COMPARE_PICTURES_H_

#include <cstddef>
#include <string>
#include <vector>

#include "core/bite/bite.h"

namespace masseter::report {

struct ComparedBite {
  double force_n = 0.0;
  Verdict verdict = Verdict::kSound;
  bool at_least = false;
};

// NaN where a figure cannot be had.
struct ComparedDog {
  std::string name;
  std::vector<ComparedBite> bites;  // void ones too
  double mean_n = 0.0;              // shrunken
  double lo_n = 0.0;
  double hi_n = 0.0;
  double own_n = 0.0;                    // of its own bites alone
  std::vector<double> rank_probability;  // empty: no ranks
};

struct ComparePicture {
  std::string of;                 // "peak_n"
  std::vector<ComparedDog> dogs;  // strongest first
  double all_n = 0.0;             // the middle of all dogs
  // Rows that there is room for; the picture says when dogs are left out.
  std::size_t most = static_cast<std::size_t>(-1);
};

// Rows beyond these are left out too.
inline constexpr std::size_t kMostPictureDogs = 60;
inline constexpr std::size_t kMostRankDogs = 30;

// One <svg> element each, for a page with the report's style sheet.
std::string ComparedBitesPlot(const ComparePicture& picture);
std::string ComparedMeansPlot(const ComparePicture& picture);
std::string ComparedRanksPlot(const ComparePicture& picture);

// The same as files of their own.
std::string ComparedBitesSvg(const ComparePicture& picture);
std::string ComparedMeansSvg(const ComparePicture& picture);
std::string ComparedRanksSvg(const ComparePicture& picture);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_COMPARE_PICTURES_H_
