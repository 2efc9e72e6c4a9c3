#include "sim/shop/pass_split.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/error.hpp"
#include "sim/text.hpp"

namespace ovolo {

namespace {

std::vector<double> balanced(const Profile& profile, const CutSide& side, double last, int count) {
  const double whole = pass_area(profile, side, last);
  if (whole <= 0)
    throw JobError(fmt::format(
        "at {} the bit cuts nothing on the kept side, so there is nothing to balance: list the passes",
        fine_units(last)));
  std::vector<double> depths;
  for (int i = 1; i < count; ++i) {
    const double share = whole * i / count;
    double lo = depths.empty() ? 0 : depths.back(), hi = last;
    for (int step = 0; step < 200 && hi - lo > 1e-12 * last; ++step) {
      const double mid = (lo + hi) / 2;
      (pass_area(profile, side, mid) < share ? lo : hi) = mid;
    }
    depths.push_back((lo + hi) / 2);
  }
  return depths;
}

}  // namespace

std::vector<double> split_passes(const Profile& profile, double offset, double depth,
                                 const PassSplit& split) {
  if (split.count < 1 || split.count > 1000)
    throw JobError(fmt::format("{} passes: give a count from 1 to 1000", split.count));
  if (!std::isfinite(depth) || depth <= 0)
    throw JobError(fmt::format("passes need a depth above 0; it is {}", fine_units(depth)));
  if (!std::isfinite(split.finish) || split.finish < 0 || split.finish >= depth)
    throw JobError(
        fmt::format("a finish of {} does not fit a depth of {}: set it to 0 or more and less than the depth",
                    fine_units(split.finish), fine_units(depth)));
  const double last = depth - split.finish;
  std::vector<double> depths;
  if (split.balanced)
    depths = balanced(profile, {offset, split.waste}, last, split.count);
  else
    for (int i = 1; i < split.count; ++i) depths.push_back(last * i / split.count);
  depths.push_back(last);
  if (split.finish > 0) depths.push_back(depth);
  return depths;
}

}  // namespace ovolo
