#include "core/quantity/quantity_text.h"

#include <gtest/gtest.h>

#include "core/quantity/units.h"

namespace masseter {
namespace {

// Exact factors: NIST SP 811 (2008), appendix B.
TEST(QuantityText, ReadsEveryUnitInEverySpelling) {
  const auto pressure = [](std::string_view text) {
    const auto p = ReadPressure(text, "p");
    EXPECT_TRUE(p.has_value()) << text;
    return p ? p->low.si() : 0.0;
  };
  EXPECT_DOUBLE_EQ(pressure("1 psi"), 6894.757293168361);
  EXPECT_DOUBLE_EQ(pressure("1 PSI"), 6894.757293168361);
  EXPECT_DOUBLE_EQ(pressure("1psi"), 6894.757293168361);
  EXPECT_DOUBLE_EQ(pressure("1 lbf/in²"), 6894.757293168361);
  EXPECT_DOUBLE_EQ(pressure("1 pounds per square inch"), 6894.757293168361);
  EXPECT_DOUBLE_EQ(pressure("1 kPa"), 1000.0);
  EXPECT_DOUBLE_EQ(pressure("+1 MPa"), 1e6);
  EXPECT_DOUBLE_EQ(pressure("1e-1 bar"), 1e4);
  EXPECT_DOUBLE_EQ(pressure(" 1  kgf/cm² "), 98066.5);
  const auto area = [](std::string_view text) {
    const auto a = ReadArea(text, "a");
    EXPECT_TRUE(a.has_value()) << text;
    return a ? a->low.si() : 0.0;
  };
  for (const char* mm : {"1 mm2", "1mm²", "1 mm^2", "1 sq mm", "1 square mm"}) {
    EXPECT_DOUBLE_EQ(area(mm), 1e-6) << mm;
  }
  for (const char* in : {"1 in2", "1 in²", "1 sq. in.", "1 square inch"}) {
    EXPECT_DOUBLE_EQ(area(in), 0.00064516) << in;
  }
  EXPECT_DOUBLE_EQ(area(".5 cm2"), 0.5e-4);
  EXPECT_DOUBLE_EQ(ReadForce("2 lbf", "f")->low.si(), 8.896443230521);
  EXPECT_DOUBLE_EQ(ReadForce("2 kgf", "f")->low.si(), 19.6133);
  EXPECT_DOUBLE_EQ(ReadForce("2 pound-force", "f")->low.si(), 8.896443230521);
  EXPECT_DOUBLE_EQ(ReadForce("743 newtons", "f")->high.si(), 743.0);
}

TEST(QuantityText, ReadsRanges) {
  for (const char* text :
       {"1-3 cm2", "1 - 3 cm2", "1–3 cm²", "1..3 cm2", "1...3 cm2",
        "1 to 3 cm2", "1 cm2 to 3 cm2", "100 mm2 - 3 cm2", "2 ± 1 cm2",
        "2+/-1 cm2", "2 cm2 ± 100 mm2"}) {
    const auto a = ReadArea(text, "a");
    ASSERT_TRUE(a.has_value()) << text << ": " << a.error().Text();
    EXPECT_DOUBLE_EQ(a->low.si(), 1e-4) << text;
    EXPECT_DOUBLE_EQ(a->high.si(), 3e-4) << text;
  }
  EXPECT_TRUE(ReadArea("1 cm2", "a")->single());
}

struct Refused {
  const char* text;
  const char* says;
};

template <class Read>
void ExpectRefused(const Read& read, const std::vector<Refused>& cases) {
  for (const Refused& c : cases) {
    const auto got = read(c.text, "--it");
    ASSERT_FALSE(got.has_value()) << c.text;
    EXPECT_NE(got.error().Text().find(c.says), std::string::npos)
        << c.text << ": " << got.error().Text();
    EXPECT_EQ(got.error().Text().find('\n'), std::string::npos);
    EXPECT_EQ(got.error().kind, ErrorKind::kBadInput);
  }
}

TEST(QuantityText, RefusesNonsenseInOneSentence) {
  ExpectRefused(ReadArea, {{"-1 cm2", "must be above zero"},
                           {"0 cm2", "must be above zero"},
                           {"1--3 cm2", "must be above zero"},
                           {"3-1 cm2", "larger end first"},
                           {"1 ± 2 cm2", "must be above zero"},
                           {"1", "has no unit"},
                           {"cm2", "is not an area"},
                           {"1,5 cm2", "comma"},
                           {"1 cm", "does not know the unit"},
                           {"1 N", "is a unit of force, not of area"}});
  ExpectRefused(ReadForce, {{"450 psi", "is a unit of pressure, not of force"},
                            {"40 kg", "is a unit of mass, not of force"},
                            {"300 pounds", "is a unit of mass, not of force"},
                            {"", "is empty"},
                            {"   ", "is empty"},
                            {"nan N", "is not a finite number"},
                            {"inf N", "is not a finite number"},
                            {"1e400 N", "is not a"}});
  ExpectRefused(ReadPressure,
                {{"743 N", "is a unit of force, not of pressure"},
                 {"1 mPa", "could be millipascal"},
                 {"1 mpa", "could be millipascal"},
                 {"lots of psi", "is not a pressure"},
                 {"450 psi!", "does not know the unit"},
                 {"2 cm2", "is a unit of area, not of pressure"}});
}

}  // namespace
}  // namespace masseter
