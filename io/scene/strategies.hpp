#pragma once
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "sim/job.hpp"

namespace ovolo::io {

/// One way to do a scene's job.
struct Strategy {
  std::string name;
  Job job;
};

/// The strategies of a scene: each [[strategies]] table has a name and the keys that differ from the scene:
/// whole keys of [stock], [wishes], [machine], [material], [sanding] and [shop], of a bit or a contour by its
/// id, and of operations by their name (operations = [{ name = "round the rim", feed = "100 in/min" }]). A
/// scene without any is one strategy under its own title. Throws SceneError with everything that is wrong.
std::vector<Strategy> read_strategies(const std::filesystem::path& path);
std::vector<Strategy> parse_strategies(std::string_view text, const std::string& name,
                                       const std::filesystem::path& folder);

}  // namespace ovolo::io
