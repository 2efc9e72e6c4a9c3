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
/// .cnc or .gcode, "text") in the scene's folder; a drawing once it has been read as a contour. The same rule
/// for files that are there already; one with the same text is kept. The answer to a program has "tool", the
/// first tool number it names, or 1.
std::string keep_dropped(const Sample& sample, const std::string& request);

/// A plain file name: letters, digits, blank, dot, dash and underscore, not beginning with a dot, up to 100
/// letters.
bool plain_name(const std::string& name);

}  // namespace ovolo::io
