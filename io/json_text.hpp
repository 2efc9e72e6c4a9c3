#pragma once
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>

namespace ovolo::io {

/// JSON as text on one line. What is not UTF-8 (a file's name may not be) is told by U+FFFD.
std::string json_line(const nlohmann::ordered_json& json);

/// The same for a file: indented by two, with a line's end.
std::string json_file(const nlohmann::ordered_json& json);

/// The JSON that a text holds; its is_discarded() holds where the text is none.
nlohmann::ordered_json json_of(std::string_view text);

}  // namespace ovolo::io
