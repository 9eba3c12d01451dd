// Student's t against its closed forms; the GUM's examples are lines of the
// selftest.
#include <cmath>
#include <numbers>

#include "core/metrology/student_t.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

TEST(StudentT, QuantilesAgreeWithTheirClosedForms) {
  // Shaw, J. Comput. Finance 9 (2006) 37: 1, 2 and 4 degrees of freedom.
  for (const double p : {0.501, 0.6, 0.75, 0.9, 0.975, 0.995, 0.9999}) {
    const double a = 4.0 * p * (1.0 - p);
    const double one = std::tan(std::numbers::pi * (p - 0.5));
    const double two = 2.0 * (p - 0.5) * std::sqrt(2.0 / a);
    const double q = std::cos(std::acos(std::sqrt(a)) / 3.0) / std::sqrt(a);
    const double four = 2.0 * std::sqrt(q - 1.0);
    // At p = 0.501 the closed form for 4 loses five digits in q - 1.
    EXPECT_NEAR(StudentTQuantile(p, 1), one, 1e-12 * one) << p;
    EXPECT_NEAR(StudentTQuantile(p, 2), two, 1e-12 * two) << p;
    EXPECT_NEAR(StudentTQuantile(p, 4), four, 1e-10 * four) << p;
    EXPECT_NEAR(StudentTQuantile(1.0 - p, 4), -four, 1e-10 * four) << p;
  }
}

}  // namespace
}  // namespace masseter
