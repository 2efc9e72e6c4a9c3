#include "sim/job.hpp"

namespace ovolo {

double Stock::thickness() const {
  double sum = 0;
  for (const Layer& layer : layers) sum += layer.thickness;
  return sum;
}

}  // namespace ovolo
