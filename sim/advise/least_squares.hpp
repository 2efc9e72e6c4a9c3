#pragma once
#include <functional>
#include <vector>

namespace ovolo {

/// A small dense symmetric matrix, row by row.
using Matrix = std::vector<double>;

/// Inverse of a symmetric positive definite n x n matrix (Cholesky's method); empty when it is not.
Matrix inverse(const Matrix& m, std::size_t n);

struct LeastSquares {
  std::vector<double> at;         ///< the unknowns
  Matrix covariance;              ///< of the unknowns, n x n
  std::vector<double> residuals;  ///< at the solution
  Matrix slopes;                  ///< of the residuals: one row of n for each
  double sum = 0;                 ///< of squares
};

/// Unknowns that make the sum of squares of `residuals(unknowns)` least, from `start`. Residuals are to be in
/// units of their standard deviation and must not all be blind to an unknown. Slopes by central differences
/// of `step`. `bounded` may move unknowns back to where they can be.
LeastSquares least_squares(const std::function<std::vector<double>(const std::vector<double>&)>& residuals,
                           std::vector<double> start, double step,
                           const std::function<void(std::vector<double>&)>& bounded);

}  // namespace ovolo
