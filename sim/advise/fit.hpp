#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sim/bit/roundover.hpp"

namespace ovolo {

/// What was read off a test cut.
enum class CutRead : std::uint8_t {
  lip,         ///< height of the step at the face; 0: none was felt
  band,        ///< width of the flat at the foot; 0: none was seen
  foot_depth,  ///< from the face down to the curve's foot on the wall
  width,       ///< of the round on the face: from the wall in to where the face begins
  line_depth,  ///< from the face down to the line where the colour changes
  line_width   ///< from the wall in to that line, in plan
};
constexpr int kCutReads = 6;
/// "lip", "band", "foot", "width", "line depth", "line width".
const char* name_of(CutRead what);

struct CutReading {
  CutRead what = CutRead::lip;
  double value = 0;  ///< mm
  double error = 0;  ///< one standard deviation, mm, > 0
};

/// One level pass along a straight edge at known settings.
struct TestCut {
  std::string name;   ///< for messages
  double depth = 0;   ///< as programmed, mm
  double offset = 0;  ///< mm
  int set_up = 0;     ///< cuts with the same number share one Z zero and one place of the axis
  std::vector<CutReading> readings;
};

/// What is known before the cuts.
struct FitKnown {
  RoundoverReadings bit;       ///< its radius, and the readings of the bit itself, if any
  double z = 0.03, xy = 0.02;  ///< of Z zero and of the axis, one standard deviation, mm; 0: known exactly
  double centres = 0.05;  ///< how far the cutting diameter may be from that of a full point where it was not
                          ///< read (a maker's tolerance, of a diameter, mm; a guess)
  double line = 0;        ///< nominal depth of the colour line (the face layer's thickness), mm; 0 without
  double line_error = 0.1;  ///< of that, one standard deviation, mm; a guess
};

/// A value with one standard deviation, mm.
struct Estimate {
  double value = 0, error = 0;
  double low() const { return value - 1.96 * error; }  ///< of the interval that holds 95 %
  double high() const { return value + 1.96 * error; }
};

struct FitResidual {
  int cut = -1;  ///< index of the cut; -1 a reading of the bit itself
  std::string what;
  double read = 0, fitted = 0;  ///< mm
  double off = 0;               ///< (read - fitted) / its own standard deviation, the fit's share taken out
};

struct Fit {
  Estimate working_depth;
  Estimate tip_flat;             ///< a diameter, as it cuts: runout widens it
  std::vector<Estimate> z;       ///< error of Z zero by set-up: positive cuts deeper
  std::vector<int> set_ups;      ///< their numbers
  std::optional<Estimate> line;  ///< depth of the colour line
  double depth_and_z = 0;        ///< correlation of working depth and the first set-up's Z error
  double chi_square = 0;
  int freedom = 0;    ///< readings beyond the unknowns
  double chance = 1;  ///< of a chi-square at least so large when nothing is wrong
  std::vector<FitResidual> residuals;
  std::vector<std::string> contradictions;  ///< empty, or which reading does not go with the others
  std::vector<std::string> doubts;          ///< what cannot be told apart, and what would tell it
  Roundover bit;                            ///< the bit so found
};

/// Working depth, tip flat and Z errors by weighted least squares (Levenberg and Marquardt's method on
/// sections), what is known beforehand weighing in with its own errors. Throws JobError when there is nothing
/// to fit or a reading cannot be.
Fit fit_cuts(const FitKnown& known, const std::vector<TestCut>& cuts);

}  // namespace ovolo
