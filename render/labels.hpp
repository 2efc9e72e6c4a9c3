#pragma once
#include <optional>
#include <string>
#include <vector>

#include "render/canvas.hpp"

namespace ovolo::render {

/// "1.380 mm".
std::string mm_text(double mm);
/// "0.0543 in", of a length in mm.
std::string inch_text(double mm);
/// "1.380 mm (0.0543 in)".
std::string length_text(double mm);
/// "9.6°", of an angle in radians.
std::string angle_text(double radians);
/// The round number (1, 2 or 5 times a power of ten) nearest below `value`.
double round_below(double value);
/// A whole or short number without trailing zeros: "0.5", "20".
std::string plain(double value);

/// The longest scale bar of at most `most` mm that is round in the unit told first; mm.
double bar_length(double most, bool inch);
/// A bar of alternating black and white with its length in both units under it, its left end at `at`.
/// `length` mm are drawn at `scale` px each. `inch`: inches first.
void scale_bar(Canvas& canvas, Vec2 at, double length, double scale, bool inch, bool halo = false);

/// Finds room for labels so that none covers another or what must stay clear.
class LabelPlacer {
 public:
  explicit LabelPlacer(PixelBox area) : area_(area) {}
  void keep_clear(PixelBox box) { taken_.push_back(box); }
  /// A box that labels cover only when there is no room elsewhere.
  void prefer_clear(PixelBox box) { soft_.push_back(box); }
  /// A line that no label may cover and no leader may cross.
  void keep_clear(Vec2 a, Vec2 b) { lines_.push_back({a, b}); }
  /// Room for a label of the given size near `anchor`, at least `gap` away from it; the place is kept clear
  /// from then on, and so is the leader from the anchor to it. Nothing when there is no room within `reach`.
  /// `toward` is the direction tried first, radians, 0 to the right, counter-clockwise as seen.
  std::optional<PixelBox> place(Vec2 anchor, Vec2 size, double gap, double reach = 400, double toward = 0);

 private:
  std::optional<PixelBox> find(Vec2 anchor, Vec2 size, double gap, double reach, double toward,
                               bool mind_soft) const;
  PixelBox area_;
  std::vector<PixelBox> taken_, soft_;
  struct Line {
    Vec2 a, b;
  };
  std::vector<Line> lines_;
};

/// The point of a box's edge where a leader from `anchor` should end.
Vec2 leader_end(const PixelBox& box, Vec2 anchor);

}  // namespace ovolo::render
