#pragma once
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/error.hpp"
#include "sim/shop/sand_fit.hpp"

namespace ovolo::io {

/// One part that was sanded and timed, as its file tells it.
struct TimedPart {
  double seconds = 0;
  std::string scene;                 ///< the scene that predicts its work, a path; or else ...
  std::optional<SandTiming> timing;  ///< ... its predicted work, with the seconds
  Source source;
};

/// A file of timings: [[parts]], each with `seconds` for one part and either `scene` or `work` (mm^3 of
/// P120's work; the report's p120_work_mm3) with, if known, `stroke` (mm gone over). `per_metre` fixes that
/// rate, s; `fit_per_metre = true` fits it.
struct Timings {
  std::vector<TimedPart> parts;
  SandRates held;
  bool fit_per_metre = false;
  Source source;
};

/// Throws SceneError with everything that is wrong.
Timings read_timings(const std::filesystem::path& path);
/// The same for a text; scenes that it names are looked for from `folder`.
Timings parse_timings(std::string_view text, const std::string& name, const std::filesystem::path& folder);

/// A rates file for `rates` of [sanding]: the fitted rates with their ranges, and the timings they came from.
std::string rates_file(const SandFit& fit, const std::vector<SandTiming>& timings, const std::string& date);

}  // namespace ovolo::io
