#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/scene/value.hpp"

namespace ovolo::io {

/// Must a key be there?
enum class Need { yes, no };

/// Reads one table strictly. Each getter marks its key as known, records a fault when the value is wrong, or
/// when it is missing and needed, and then gives nothing. `finish` records every key that no getter has asked
/// for.
class Table {
 public:
  /// `name` is how messages call it ("bit `round5`"). A node that is not a table is a fault, and reads as
  /// empty.
  Table(const Node& node, std::string name, Reading& reading);

  std::optional<double> length(std::string_view key, Range range, Need need = Need::no);
  std::optional<double> angle(std::string_view key, Range range, Need need = Need::no);
  std::optional<double> feed(std::string_view key, Need need = Need::no);
  std::optional<double> spindle(std::string_view key, Need need = Need::no);
  std::optional<double> number(std::string_view key, Range range, Need need = Need::no);
  std::optional<std::int64_t> count(std::string_view key, std::int64_t lo, std::int64_t hi,
                                    Need need = Need::no);
  std::optional<bool> flag(std::string_view key, Need need = Need::no);
  std::optional<std::string> text(std::string_view key, Need need = Need::no);
  /// A TOML date as "2024-05-02".
  std::optional<std::string> date(std::string_view key, Need need = Need::no);
  std::optional<Vec2> point(std::string_view key, Range range, Need need = Need::no);
  std::optional<std::size_t> choice(std::string_view key, Words words, Need need = Need::no);
  const Node::List* list(std::string_view key, std::string_view example, std::size_t most,
                         Need need = Need::no);
  /// A table within this one, to be read by its own reader; nullptr when missing. `example` is shown when
  /// needed.
  const Node* table(std::string_view key, std::string_view example, Need need = Need::no);
  /// Whatever stands under the key; nullptr when missing. `example` is shown when needed.
  const Node* any(std::string_view key, std::string_view example, Need need = Need::no);

  bool has(std::string_view key) const { return node_.find(key) != nullptr; }
  /// Where the key's value stands; where the table does when there is none.
  Place place(std::string_view key) const;
  Place place() const { return node_.at; }
  const std::string& name() const { return name_; }
  /// How messages call a key of this table.
  std::string called(std::string_view key) const;
  /// Records a fault at the key's value.
  void fault(std::string_view key, const std::string& text) { reading_.fault(place(key), text); }
  /// Records every unknown key. Call it once, after the getters.
  void finish();

  Reading& reading() { return reading_; }

 private:
  const Node& node_;
  std::string name_;
  Reading& reading_;
  std::vector<std::string> known_;
  bool broken_ = false;
};

}  // namespace ovolo::io
