// Monte Carlo against the worked example of JCGM 101 that is not linear.
#include <cmath>
#include <vector>

#include "core/base/random_draws.h"
#include "core/trust/propagate.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

// JCGM 101:2008, 9.3: calibration of a mass standard in air,
//   dm = (m_Rc + dm_Rc) (1 + (rho_a - 1.2) (1/rho_W - 1/rho_R)) - m_nom,
// mg and kg/m3. Printed there: mean 1.2341, u 0.0754, shortest interval
// 1.0834 to 1.3825 (Monte Carlo); exact by quadrature: 1.2340, 0.07548, 1.0844
// to 1.3836. Tolerances: the numerical tolerance of the example, 0.005 mg for
// the wandering ends of a shortest interval, a tenth of it for the others.
TEST(MonteCarlo, CalibratesTheMassOfJcgm101Clause93) {
  RandomStream random(9);
  const auto even = [&](double low, double high) {
    return low + (high - low) * random.Uniform();
  };
  std::vector<double> dm(1000000);
  double sum = 0.0;
  for (double& y : dm) {
    const double mass =
        100000.0 + 0.050 * random.Normal() + 1.234 + 0.020 * random.Normal();
    const double air = even(1.10, 1.30);
    const double weight = even(7000.0, 9000.0);
    const double reference = even(7950.0, 8050.0);
    y = mass * (1.0 + (air - 1.2) * (1.0 / weight - 1.0 / reference)) -
        100000.0;
    sum += y;
  }
  const double mean = sum / static_cast<double>(dm.size());
  double squares = 0.0;
  for (const double y : dm) squares += (y - mean) * (y - mean);
  EXPECT_NEAR(mean, 1.2340, 0.0005);
  EXPECT_NEAR(std::sqrt(squares / static_cast<double>(dm.size() - 1)), 0.07548,
              0.0005);
  std::vector<double> copy = dm;
  const CoverageEnds even_tails =
      CoverageOf(copy, 0.95, IntervalKind::kSymmetric);
  EXPECT_NEAR(even_tails.low, 1.0844333, 0.0005);
  EXPECT_NEAR(even_tails.high, 1.3835668, 0.0005);
  const CoverageEnds shortest = CoverageOf(dm, 0.95, IntervalKind::kShortest);
  EXPECT_NEAR(shortest.low, 1.0844333, 0.005);
  EXPECT_NEAR(shortest.high, 1.3835667, 0.005);
  EXPECT_LE(shortest.high - shortest.low, even_tails.high - even_tails.low);
}

}  // namespace
}  // namespace masseter
