#pragma once
#include <string>
#include <vector>

#include "sim/advise/dial.hpp"
#include "sim/advise/fit.hpp"

namespace ovolo::io {

/// What a fit found. The references must outlive the calls only.
struct FitReport {
  const Job& job;  ///< with the fitted bit in it
  std::uint32_t operation = 0;
  const FitKnown& known;
  const std::vector<TestCut>& cuts;
  const Fit& fit;
  const DialedEdge& dialed;  ///< with the fitted bit
};

/// Bit and Z error with their 95 % intervals, how the readings agree, what they cannot tell, and the settings
/// that follow.
std::string fit_text(const FitReport& report);
/// The same for programs: lengths in mm, errors one standard deviation.
std::string fit_json(const FitReport& report);

}  // namespace ovolo::io
