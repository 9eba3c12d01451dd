#include "report/compare_pictures.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "report/markup_check.h"

namespace masseter::report {
namespace {

using testing::HasSubstr;
using testing::Not;

std::size_t Count(const std::string& text, const std::string& what) {
  std::size_t count = 0;
  for (std::size_t at = text.find(what); at != std::string::npos;
       at = text.find(what, at + 1)) {
    ++count;
  }
  return count;
}

ComparePicture Three() {
  ComparePicture p;
  p.of = "peak_n";
  p.all_n = 600.0;
  p.dogs = {
      {"Brisk",
       {{700.0, Verdict::kSound, false}, {690.0, Verdict::kSound, true}},
       690.0,
       620.0,
       760.0,
       695.0,
       {0.9, 0.1, 0.0}},
      {"Juno <b>",
       {{610.0, Verdict::kDoubtful, false}, {100.0, Verdict::kVoid, false}},
       605.0,
       540.0,
       680.0,
       610.0,
       {0.1, 0.8, 0.1}},
      {"Tarn",
       {{500.0, Verdict::kSound, false}},
       520.0,
       std::nan(""),
       std::nan(""),
       std::nan(""),
       {0.0, 0.1, 0.9}}};
  return p;
}

void ExpectDrawable(const std::string& svg) {
  EXPECT_EQ(PictureError(svg), "");
  EXPECT_THAT(svg, HasSubstr("Brisk"));
}

TEST(ComparePictures, ShowEveryBiteInItsVerdictsShape) {
  const std::string svg = ComparedBitesSvg(Three());
  ExpectDrawable(svg);
  // Two dogs have an interval; a void bite and the legend's have a bar.
  EXPECT_EQ(Count(svg, "class=\"interval\""), 2U);
  EXPECT_EQ(Count(svg, "v-void bar"), 2U);
  EXPECT_EQ(Count(svg, "v-doubtful full"), 2U);
}

TEST(ComparePictures, ShowTheMeanBesideTheDogsOwn) {
  const std::string svg = ComparedMeansSvg(Three());
  ExpectDrawable(svg);
  EXPECT_EQ(Count(svg, "class=\"dot\""), 3U);
  EXPECT_EQ(Count(svg, "class=\"odd\""), 2U);
}

TEST(ComparePictures, DrawARanksProbabilityAsAnArea) {
  const std::string svg = ComparedRanksSvg(Three());
  ExpectDrawable(svg);
  EXPECT_EQ(Count(svg, "class=\"area2\""), 7U);
}

TEST(ComparePictures, SayHowManyDogsTheyLeaveOut) {
  ComparePicture p = Three();
  p.dogs.resize(100, p.dogs[0]);
  EXPECT_THAT(ComparedBitesSvg(p), HasSubstr("the first 60 of 100"));
  EXPECT_THAT(ComparedRanksSvg(p), HasSubstr("the first 30 of 100"));
  EXPECT_THAT(ComparedMeansSvg({}), HasSubstr("<svg"));
}

}  // namespace
}  // namespace masseter::report
