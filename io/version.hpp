#pragma once
#include <string>

namespace ovolo::io {

/// The program's version, "major.minor.patch".
std::string version();

}  // namespace ovolo::io
