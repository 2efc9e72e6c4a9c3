#pragma once
#include <vector>

#include "sim/shop/cut_area.hpp"

namespace ovolo {

/// How a depth is shared between passes.
struct PassSplit {
  int count = 1;          ///< passes before the finish, 1 to 1000
  bool balanced = false;  ///< each removes the same section; else each goes down by the same depth
  bool waste = false;     ///< balance the section beyond the wall too, as when the sheet is still whole
  double finish = 0;      ///< mm of depth left for one more, light last pass; 0 for none
};

/// Rising depths (mm) of passes over one line whose axis runs `offset` outside the wall: `count` passes, the
/// last of them `finish` short of the depth, then, when finish > 0, one at the full depth. The depths of
/// balanced passes are within 1e-9 mm of equal shares. Throws JobError when the count, the depth or the
/// finish cannot be, or when there is nothing to balance: the bit cuts nothing on that side.
std::vector<double> split_passes(const Profile& profile, double offset, double depth, const PassSplit& split);

}  // namespace ovolo
