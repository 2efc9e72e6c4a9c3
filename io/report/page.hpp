#pragma once
#include <string>
#include <string_view>

namespace ovolo::io {

/// JSON that is safe inside a script element.
std::string script_data(std::string_view json);
std::string base64(std::string_view bytes);
/// The template with `@name@` replaced by the text, once; throws std::logic_error when it is not there.
void fill(std::string& page, std::string_view name, std::string_view text);

}  // namespace ovolo::io
