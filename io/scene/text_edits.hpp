#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "io/scene/node.hpp"

namespace ovolo::io {

/// Changes to a TOML text by the places of its values; all that is not touched stays as it is, to the byte.
/// The text must outlive it.
class TextEdits {
 public:
  explicit TextEdits(std::string_view text) : text_(text) {}

  struct Extent {
    std::size_t from = 0, to = 0;
  };
  /// First byte of a place; columns count characters.
  std::size_t offset_of(Place place) const;
  /// A value as it is written: number, text, date, list or inline table.
  Extent extent(const Node& node) const;
  std::string_view written(const Node& node) const;
  /// A key and its value, as they are written.
  Extent extent(const Entry& entry) const;

  void replace(Extent what, std::string text);
  void insert(std::size_t at, std::string text) { replace({at, at}, std::move(text)); }
  /// The text with all changes. A comment behind a changed value stays in its column where blanks allow it.
  std::string result();

 private:
  std::size_t end_of(std::size_t at) const;
  struct Edit {
    Extent what;
    std::string text;
  };
  std::string_view text_;
  std::vector<Edit> edits_;
};

}  // namespace ovolo::io
