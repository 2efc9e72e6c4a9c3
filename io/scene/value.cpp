#include "io/scene/value.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "io/scene/suggest.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

// How one kind of quantity is read from a bare number and from text, and written in messages.
struct Quantity {
  std::string_view name;     // "a length"
  std::string_view example;  // how to write one
  double per_number;         // what a bare 1 means
  bool in_units;             // whether that hangs on the scene's units
  double (*parse)(std::string_view);
  std::string (*format)(double, Units);
};

double text_length(std::string_view text) { return parse_length(text); }
std::string format_angle(double v, Units) {
  return format_number(v * 180 / std::numbers::pi, 3) + " degrees";
}
std::string format_feed(double v, Units units) { return format_length(v, units) + "/min"; }
std::string format_spindle(double v, Units) { return format_number(v, 1) + " rpm"; }
std::string format_plain(double v, Units) { return format_number(v, 6); }

Quantity length_quantity(Units units) {
  return {"a length",      units == Units::inch ? "0.25 or \"6.35 mm\"" : "6.35 or \"1/4 in\"",
          to_mm(1, units), true,
          text_length,     format_length};
}
Quantity angle_quantity() {
  return {"an angle", "45 or \"45 deg\"", std::numbers::pi / 180, false, parse_angle, format_angle};
}
Quantity feed_quantity(Units units) {
  return {"a feed",        units == Units::inch ? "60 or \"1500 mm/min\"" : "1500 or \"60 in/min\"",
          to_mm(1, units), true,
          parse_feed,      format_feed};
}
Quantity spindle_quantity() {
  return {"a spindle speed", "18000 or \"18000 rpm\"", 1, false, parse_spindle, format_spindle};
}
Quantity plain_quantity() { return {"a number", "2.5", 1, false, nullptr, format_plain}; }

std::string mend_range(double value, const Quantity& quantity, Range range, Units units, bool bare) {
  // A bare number that would do in mm was perhaps meant so.
  const bool other = bare && quantity.in_units && units == Units::inch && range.holds(value / kInch);
  if (value > range.hi)
    return fmt::format("set it to {} or less{}", quantity.format(range.hi, units),
                       other ? ", or write its unit where mm are meant" : "");
  const std::string lo = quantity.format(range.lo, units);
  return range.above ? fmt::format("set it above {}", lo) : fmt::format("set it to {} or more", lo);
}

std::optional<double> read_quantity(const Node& node, const std::string& what, Range range,
                                    const Quantity& quantity, Reading& reading) {
  double value = 0;
  if (quantity.in_units && !std::holds_alternative<std::string>(node.value)) reading.bare_lengths = true;
  if (const auto* whole = std::get_if<std::int64_t>(&node.value)) {
    value = static_cast<double>(*whole) * quantity.per_number;
  } else if (const auto* number = std::get_if<double>(&node.value)) {
    value = *number * quantity.per_number;
  } else if (const auto* text = std::get_if<std::string>(&node.value); text && quantity.parse) {
    try {
      value = quantity.parse(*text);
    } catch (const UnitError& error) {
      reading.fault(node.at, fmt::format("{}: {}", what, error.what()));
      return {};
    }
  } else {
    reading.fault(node.at, fmt::format("{} is {}, not {}; write {}", what, node.kind_name(), quantity.name,
                                       quantity.example));
    return {};
  }
  if (!std::isfinite(value)) {
    reading.fault(node.at, fmt::format("{} is not a finite number; write {} such as {}", what, quantity.name,
                                       quantity.example));
    return {};
  }
  if (!range.holds(value)) {
    reading.fault(node.at, fmt::format("{} is {}; {}", what, quantity.format(value, reading.units),
                                       mend_range(value, quantity, range, reading.units,
                                                  !std::holds_alternative<std::string>(node.value))));
    return {};
  }
  return value;
}

}  // namespace

