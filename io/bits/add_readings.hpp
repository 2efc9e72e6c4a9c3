#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "sim/job.hpp"

namespace ovolo::io {

/// A bits file's text with further readings of one bit, nothing else changed. They join its `readings`; where
/// it has none, a plain key of the same kind moves into a new list beside them, so that the old value stays.
/// Lengths are written in mm to 0.001. Throws SceneError when there is no such bit in the file.
std::string with_readings(std::string_view text, const std::string& name, const std::string& bit,
                          const std::vector<BitReading>& readings);

/// The text of a bits file that holds one point-cutting roundover without its readings.
std::string new_bits_file(const Bit& bit);

}  // namespace ovolo::io
