#pragma once
#include <string>
#include <string_view>

#include "io/length.hpp"
#include "io/scene/node.hpp"

namespace ovolo::io {

/// The whole file as one table. Throws SceneError with file, line and column where it is not TOML or is too
/// large.
Node parse_toml(std::string_view text, const std::string& file);

/// The units that a file's bare lengths are in, mm where it does not say. For files that read well.
Units units_told(const Node& root);

/// A key as TOML writes it: bare where it may be, else in quotes.
std::string toml_key(const std::string& key);
/// A text in quotes, what cannot stand there escaped.
std::string toml_text(std::string_view text);

}  // namespace ovolo::io
