#pragma once
#include <filesystem>
#include <string>
#include <string_view>

#include "io/error.hpp"
#include "sim/job.hpp"

namespace ovolo::io {

struct FileInHand;

/// Reads a scene file. Throws SceneError with everything that is wrong in it, or when it cannot be read.
Job read_scene(const std::filesystem::path& path);

/// The same for a scene's text. `name` stands for the file in messages and in Job::file; file names within
/// the scene start from `folder`. `in_hand` stands for one drawing or program that it names.
Job parse_scene(std::string_view text, const std::string& name, const std::filesystem::path& folder,
                const FileInHand* in_hand = nullptr);

}  // namespace ovolo::io
