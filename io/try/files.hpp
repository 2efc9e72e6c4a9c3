#pragma once
#include <filesystem>
#include <string>

#include "io/try/answer.hpp"

namespace ovolo::io {

/// Saves the edited scene beside the one that is tried: the request's "name" (NAME.toml, no folders). Where
/// such a file is, nothing is written and {"ok": false, "exists": true} is the answer, unless the request
/// says "over": true. The answer names the kept bits that were changed and so stand in the new scene itself
/// ("own_bits") and the file that keeps theirs ("bits_file").
std::string save_scene(const Sample& sample, const std::string& request);

/// Keeps a drawing or a program that was dropped on the page ("name" ending in .svg, .dxf, .ngc, .nc, .tap,
/// .cnc or .gcode, "text") in the scene's folder, once the scene with the request's edits has been read and
/// planned with it in the place of its edge's contour or passes; what is refused is not written. The same
/// rule for files that are there already; one with the same text is kept. The answer has the "edit" that
/// takes the file in, {"path", "value"}; of a program also "tool", the first tool number it names, or 1.
std::string keep_dropped(const Sample& sample, const std::string& request);

/// A plain file name: letters, digits, blank, dot, dash and underscore, not beginning with a dot, up to 100
/// letters.
bool plain_name(const std::string& name);

}  // namespace ovolo::io
