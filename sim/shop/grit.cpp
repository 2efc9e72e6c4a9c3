#include "sim/shop/grit.hpp"

#include <fmt/format.h>

#include <cmath>

#include "sim/error.hpp"

namespace ovolo {

const std::vector<Grit>& grits() {
  static const std::vector<Grit> kGrits{{60, 269}, {80, 201}, {100, 162},  {120, 125}, {150, 100},
                                        {180, 82}, {220, 68}, {240, 58.5}, {320, 46.2}};
  return kGrits;
}

Grit grit(int number) {
  std::string known;
  for (const Grit& g : grits()) {
    if (g.number == number) return g;
    known += fmt::format("{}P{}", known.empty() ? "" : ", ", g.number);
  }
  throw JobError(fmt::format("grit P{} is not known: use one of {}", number, known));
}

double relative_rate(const Grit& g) {
  constexpr double kP60 = 1, kP120 = 0.58, kP180 = 0.46;
  const double p60 = std::log(grit(60).particle), p120 = std::log(grit(120).particle),
               p180 = std::log(grit(180).particle);
  const double coarse = std::log(kP60 / kP120) / (p60 - p120);
  const double fine = std::log(kP120 / kP180) / (p120 - p180);
  const double x = std::log(g.particle) - p120;
  return std::exp(x * (x > 0 ? coarse : fine));
}

}  // namespace ovolo
