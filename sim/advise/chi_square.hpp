#pragma once

namespace ovolo {

/// Chance that a chi-square variable with `freedom` degrees of freedom (0: always 1) exceeds x >= 0.
/// Incomplete gamma function by series or continued fraction (Abramowitz and Stegun 6.5.29, 6.5.31).
double chi_square_tail(double x, int freedom);

}  // namespace ovolo
