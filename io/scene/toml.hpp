#pragma once
#include <string>
#include <string_view>

#include "io/scene/node.hpp"

namespace ovolo::io {

/// The whole file as one table. Throws SceneError with file, line and column where it is not TOML or is too
/// large.
Node parse_toml(std::string_view text, const std::string& file);

}  // namespace ovolo::io
