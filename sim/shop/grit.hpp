#pragma once
#include <vector>

namespace ovolo {

/// A FEPA grit: its P number and mean particle size.
struct Grit {
  int number = 0;
  double particle = 0;  ///< um
};

/// The grits known here, coarse to fine: P60 to P320. Sizes as in FEPA / ISO 6344 (P60, and P150 and finer,
/// from memory).
const std::vector<Grit>& grits();

/// The grit of that number. Throws JobError listing the numbers there are.
Grit grit(int number);

/// Removal rate of a grit beside P120's, under equal pressure and speed: 1 at P120. Ratios 1 : 0.58 : 0.46
/// for P60, P120 and P180 (Sydor 2021, belt sanding); between and beyond them as a power of the particle
/// size.
double relative_rate(const Grit& grit);

}  // namespace ovolo
