#include "io/scene/table.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/scene/suggest.hpp"
#include "io/text.hpp"

namespace ovolo::io {

Table::Table(const Node& node, std::string name, Reading& reading)
    : node_(node), name_(std::move(name)), reading_(reading), broken_(!node.is_table()) {
  if (broken_)
    reading_.fault(node.at,
                   fmt::format("{} is {}, not a table; give it keys and values", name_, node.kind_name()));
}

const Node* Table::any(std::string_view key, std::string_view example, Need need) {
  if (std::find(known_.begin(), known_.end(), key) == known_.end()) known_.emplace_back(key);
  if (const Entry* entry = node_.find(key)) return &entry->value;
  if (need == Need::yes && !broken_)
    reading_.fault(node_.at, fmt::format("`{}` is missing in {}; add {}", key, name_, example));
  return nullptr;
}

std::string Table::called(std::string_view key) const { return fmt::format("`{}` of {}", key, name_); }

Place Table::place(std::string_view key) const {
  const Entry* entry = node_.find(key);
  return entry ? entry->value.at : node_.at;
}

std::optional<double> Table::length(std::string_view key, Range range, Need need) {
  const Node* node = any(key,
                         fmt::format("a length: {} = {}, or {}", key, bare_example(reading_.units),
                                     text_example(reading_.units)),
                         need);
  return node ? read_length(*node, called(key), range, reading_) : std::nullopt;
}

std::optional<double> Table::angle(std::string_view key, Range range, Need need) {
  const Node* node = any(key, fmt::format("an angle: {} = 45", key), need);
  return node ? read_angle(*node, called(key), range, reading_) : std::nullopt;
}

std::optional<double> Table::feed(std::string_view key, Need need) {
  constexpr double kMost = 1e6;  // mm/min
  const Node* node = any(key,
                         fmt::format("a feed: {} = {}", key,
                                     reading_.units == Units::inch ? "\"60 in/min\"" : "\"1500 mm/min\""),
                         need);
  return node ? read_feed(*node, called(key), Range::positive(kMost), reading_) : std::nullopt;
}

std::optional<double> Table::spindle(std::string_view key, Need need) {
  constexpr double kMost = 1e6;  // rpm
  const Node* node = any(key, fmt::format("a speed: {} = 18000", key), need);
  return node ? read_spindle(*node, called(key), Range::positive(kMost), reading_) : std::nullopt;
}

std::optional<double> Table::number(std::string_view key, Range range, Need need) {
  const Node* node = any(key, fmt::format("a number: {} = 1", key), need);
  return node ? read_number(*node, called(key), range, reading_) : std::nullopt;
}

std::optional<std::int64_t> Table::count(std::string_view key, std::int64_t lo, std::int64_t hi, Need need) {
  const Node* node = any(key, fmt::format("a whole number: {} = {}", key, lo), need);
  return node ? read_count(*node, called(key), lo, hi, reading_) : std::nullopt;
}

std::optional<bool> Table::flag(std::string_view key, Need need) {
  const Node* node = any(key, fmt::format("{} = true or false", key), need);
  return node ? read_flag(*node, called(key), reading_) : std::nullopt;
}

std::optional<std::string> Table::text(std::string_view key, Need need) {
  const Node* node = any(key, fmt::format("{} = \"...\"", key), need);
  return node ? read_text(*node, called(key), reading_) : std::nullopt;
}

std::optional<std::string> Table::date(std::string_view key, Need need) {
  const Node* node = any(key, fmt::format("a date: {} = 2024-05-02", key), need);
  if (!node) return {};
  const auto* date = std::get_if<Node::Date>(&node->value);
  if (date && !date->day.empty()) return date->day;
  reading_.fault(node->at, fmt::format("{} is {}; write a date without quotes: {} = 2024-05-02", called(key),
                                       date ? "a time without a day" : node->kind_name(), key));
  return {};
}

std::optional<Vec2> Table::point(std::string_view key, Range range, Need need) {
  const Node* node = any(
      key,
      fmt::format("a pair of lengths: {} = {}", key, reading_.units == Units::inch ? "[8, 5]" : "[200, 125]"),
      need);
  return node ? read_point(*node, called(key), range, reading_) : std::nullopt;
}

std::optional<std::size_t> Table::choice(std::string_view key, Words words, Need need) {
  std::string all;
  for (const std::string_view word : words) all += fmt::format("{}\"{}\"", all.empty() ? "" : ", ", word);
  const Node* node = any(key, fmt::format("{} = one of {}", key, all), need);
  return node ? read_choice(*node, called(key), words, reading_) : std::nullopt;
}

const Node::List* Table::list(std::string_view key, std::string_view example, std::size_t most, Need need) {
  const Node* node = any(key, fmt::format("a list: {} = [{}]", key, example), need);
  return node ? read_list(*node, called(key), example, most, reading_) : nullptr;
}

const Node* Table::table(std::string_view key, std::string_view example, Need need) {
  const Node* node = any(key, example, need);
  if (!node || node->is_table()) return node;
  reading_.fault(node->at, fmt::format("{} is {}; write {}", called(key), node->kind_name(), example));
  return nullptr;
}

void Table::finish() {
  for (const Entry& entry : node_.entries()) {
    if (reading_.full()) return;
    if (std::find(known_.begin(), known_.end(), entry.key) == known_.end())
      reading_.fault(entry.at, unknown("key", entry.key, known_, fmt::format(" in {}", name_)));
  }
}

}  // namespace ovolo::io
