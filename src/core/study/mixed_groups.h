// The mixed model with one random factor, by sums over its levels. For level j
// with weight sum S_j and weighted mean row m_j = (x_j, y_j)
//
//   [X y]' V^-1 [X y] = W + sum_j c_j m_j m_j',  c_j = S_j / (1 + theta^2 S_j)
//
// where W holds the squares within levels: two sums of squares and no
// difference of large numbers. Levels of equal S_j share one sum of m_j m_j',
// so a search step costs the number of different S_j times columns^2.
#ifndef MASSETER_CORE_STUDY_MIXED_GROUPS_H_
#define MASSETER_CORE_STUDY_MIXED_GROUPS_H_

#include <Eigen/Core>
#include <vector>

#include "core/study/mixed_engine.h"

namespace masseter {

class GroupEngine : public MixedEngine {
 public:
  explicit GroupEngine(const MixedData& data);

  void SetWeights(const Eigen::VectorXd& weights) override;
  MixedPoint At(std::span<const double> theta) override;
  std::vector<std::vector<double>> Effects(std::span<const double> theta,
                                           const MixedPoint& point) override;

  // Half the derivative of the profiled criterion with respect to theta^2 has
  // this sign: positive where the criterion rises. `dof` is n or n - columns.
  double Slope(double theta2, bool restricted, double dof);

  // Squares within levels that the columns leave, rank of the columns within
  // levels, and its degrees of freedom: theta = infinity.
  struct Within {
    double ss = 0.0;
    std::size_t rank = 0;
    double dof = 0.0;
  };
  Within WithinLevels() const;
  double TotalSs() const { return y_.squaredNorm(); }

 private:
  Eigen::MatrixXd Moments(double theta2) const;

  const std::vector<std::size_t>& level_;
  std::size_t levels_;
  double log_weights_ = 0.0;  // sum of log w
  Eigen::VectorXd sum_;       // S_j
  Eigen::MatrixXd mean_row_;  // levels x (columns + 1)
  struct Alike {              // levels of the same S_j
    double sum = 0.0;
    double levels = 0.0;
    Eigen::MatrixXd squares;  // sum of m_j m_j'
  };
  std::vector<Alike> alike_;
  Eigen::MatrixXd within_;
};

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_MIXED_GROUPS_H_
