#pragma once
#include <filesystem>
#include <string>
#include <string_view>

#include "io/length.hpp"

namespace ovolo::io {

/// One bit of a bits file as a scene would hold it: a table [bits.ID] with `instead_of_kept = true`, then its
/// keys as they are written there, comments behind them too. Bare lengths get their unit where the scene's
/// `units` are others than the file's; drawings are named as seen from the scene: `folder` leads from there
/// to the bits file. Empty when the file has no such bit. Throws SceneError when it is no TOML.
std::string inline_bit(std::string_view bits, const std::string& name, const std::string& id, Units units,
                       const std::filesystem::path& folder);

}  // namespace ovolo::io
