#pragma once
#include <string>
#include <vector>

namespace ovolo {

/// A value with its range, in the value's own unit.
struct Ranged {
  double low = 0, value = 0, high = 0;
};

/// How fast this shop sands. No absolute rate is published for a shop's own hands: every default is a guess
/// until `sand calibrate` has replaced it.
struct SandRates {
  Ranged handling{10, 20, 40};       ///< s per part: pick up, turn, wipe; a guess
  Ranged per_metre{10, 20, 40};      ///< s per metre of edge and grit, to go over it at all; a guess
  Ranged per_mm3{0.02, 0.05, 0.12};  ///< s per mm^3 taken off with P120; a guess
  double per_sheet = 30000;          ///< mm^3 that a sheet of abrasive takes off before it is dull; a guess
  std::string source = "a guess";    ///< or where the rates come from, with the date
};

/// What counts as done, and how much each step of work may take off.
struct SandLimits {
  std::vector<int> grits{120, 180};  ///< P numbers, coarse to fine; the last one finishes
  double feel = 0.010;  ///< mm: crests above it are felt (10-15 um on sanded hardwood, Kyoto University)
  double ease = 0.5;    ///< mm of width of the flat that eases a break above the wishes; a guess
  double touch_depth = 0.03;      ///< mm that a touch of the last grit takes off; a guess
  double one_grit_depth = 0.1;    ///< mm that the last grit alone may take off; a guess
  double two_grit_depth = 0.4;    ///< mm that two grits may take off; above it a recut is quicker; a guess
  double touch_section = 0.03;    ///< mm^2; a guess
  double one_grit_section = 0.3;  ///< mm^2; a guess
  double two_grit_section = 2;    ///< mm^2; a guess
  double scratch = 0.25;          ///< depth of a grit's scratches as a part of its particle size; a guess
  double gouge = 0.1;             ///< mm below the wanted form that is seen (0.1 mm at 350 mm, from memory)
  double thin = 0.1;              ///< mm of a face layer that must be left after sanding; a guess
};

}  // namespace ovolo
