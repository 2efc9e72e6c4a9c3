#pragma once
#include <string>
#include <string_view>

#include "io/length.hpp"
#include "sim/geometry/vec.hpp"

namespace ovolo::io {

/// How reports tell lengths, and what is made of lengths, to a shop that works in one unit: that unit first,
/// the other beside it. Lengths have one decimal more in inches.
class InUnits {
 public:
  explicit InUnits(Units own) : inch_(own == Units::inch) {}
  /// The unit of a scene's bare numbers.
  explicit InUnits(bool inch) : inch_(inch) {}

  bool inch() const { return inch_; }
  /// "mm" or "in", for the head of a table.
  const char* unit() const { return inch_ ? "in" : "mm"; }

  /// "3.550" or "0.1398"; never a negative zero.
  std::string number(double mm, int decimals = 3) const;
  /// "3.550 mm" or "0.1398 in".
  std::string length(double mm, int decimals = 3) const;
  /// "3.550 mm (0.1398 in)" or "0.1398 in (3.550 mm)".
  std::string both(double mm, int decimals = 3) const;
  /// The same in two columns, for lists: "    3.550 mm    0.1398 in".
  std::string columns(double mm) const;
  /// "x 12.0, y 45.0 mm" or "x 0.47, y 1.77 in".
  std::string place(Vec2 at) const;
  /// The same in both: "x 12.0, y 45.0 mm (x 0.47, y 1.77 in)", or inches first.
  std::string both_places(Vec2 at) const;

  /// What is told in micrometres and thousandths of an inch: "12.3 um (0.48 thou)" or "0.48 thou (12.3 um)".
  std::string fine(double mm) const;
  /// A roughness (ASME B46.1 has both): "1.13 um" or "44 uin".
  std::string roughness(double mm) const;
  /// An area: "12.34 mm2" or "0.0191 in2"; mm2 with `decimals`.
  std::string area(double mm2, int decimals = 2) const;
  /// A volume that fits a fingertip: "12.3 mm3" or "0.00075 in3"; mm3 with `decimals`.
  std::string volume(double mm3, int decimals = 1) const;
  /// A volume that fits a bucket: "12.3 cm3" or "0.75 in3".
  std::string large_volume(double mm3) const;
  /// A cutting speed, of m/s: "12.5 m/s" or "2461 ft/min".
  std::string speed(double metres_per_second) const;
  /// A feed, of mm/min: "1500 mm/min" or "59.1 in/min".
  std::string feed(double mm_per_min) const;
  /// A way of metres: "120 m" or "394 ft".
  std::string way(double metres) const;

  /// Running text that has both units, mm first, as this shop reads it.
  std::string sentence(std::string_view text) const;

 private:
  bool inch_ = false;
};

}  // namespace ovolo::io
