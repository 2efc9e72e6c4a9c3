#pragma once
#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/scene/suggest.hpp"
#include "io/scene/table.hpp"

namespace ovolo::io {

template <class T>
std::vector<std::string> ids(const std::vector<T>& things) {
  std::vector<std::string> names;
  for (const T& thing : things) names.push_back(thing.id);
  return names;
}

/// Index of the thing (a bit, a contour) that `key` names; records a fault when there is none.
template <class T>
std::optional<std::size_t> find_named(Table& table, std::string_view key, const std::vector<T>& things,
                                      Need need = Need::yes) {
  const auto name = table.text(key, need);
  if (!name || things.empty()) return {};  // that there are none is told already
  const auto it = std::find_if(things.begin(), things.end(), [&](const T& t) { return t.id == *name; });
  if (it == things.end()) {
    table.fault(key, unknown(key, *name, ids(things)));
    return {};
  }
  return static_cast<std::size_t>(it - things.begin());
}

}  // namespace ovolo::io
