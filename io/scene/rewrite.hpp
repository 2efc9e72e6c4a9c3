#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace ovolo::io {

/// New settings of one operation, by its number in the scene from 0; mm.
struct NewSetting {
  std::size_t operation = 0;
  double depth = 0;
  double offset = 0;
};

/// The scene's text with these settings in it and nothing else changed: comments, order and blanks stay.
/// Lengths keep the unit they were written in, to 0.001 mm or 0.0001 in. A list of passes keeps those that
/// are still shallower than the new depth and ends with it; a count stays. An offset that was left out is
/// added behind the depth. Throws SceneError when the text is no scene with those operations.
std::string with_settings(std::string_view scene, const std::string& name,
                          const std::vector<NewSetting>& settings);

}  // namespace ovolo::io
