#include "sim/advise/as_written.hpp"

#include <cmath>

namespace ovolo {

double as_written(double mm, bool inch) {
  const double step = inch ? 0.00254 : 0.001;
  return step * std::round(mm / step);
}

}  // namespace ovolo
