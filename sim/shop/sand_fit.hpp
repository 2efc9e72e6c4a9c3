#pragma once
#include <vector>

#include "sim/shop/sand_rates.hpp"

namespace ovolo {

/// One part that the shop sanded and timed.
struct SandTiming {
  double seconds = 0;     ///< > 0
  double equivalent = 0;  ///< mm^3 of P120's work predicted for the part, >= 0
  double stroke = 0;      ///< mm of edge gone over, counted for each grit, >= 0
};

struct SandFit {
  SandRates rates;  ///< the fitted rates with their 95 % ranges; a rate that was held keeps its own
  bool per_metre_fitted = false;
  double scatter = 0;  ///< s, standard deviation of a part's time about the fit
  int freedom = 0;     ///< parts less fitted rates
  double handling_error = 0, per_metre_error = 0,
         per_mm3_error = 0;  ///< one standard error; 0 for a held rate
  double correlation = 0;    ///< of handling and per_mm3
};

/// Rates by least squares from three or more timings: handling and per_mm3; per_metre too when
/// `fit_per_metre`, from four or more, else it is held at `held`'s. Ranges are value +- Student's t times the
/// standard error, never below 0. Throws JobError, with the mend, on too few timings, on values that cannot
/// be, when the parts are too alike to tell the rates apart, or when the times contradict the volumes (a rate
/// below 0).
SandFit fit_sand_rates(const std::vector<SandTiming>& timings, const SandRates& held,
                       bool fit_per_metre = false);

/// 97.5 % point of Student's t, freedom >= 1.
double student_t(int freedom);

}  // namespace ovolo
