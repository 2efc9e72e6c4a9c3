#include "io/drawing/drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>

#include "io/error.hpp"
#include "io/file.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

std::string with_place(const Source& at, const std::string& text) {
  std::string out = at.file;
  if (at.line > 0) out += fmt::format(":{}:{}", at.line, std::max(at.column, 1));
  return out.empty() ? text : out + ": " + text;
}

std::string text_of(const std::string& path) {
  try {
    return read_file(path, kLargestDrawing);
  } catch (const SceneError& e) {
    throw DrawingError({path, 0, 0}, e.faults().front().text);
  }
}

enum class Kind { svg, dxf };

Kind kind_of(const std::string& path) {
  std::string ending = std::filesystem::path(path).extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char c) { return static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c); });
  if (ending != ".svg" && ending != ".dxf")
    throw DrawingError({path, 0, 0}, "a drawing's name must end in .svg or .dxf");
  return ending == ".svg" ? Kind::svg : Kind::dxf;
}

Drawing read_text(Kind kind, std::string_view text, const std::string& path, const DrawingChoice& choice) {
  return kind == Kind::svg ? read_svg(text, path, choice) : read_dxf(text, path, choice);
}

}  // namespace

DrawingError::DrawingError(const Source& at, const std::string& text)
    : std::runtime_error(with_place(at, shown(text, text.size()))),
      source_(at),
      text_(shown(text, text.size())) {}

std::string place(Vec2 p) {
  const auto one = [](double v) {
    std::string s = fmt::format("{:.3f}", v);
    s.erase(s.find_last_not_of('0') + 1);
    if (s.back() == '.') s.pop_back();
    return s == "-0" ? std::string("0") : s;
  };
  return one(p.x) + ", " + one(p.y);
}

Drawing read_drawing(const std::string& path, const DrawingChoice& choice) {
  const Kind kind = kind_of(path);
  return read_text(kind, text_of(path), path, choice);
}

DrawnContour read_contour(const std::string& path, const DrawingChoice& choice) {
  return choose_contour(read_drawing(path, choice), path, choice);
}

DrawnContour read_contour_text(std::string_view text, const std::string& path, const DrawingChoice& choice) {
  return choose_contour(read_text(kind_of(path), text, path, choice), path, choice);
}

}  // namespace ovolo::io
