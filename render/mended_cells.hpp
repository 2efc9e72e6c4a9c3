#pragma once
#include <cstdint>
#include <functional>
#include <vector>

#include "sim/stock/heightfield.hpp"

namespace ovolo::render {

/// A rectangle of a field's cells for bilinear values between them. Beyond the part's wall the surface inside
/// is carried on for a few cells, so that what was cut off out there does not pull the last patches down.
class MendedCells {
 public:
  /// Distance of a place on the sheet from the part's wall, mm, positive inside; no steeper than 1.
  using Distance = std::function<double(Vec2)>;

  /// For a field of 2 cells or more each way, which must outlive this, as must the distance.
  MendedCells(const Heightfield& field, const Distance& wall) : field_(field), wall_(wall) {}

  /// Takes the cells around all places of a box; places in cells, (0, 0) the centre of the first. Beyond the
  /// field its last cells go on.
  void take(const Box2& places);
  /// Bilinear height at a place of that box, mm.
  double height(Vec2 place) const;

 private:
  enum State : std::uint8_t { outside, to_fill, known };

  void copy_row(std::int64_t j, std::int64_t first, std::int64_t last);
  bool find_states();
  void fill();
  std::size_t at(std::int64_t i, std::int64_t j) const {
    return static_cast<std::size_t>((j - j0_) * columns_ + (i - i0_));
  }

  const Heightfield& field_;
  const Distance& wall_;
  std::int64_t i0_ = 0, j0_ = 0, columns_ = 0, rows_ = 0;  // the cells at hand
  std::vector<float> heights_;
  std::vector<State> states_;
  std::vector<std::pair<std::int64_t, std::int64_t>> to_fill_;
};

}  // namespace ovolo::render
