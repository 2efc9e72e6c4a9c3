#pragma once
#include <memory>
#include <vector>

#include "sim/advise/errors.hpp"
#include "sim/geometry/vec.hpp"
#include "sim/stock/sheet_shape.hpp"

namespace ovolo {

class ReadingMap;

/// Throws JobError, with the mend, when readings are too few (8 of a sheet, EN 324-1; 3 of a spoilboard), not
/// finite, at one place or all on one line.
void check(const SheetShape& shape);

/// How far the bit's tip ends up above where the program says, relative to the sheet's own face at a place,
/// mm: a sheet that is thick, bowed or lifting while it is cut makes it negative. The flat sheet gives 0.
/// Cheap to copy, thread-safe.
class Surface {
 public:
  Surface() = default;
  /// The sheet's shape with the lifts that `lifting` marks (by index; missing entries: not lifting), on a
  /// sheet of `width` by `height` mm and nominal `thickness`. Between readings a thin-plate spline through
  /// them is laid on a grid of about 1 mm and taken as bilinear. Zero on the face: all heights count from the
  /// face at the place where zero was set (no lift there yet). Zero on the spoilboard: from the board there
  /// plus the nominal thickness. Throws JobError as `check` does.
  Surface(const SheetShape& shape, double width, double height, double thickness, ZeroOn zero_on,
          const std::vector<bool>& lifting = {});

  /// The same sheet with the lifts of `shape` that `lifting` marks, and no others.
  Surface with_lifts(const SheetShape& shape, const std::vector<bool>& lifting) const;

  double delta(Vec2 p) const;
  bool flat() const { return flat_; }

  struct Bounds {
    double lo = 0, hi = 0;
  };
  /// delta stays within these everywhere in the box; never too narrow.
  Bounds bounds(const Box2& box) const;

 private:
  double rise(Vec2 p) const;
  void set_lifts(const SheetShape& shape, const std::vector<bool>& lifting);

  bool flat_ = true;
  std::shared_ptr<const ReadingMap> map_;
  Vec2 slope_, centre_, along_;
  double bow_ = 0, half_ = 1, base_ = 0;
  std::vector<SheetShape::Lift> lifts_;
};

}  // namespace ovolo
