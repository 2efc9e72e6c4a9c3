#pragma once
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "sim/geometry/contour.hpp"
#include "sim/job.hpp"

namespace ovolo::io {

/// A drawing cannot be used: where in which file, what is wrong and how to mend it. what() begins with
/// "file:line:column: " as far as these are known.
class DrawingError : public std::runtime_error {
 public:
  DrawingError(const Source& at, const std::string& text);
  const Source& source() const { return source_; }
  /// The message without the place.
  const std::string& text() const { return text_; }

 private:
  Source source_;
  std::string text_;
};

/// One run of lines and arcs as it stands in a drawing, mm in the sheet's frame (Y up).
struct DrawnChain {
  std::vector<Segment> pieces;  ///< each starts where the last one ended, to the bit
  bool closed = false;          ///< the last ends at the first one's start, to the bit
  Source at;
  std::string name;  ///< what to call it in messages: "path 'outline'", "LWPOLYLINE"
};

/// Everything taken from a drawing, and what a reader should be told about it.
struct Drawing {
  std::vector<DrawnChain> chains;
  std::vector<std::string> notes;  ///< units, page, what was left out
};

/// Which contour of a drawing is meant, and how strictly.
struct DrawingChoice {
  std::optional<std::string> id;     ///< SVG: the element with this id
  std::optional<std::string> layer;  ///< SVG: a group's label or id; DXF: a layer's name
  std::optional<std::string> units;  ///< DXF: mm, cm, m, in or ft; wins over the header
  std::optional<Vec2> near;          ///< of several contours the one nearest to this point, mm
  double join = 0.01;                ///< mm: ends nearer than this are one
  bool open = false;                 ///< the contour is meant to be open
  double tolerance = 0.001;          ///< mm: how far lines and arcs may run from a Bezier or an ellipse
};

/// A contour out of a drawing.
struct DrawnContour {
  Contour contour;                 ///< closed ones run counter-clockwise
  Source at;                       ///< its first piece
  std::vector<std::string> notes;  ///< overall size, units, what was joined or left out; for the report
};

/// Files above this size are refused, bytes.
inline constexpr std::size_t kLargestDrawing = 64u << 20;
/// Pieces that one drawing may come to.
inline constexpr std::size_t kMostDrawnPieces = 200000;

/// The drawing's chains in mm. `file` is for messages. Throw DrawingError; no input makes them crash or hang.
Drawing read_svg(std::string_view text, const std::string& file, const DrawingChoice& choice);
Drawing read_dxf(std::string_view text, const std::string& file, const DrawingChoice& choice);

/// Joins loose ends, picks the one contour meant, and checks it: closed unless told otherwise, not crossing
/// itself. Throws DrawingError with the place.
DrawnContour choose_contour(Drawing drawing, const std::string& file, const DrawingChoice& choice);

/// Reads a file whose name ends in .svg or .dxf.
Drawing read_drawing(const std::string& path, const DrawingChoice& choice);
DrawnContour read_contour(const std::string& path, const DrawingChoice& choice);
/// The same of a text that would stand in such a file.
DrawnContour read_contour_text(std::string_view text, const std::string& path, const DrawingChoice& choice);

/// "12.5, -3": a point for messages, to 1 um.
std::string place(Vec2 p);

}  // namespace ovolo::io
