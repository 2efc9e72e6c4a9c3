#pragma once
#include <cstddef>
#include <filesystem>
#include <string>

namespace ovolo::io {

inline constexpr std::size_t kMaxFileBytes = std::size_t{16} << 20;

/// The whole file. Throws SceneError (with no line) when it cannot be read or is larger than `most` bytes.
std::string read_file(const std::filesystem::path& path, std::size_t most = kMaxFileBytes);

}  // namespace ovolo::io
