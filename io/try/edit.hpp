#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "io/error.hpp"
#include "io/scene/node.hpp"

namespace ovolo::io {

/// One value of a scene to be set. `path` names it from the top, positions in lists from 0:
/// "operations/1/depth", "bits/round5/working_depth", "stock/layers/0/thickness". `value` as someone types
/// it: "3.55", "1/4 in", "2.4, 3.55" (a list). "contours/ID/drawing" with the name of an SVG or DXF file
/// stands for the whole shape of that contour. "operations/N/posted" with "FILE" or "FILE, tool" makes that
/// operation cut what the program in FILE says: its own figures go, bit, contour and the side kept stay; its
/// zero lies where "operations/N/place/0" and ".../1" say, else at the sheet's corner.
struct Edit {
  std::string path, value;
};

/// An edit cannot be made; what() says why and what to do instead.
class EditError : public std::runtime_error {
 public:
  EditError(std::string path, const std::string& text) : std::runtime_error(text), path_(std::move(path)) {}
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

/// The scene's text with those values set in their places; all else, comments too, stays as it is. A key that
/// is missing is added under its table's header. Throws EditError, and SceneError when `text` is no TOML.
std::string edit_scene(std::string_view text, const std::string& file, const std::vector<Edit>& edits);

/// Where an edit's value begins in a text, where the last item of it does (of a list; else the same), and
/// where the table is that holds it; {0, 0} where they are not there.
struct EditPlace {
  Place value, last, table;
};

std::vector<EditPlace> edit_places(std::string_view text, const std::string& file,
                                   const std::vector<Edit>& edits);

}  // namespace ovolo::io
