#pragma once
#include <optional>
#include <string>
#include <string_view>

namespace ovolo::io {

/// A DXF in UTF-8 where it is not so already: older files than those of 2007 are written in the
/// code page that their header names ($DWGCODEPAGE; ANSI_1252 where it names none). Bytes that mean nothing
/// there become '?'. None when the text is UTF-8.
std::optional<std::string> dxf_in_utf8(std::string_view text);

}  // namespace ovolo::io
