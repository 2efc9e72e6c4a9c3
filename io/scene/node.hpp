#pragma once
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace ovolo::io {

/// A place in a file, 1-based.
struct Place {
  int line = 0;
  int column = 0;
  friend auto operator<=>(const Place&, const Place&) = default;
};

struct Entry;

/// A value of a TOML file with its place. A table's entries stand in the order of the file.
struct Node {
  struct Date {
    std::string day;  ///< "2024-05-02"; empty for a time alone
  };
  using List = std::vector<Node>;
  using Table = std::vector<Entry>;

  Place at;
  std::variant<bool, std::int64_t, double, std::string, List, Table, Date> value;

  bool is_table() const { return std::holds_alternative<Table>(value); }
  bool is_list() const { return std::holds_alternative<List>(value); }
  bool is_number() const {
    return std::holds_alternative<double>(value) || std::holds_alternative<std::int64_t>(value);
  }
  /// Empty when it is not a table or a list.
  const Table& entries() const;
  const List& items() const;
  /// The entry of a table, nullptr when there is none.
  const Entry* find(std::string_view key) const;
  /// The text that a table has under a key, nullptr when there is none.
  const std::string* find_text(std::string_view key) const;
  /// "a number", "a text", "a list", ...: for messages.
  std::string_view kind_name() const;
};

struct Entry {
  std::string key;
  Place at;
  Node value;
};

}  // namespace ovolo::io
