#pragma once
#include <optional>
#include <string>

#include "io/drawing/drawing.hpp"
#include "io/scene/table.hpp"

namespace ovolo::io {

/// A drawing that a table names, and which part of it is meant.
struct NamedDrawing {
  std::string key;   ///< "svg" or "dxf"
  std::string path;  ///< from the scene's folder
  DrawingChoice choice;
};

/// Does the table name a drawing at all?
bool names_drawing(const Table& table);

/// Reads `svg` with `id` or `layer`, or `dxf` with `layer` and `units`, and `join`, `near`, `open`. Gives
/// nothing after a fault.
std::optional<NamedDrawing> read_named_drawing(Table& table);

/// Records what is wrong with the drawing at the key that names it: the drawing's own place, reason and mend.
void drawing_fault(Table& table, const NamedDrawing& drawing, const std::string& what);

}  // namespace ovolo::io
