#include "io/scene/node.hpp"

#include <algorithm>
#include <array>

namespace ovolo::io {

const Node::Table& Node::entries() const {
  static const Table kNone;
  const auto* table = std::get_if<Table>(&value);
  return table ? *table : kNone;
}

const Node::List& Node::items() const {
  static const List kNone;
  const auto* list = std::get_if<List>(&value);
  return list ? *list : kNone;
}

const Entry* Node::find(std::string_view key) const {
  const Table& table = entries();
  const auto it = std::find_if(table.begin(), table.end(), [&](const Entry& e) { return e.key == key; });
  return it == table.end() ? nullptr : &*it;
}

const std::string* Node::find_text(std::string_view key) const {
  const Entry* entry = find(key);
  return entry ? std::get_if<std::string>(&entry->value.value) : nullptr;
}

std::string_view Node::kind_name() const {
  constexpr std::array<std::string_view, 7> kNames{
      "true or false", "a whole number", "a number", "a text", "a list", "a table", "a date or time"};
  return kNames[value.index()];
}

}  // namespace ovolo::io
