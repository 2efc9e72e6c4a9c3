#pragma once
#include <string_view>

namespace ovolo::io {

/// A small scene that runs as it is, with every key explained in plain words: what `ovolo new` writes.
std::string_view starter_scene();

}  // namespace ovolo::io
