#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "render/color.hpp"
#include "sim/geometry/segment.hpp"

namespace ovolo::render {

/// World millimetres to a drawing's pixels: one scale, y turned over.
struct Map {
  double scale = 1;  ///< px for each mm
  Vec2 origin;       ///< px of the world's (0, 0)
  Vec2 operator()(Vec2 p) const { return {origin.x + scale * p.x, origin.y - scale * p.y}; }
};

/// An outline in a drawing's pixels, of lines and true arcs.
class Path {
 public:
  Path& move(Vec2 to);
  Path& line(Vec2 to);
  /// A circular arc from the last point; `clockwise` as seen on the drawing, `large` when it is over half a
  /// turn.
  Path& arc(Vec2 to, double radius, bool clockwise, bool large);
  /// A line or arc of the world from the last point, which must be its start; a full circle in two halves.
  Path& segment(const Segment& s, const Map& map);
  Path& close();
  Path& rectangle(Vec2 lo, Vec2 hi);
  Path& append(const Path& other);
  const std::string& data() const { return data_; }
  bool empty() const { return data_.empty(); }

 private:
  std::string data_;
};

struct Stroke {
  Color color = kInk;
  double width = 1;  ///< px; 0 draws nothing
  std::string dash;  ///< as in SVG, px
  double opacity = 1;
};
inline Stroke no_stroke() { return {kInk, 0, "", 1}; }

/// Which way the lines of a hatch run, left to right; aslant ones at 45 degrees.
enum class Hatch : unsigned char { rising, falling, upright };

/// A flat colour, a pattern of the canvas, or nothing.
struct Fill {
  std::optional<Color> color;
  std::string pattern;  ///< name given by Canvas::hatch or Canvas::dots
  double opacity = 1;
  bool even_odd = false;
};
inline Fill no_fill() { return {}; }

enum class Anchor { start, middle, end };

struct TextStyle {
  double size = 13;  ///< px
  Anchor anchor = Anchor::start;
  bool bold = false;
  Color color = kInk;
  bool halo = false;  ///< a rim of `halo_color` that keeps the text legible over a picture
  Color halo_color = kPaper;
  double turn = 0;  ///< degrees, clockwise on the drawing
};

/// A box on the drawing, px; y grows downwards.
struct PixelBox {
  Vec2 lo, hi;
  double width() const { return hi.x - lo.x; }
  double height() const { return hi.y - lo.y; }
  bool overlaps(const PixelBox& b) const {
    return lo.x < b.hi.x && b.lo.x < hi.x && lo.y < b.hi.y && b.lo.y < hi.y;
  }
  bool inside(const PixelBox& b) const {
    return lo.x >= b.lo.x && hi.x <= b.hi.x && lo.y >= b.lo.y && hi.y <= b.hi.y;
  }
  PixelBox grown(double d) const { return {{lo.x - d, lo.y - d}, {hi.x + d, hi.y + d}}; }
};

/// The box that a line of text takes whose baseline starts (or is centred, or ends) at `at`.
PixelBox text_box(Vec2 at, const std::string& text, const TextStyle& style);
/// The text shortened with an ellipsis so that it is at most `width` px wide.
std::string fitted(const std::string& text, double width, double size, bool bold = false);

/// A drawing that grows into an SVG document. Coordinates are px from the upper left corner, y downwards.
/// Text is real text; control characters and broken UTF-8 are replaced, the rest escaped.
class Canvas {
 public:
  /// `background`: a paper colour, or nothing for a transparent drawing to lay over a picture.
  Canvas(double width, double height, std::optional<Color> background);

  double width() const { return width_; }
  double height() const { return height_; }

  void line(Vec2 a, Vec2 b, const Stroke& stroke);
  void polyline(const std::vector<Vec2>& points, const Stroke& stroke);
  void polygon(const std::vector<Vec2>& points, const Fill& fill, const Stroke& stroke);
  void path(const Path& path, const Fill& fill, const Stroke& stroke);
  void rectangle(const PixelBox& box, const Fill& fill, const Stroke& stroke, double rounding = 0);
  void circle(Vec2 centre, double radius, const Fill& fill, const Stroke& stroke);
  void text(Vec2 at, const std::string& text, const TextStyle& style);
  /// A line with arrowheads at its ends; `halo` px of paper around it keep it visible on any ground.
  void arrow(Vec2 a, Vec2 b, const Stroke& stroke, bool head_a = true, bool head_b = true, double halo = 0);
  /// Arrows at both ends of what is measured, pointing inwards from outside when `outside`.
  void dimension(Vec2 a, Vec2 b, const Stroke& stroke, bool outside);

  /// Everything until the matching `end` is cut off at the path's edge.
  void begin_clip(const Path& path, bool even_odd = false);
  /// A named group (for scripts and tests).
  void begin_group(const std::string& name);
  void end();

  /// A pattern of parallel lines: width and spacing in px, the spacing to about a px.
  std::string hatch(Color line, double width, double spacing, Hatch way, std::optional<Color> ground = {});
  /// Both ways aslant.
  std::string cross_hatch(Color line, double width, double spacing, std::optional<Color> ground = {});
  std::string dots(Color dot, double radius, double spacing, std::optional<Color> ground = {});
  std::string dashes(Color line, double width, double spacing, double length,
                     std::optional<Color> ground = {});

  /// Boxes of all text set so far.
  const std::vector<PixelBox>& text_boxes() const { return texts_; }
  /// The document. Every group must have been ended.
  std::string svg() const;

 private:
  std::string pattern(double width, double height, const std::string& content, std::optional<Color> ground);
  double width_, height_;
  std::string defs_, body_;
  std::vector<PixelBox> texts_;
  int patterns_ = 0, clips_ = 0, depth_ = 0;
};

/// XML text: escaped, control characters and broken UTF-8 replaced.
std::string xml_text(std::string_view text);

}  // namespace ovolo::render
