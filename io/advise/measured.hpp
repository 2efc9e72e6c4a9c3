#pragma once
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "io/length.hpp"
#include "sim/advise/fit.hpp"

namespace ovolo::io {

/// What holds for a cut where its text says nothing, mm.
struct MeasuredDefaults {
  Units units = Units::mm;  ///< of bare numbers
  double depth = 0, offset = 0;
  double error = 0.03;  ///< of a reading, one standard deviation
};

/// A test cut as one writes it on a command line: "depth = 5, offset = 0, lip = 1.38 +- 0.02, band = 0.19".
/// Keys: depth, offset, set_up, name, error, and what was read: lip, band, foot, width, line, line_width.
/// Throws SceneError, named after `place`, on anything else.
TestCut parse_measured(std::string_view text, const std::string& place, const MeasuredDefaults& defaults);

/// Cuts kept in a TOML file: `units`, `error`, and [[cuts]] with the same keys; a reading is a length, or
/// { value = 1.38, error = 0.02 }. Throws SceneError.
std::vector<TestCut> read_measured(const std::filesystem::path& path, const MeasuredDefaults& defaults);
std::vector<TestCut> parse_measured_file(std::string_view text, const std::string& name,
                                         const MeasuredDefaults& defaults);

}  // namespace ovolo::io
