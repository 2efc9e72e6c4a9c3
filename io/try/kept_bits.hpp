#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "io/try/answer.hpp"
#include "io/try/edit.hpp"

namespace ovolo::io {

/// A scene's text ready for its edits, and the bits of its bits file that now stand in it.
struct WithKeptBits {
  std::string text;
  std::vector<std::string> written;  ///< their names
  std::string bits_file;             ///< as the scene names it
};

/// The scene's text in which every bit that an edit changes and that stands in the scene's bits file alone is
/// written out, to be used instead of the kept one. The bits file is only read. Throws SceneError.
WithKeptBits with_kept_bits(const Sample& sample, const std::vector<Edit>& edits);

}  // namespace ovolo::io
