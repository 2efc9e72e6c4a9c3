#pragma once
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/scene/node.hpp"
#include "io/scene/reading.hpp"
#include "sim/geometry/vec.hpp"

namespace ovolo::io {

inline constexpr double kMaxSize = 100'000;  ///< mm: nothing in a scene is longer than 100 m

/// The words a choice is made from.
using Words = std::span<const std::string_view>;

/// The values that are allowed, in mm, radians, mm/min, rpm or as they are.
struct Range {
  double lo = -kMaxSize;
  double hi = kMaxSize;
  bool above = false;  ///< lo itself, and what is within 0.1 um of it, is not allowed

  static constexpr Range any() { return {}; }
  static constexpr Range positive(double hi = kMaxSize) { return {0, hi, true}; }
  static constexpr Range not_negative(double hi = kMaxSize) { return {0, hi, false}; }
  static constexpr Range between(double lo, double hi) { return {lo, hi, false}; }
  bool holds(double v) const { return (above ? v > lo + 1e-4 : v >= lo) && v <= hi; }
};

/// Readers of one value. `what` names it in messages ("`radius` of bit `round5`"). Each records a fault and
/// gives nothing when the value has the wrong type or unit, is not finite, or lies outside the range. A
/// length: a number in the scene's units or a text with a unit; mm.
std::optional<double> read_length(const Node& node, const std::string& what, Range range, Reading& reading);
/// An angle: a number in degrees or a text with a unit; radians.
std::optional<double> read_angle(const Node& node, const std::string& what, Range range, Reading& reading);
/// A feed: a number in the scene's units per minute or a text with a unit; mm/min.
std::optional<double> read_feed(const Node& node, const std::string& what, Range range, Reading& reading);
/// A spindle speed: a number in rpm or a text with a unit.
std::optional<double> read_spindle(const Node& node, const std::string& what, Range range, Reading& reading);
std::optional<double> read_number(const Node& node, const std::string& what, Range range, Reading& reading);
std::optional<std::int64_t> read_count(const Node& node, const std::string& what, std::int64_t lo,
                                       std::int64_t hi, Reading& reading);
std::optional<bool> read_flag(const Node& node, const std::string& what, Reading& reading);
/// Not empty, at most 1000 bytes.
std::optional<std::string> read_text(const Node& node, const std::string& what, Reading& reading);
/// A pair of lengths [x, y]; mm.
std::optional<Vec2> read_point(const Node& node, const std::string& what, Range range, Reading& reading);
/// A list of at most `most` items; nullptr when it is not one. `example` shows what it may list.
const Node::List* read_list(const Node& node, const std::string& what, std::string_view example,
                            std::size_t most, Reading& reading);
/// One of the words; its index.
std::optional<std::size_t> read_choice(const Node& node, const std::string& what, Words words,
                                       Reading& reading);

}  // namespace ovolo::io