std::optional<double> read_length(const Node& node, const std::string& what, Range range, Reading& reading) {
  return read_quantity(node, what, range, length_quantity(reading.units), reading);
}
std::optional<double> read_angle(const Node& node, const std::string& what, Range range, Reading& reading) {
  return read_quantity(node, what, range, angle_quantity(), reading);
}
std::optional<double> read_feed(const Node& node, const std::string& what, Range range, Reading& reading) {
  return read_quantity(node, what, range, feed_quantity(reading.units), reading);
}
std::optional<double> read_spindle(const Node& node, const std::string& what, Range range, Reading& reading) {
  return read_quantity(node, what, range, spindle_quantity(), reading);
}
std::optional<double> read_number(const Node& node, const std::string& what, Range range, Reading& reading) {
  return read_quantity(node, what, range, plain_quantity(), reading);
}

std::optional<std::int64_t> read_count(const Node& node, const std::string& what, std::int64_t lo,
                                       std::int64_t hi, Reading& reading) {
  const auto* value = std::get_if<std::int64_t>(&node.value);
  if (!value) {
    const auto* number = std::get_if<double>(&node.value);
    reading.fault(node.at,
                  fmt::format("{} is {}, not a whole number; write one from {} to {}", what,
                              number ? format_number(*number, 4) : std::string(node.kind_name()), lo, hi));
    return {};
  }
  if (*value < lo || *value > hi) {
    reading.fault(node.at, fmt::format("{} is {}; set it from {} to {}", what, *value, lo, hi));
    return {};
  }
  return *value;
}

std::optional<bool> read_flag(const Node& node, const std::string& what, Reading& reading) {
  if (const auto* value = std::get_if<bool>(&node.value)) return *value;
  reading.fault(node.at,
                fmt::format("{} is {}; write true or false, without quotes", what, node.kind_name()));
  return {};
}

std::optional<std::string> read_text(const Node& node, const std::string& what, Reading& reading) {
  constexpr std::size_t kLongest = 1000;
  const auto* value = std::get_if<std::string>(&node.value);
  if (!value) {
    reading.fault(node.at,
                  fmt::format("{} is {}, not a text; put it in double quotes", what, node.kind_name()));
    return {};
  }
  if (value->empty() || value->size() > kLongest) {
    reading.fault(node.at, fmt::format("{} is {}; write a text of 1 to {} letters", what,
                                       value->empty() ? "empty" : "too long", kLongest));
    return {};
  }
  return *value;
}

std::optional<Vec2> read_point(const Node& node, const std::string& what, Range range, Reading& reading) {
  const auto& items = node.items();
  if (items.size() != 2) {
    reading.fault(node.at,
                  fmt::format("{} is {}{}, not a pair of lengths; write [200, 125]", what, node.kind_name(),
                              node.is_list() ? fmt::format(" of {}", items.size()) : ""));
    return {};
  }
  const auto x = read_length(items[0], "the first of " + what, range, reading);
  const auto y = read_length(items[1], "the second of " + what, range, reading);
  if (!x || !y) return {};
  return Vec2{*x, *y};
}

const Node::List* read_list(const Node& node, const std::string& what, std::string_view example,
                            std::size_t most, Reading& reading) {
  const auto* list = std::get_if<Node::List>(&node.value);
  if (!list) {
    reading.fault(node.at, fmt::format("{} is {}, not a list; write [{}]", what, node.kind_name(), example));
    return nullptr;
  }
  if (list->size() > most) {
    reading.fault(node.at, fmt::format("{} has {} entries; {} is the most", what, list->size(), most));
    return nullptr;
  }
  return list;
}

std::optional<std::size_t> read_choice(const Node& node, const std::string& what, Words words,
                                       Reading& reading) {
  const auto* value = std::get_if<std::string>(&node.value);
  if (value)
    for (std::size_t i = 0; i < words.size(); ++i)
      if (*value == words[i]) return i;
  std::string all;
  for (const std::string_view word : words) all += fmt::format("{}\"{}\"", all.empty() ? "" : ", ", word);
  std::string near = value ? nearest_word(*value, {words.begin(), words.end()}) : "";
  reading.fault(node.at,
                fmt::format("{} is {}; {}write one of {}", what,
                            value ? fmt::format("\"{}\"", shown(*value)) : std::string(node.kind_name()),
                            near.empty() ? "" : fmt::format("did you mean \"{}\"? ", near), all));
  return {};
}

}  // namespace ovolo::io
