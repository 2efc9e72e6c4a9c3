#pragma once
#include <optional>
#include <string>

#include "sim/advise/wear.hpp"

namespace ovolo::render {

/// What a picture of a bit's wear shows. The reference must outlive the call only.
struct WearPlot {
  const Wear& wear;
  std::string bit;                 ///< its id
  std::string operation;           ///< whose window it is to stay in
  bool by_run = false;             ///< `at` is metres of edge, else days
  std::optional<WearLimit> limit;  ///< where the window ends
  Wear::Reach reach;               ///< when
  bool inch = false;               ///< inches on the left
};

/// The day that `at` stands for, counted from the first reading's date, or "1250 m".
std::string place_text(const WearPlot& plot, double at);

/// Working depth against days or metres: the readings with two standard errors, the line through them with
/// the band that holds it with 95 %, the end of the window and when it is reached; 1200 px wide, as an SVG
/// document.
std::string draw_wear(const WearPlot& plot);

}  // namespace ovolo::render
