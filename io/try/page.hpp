#pragma once
#include <string>

#include "io/try/answer.hpp"

namespace ovolo::io {

/// The page of `ovolo try` for a scene.
std::string try_page(const Sample& sample);

}  // namespace ovolo::io
