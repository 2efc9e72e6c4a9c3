#pragma once
#include <string>
#include <vector>

#include "sim/bit/profile.hpp"

namespace ovolo::render {

/// One bit of a sheet of bits: its profile and what is written beneath it.
struct BitDrawing {
  std::string name;
  Profile profile;
  double working_depth = 0;           ///< mm, tip up to where the curve ends; 0 when the form has none
  double tip_flat = 0;                ///< mm across, 0 when there is none
  std::vector<std::string> captions;  ///< lines of text, at most 8 are drawn
};

/// The bits side by side, all to one scale, tip down: the half that the readings describe filled, its mirror
/// image in outline, with working depth, tip flat and cutting diameter dimensioned and a scale bar. An
/// SVG document. `inch`: inches first. Bits without a profile are left out. Throws std::invalid_argument when
/// none is left.
std::string bit_plot(const std::vector<BitDrawing>& bits, const std::string& title, bool inch = false);

}  // namespace ovolo::render
