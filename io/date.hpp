#pragma once
#include <optional>
#include <string>

namespace ovolo::io {

/// Days from 1970-01-01 to a date such as "2024-05-02"; nothing when it is no such date.
std::optional<int> days_of(const std::string& date);
/// The date here and now, in that form.
std::string today();

}  // namespace ovolo::io
