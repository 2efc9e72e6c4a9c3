#pragma once
#include <filesystem>
#include <string>

#include "io/try/answer.hpp"

namespace ovolo::io {

/// Saves the edited scene beside the one that is tried: the request's "name" (NAME.toml, no folders). Where
/// such a file is, nothing is written and {"ok": false, "exists": true} is the answer, unless the request
/// says "over": true.
std::string save_scene(const Sample& sample, const std::string& request);

/// Keeps a drawing that was dropped on the page ("name" ending in .svg or .dxf, "text") in the scene's
/// folder, once it has been read as a contour. The same rule for files that are there already; one with the
/// same text is kept.
std::string keep_drawing(const Sample& sample, const std::string& request);

/// A plain file name: letters, digits, blank, dot, dash and underscore, not beginning with a dot, up to 100
/// letters.
bool plain_name(const std::string& name);

}  // namespace ovolo::io
