#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace ovolo::io {

/// The known word that `word` was most likely meant to be, empty when none is near. Ties go to the first.
std::string nearest_word(std::string_view word, const std::vector<std::string>& known);
/// "`a`, `b` or `c`", shortened when there are many; "none" for an empty list.
std::string listed(const std::vector<std::string>& words);

/// "unknown bit `rnd5`; did you mean `round5`?" or, when none is near, "...; write one of `round5` or
/// `mill6`": `kind` is what the word should name. `where` stands behind the word (" in the scene").
std::string unknown(std::string_view kind, std::string_view word, const std::vector<std::string>& known,
                    std::string_view where = "");

}  // namespace ovolo::io
