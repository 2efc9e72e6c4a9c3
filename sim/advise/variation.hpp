#pragma once
#include <optional>

namespace ovolo {

/// How a batch varies beyond the errors of one setting. Lengths mm.
struct Variation {
  double z_repeat = 0.01;   ///< standard deviation of Z from part to part within one set-up; a part of the
                            ///< errors' z. Production machines repeat within 0.01 to 0.03 mm (from memory)
  double xy_repeat = 0.01;  ///< likewise of the axis, a part of the errors' xy; a guess
  double wear =
      0.005;  ///< working depth lost per 100 m of edge, >= 0; a guess, MDF and plastic differ widely
  double wear_spread = 0.4;             ///< standard deviation of that as a part of it; a guess
  double run_before = 0;                ///< metres of edge that the bit has run since its readings were taken
  double layers = 0;                    ///< standard deviation of each layer's thickness from sheet to sheet
  std::optional<int> parts_per_set_up;  ///< parts between two zeroings; absent: those of one sheet
};

}  // namespace ovolo
