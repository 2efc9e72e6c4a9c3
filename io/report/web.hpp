#pragma once
#include <string_view>

namespace ovolo::io {

/// A file of the pages, built in: "report.html", "section.js", "three/three.module.min.js". Throws
/// std::logic_error when there is none of that name.
std::string_view web_file(std::string_view name);

}  // namespace ovolo::io
