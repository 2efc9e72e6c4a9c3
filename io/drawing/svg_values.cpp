#include "io/drawing/svg_values.hpp"

#include <algorithm>
#include <array>
#include <numbers>
#include <utility>
#include <vector>

namespace ovolo::io {

Affine parse_transform(std::string_view text) {
  Scanner scan(text);
  Affine out;
  scan.skip_space();
  if (scan.word() == "none") {
    scan.skip_space();
    if (scan.done()) return out;
  }
  scan = Scanner(text);
  scan.skip_space();
  while (!scan.done()) {
    const std::size_t at = scan.offset();
    const std::string name(scan.word());
    scan.skip_space();
    if (scan.peek() != '(')
      throw ScanError(at, "a transform is wanted here: matrix, translate, scale, rotate, skewX or skewY");
    scan.next();
    std::vector<double> v;
    scan.skip_space();
    while (scan.number_ahead() && v.size() < 7) {
      v.push_back(scan.number());
      scan.skip_separator();
    }
    if (scan.peek() != ')')
      throw ScanError(scan.offset(), "plain numbers and a closing ')' are wanted in " + name + "(...)");
    scan.next();
    const std::size_t n = v.size();
    const double degree = std::numbers::pi / 180;
    if (name == "matrix" && n == 6)
      out = out * Affine{v[0], v[1], v[2], v[3], v[4], v[5]};
    else if (name == "translate" && (n == 1 || n == 2))
      out = out * Affine::translation(v[0], n == 2 ? v[1] : 0);
    else if (name == "scale" && (n == 1 || n == 2))
      out = out * Affine::scaling(v[0], n == 2 ? v[1] : v[0]);
    else if (name == "rotate" && n == 1)
      out = out * Affine::rotation(v[0] * degree);
    else if (name == "rotate" && n == 3)
      out = out * Affine::translation(v[1], v[2]) * Affine::rotation(v[0] * degree) *
            Affine::translation(-v[1], -v[2]);
    else if (name == "skewX" && n == 1)
      out = out * Affine{1, 0, std::tan(v[0] * degree), 1, 0, 0};
    else if (name == "skewY" && n == 1)
      out = out * Affine{1, std::tan(v[0] * degree), 0, 1, 0, 0};
    else
      throw ScanError(
          at, "no transform is called " + name + " with " + std::to_string(n) +
                  " numbers: matrix takes 6, translate and scale 1 or 2, rotate 1 or 3, skewX and skewY 1");
    scan.skip_separator();
  }
  return out;
}

double svg_length(std::string_view text, double percent_of) {
  Scanner scan(text);
  scan.skip_space();
  const double value = scan.number();
  const std::size_t at = scan.offset();
  const std::string_view unit = scan.word();
  scan.skip_space();
  if (!scan.done()) throw ScanError(scan.offset(), "a length is one number with a unit");
  static constexpr std::array<std::pair<std::string_view, double>, 8> kUnits{{{"", 1},
                                                                              {"px", 1},
                                                                              {"in", 96},
                                                                              {"mm", 96 / 25.4},
                                                                              {"cm", 96 / 2.54},
                                                                              {"Q", 96 / 101.6},
                                                                              {"pt", 96 / 72.0},
                                                                              {"pc", 16}}};
  for (const auto& [name, px] : kUnits)
    if (unit == name) return value * px;
  if (unit == "%") return value / 100 * percent_of;
  throw ScanError(
      at, "the unit '" + std::string(unit) + "' has no fixed size here: use mm, cm, in, pt, pc, Q or px");
}

ViewBox parse_view_box(std::string_view text) {
  Scanner scan(text);
  std::array<double, 4> v{};
  for (double& x : v) {
    scan.skip_separator();
    x = scan.number();
  }
  scan.skip_space();
  if (!scan.done()) throw ScanError(scan.offset(), "a viewBox is four numbers");
  if (!(v[2] > 0) || !(v[3] > 0)) throw ScanError(0, "a viewBox needs a width and a height above 0");
  return {v[0], v[1], v[2], v[3]};
}

Affine fit_view_box(const ViewBox& box, double width, double height, std::string_view preserve_aspect_ratio) {
  double sx = width / box.width, sy = height / box.height;
  Scanner scan(preserve_aspect_ratio);
  scan.skip_space();
  std::string_view align = scan.word();
  if (align == "defer") {
    scan.skip_space();
    align = scan.word();
  }
  scan.skip_space();
  const std::size_t at = scan.offset();
  const std::string_view how = scan.word();
  if (!how.empty() && how != "meet" && how != "slice")
    throw ScanError(at, "preserveAspectRatio ends in meet or slice");
  double x = 0.5, y = 0.5;
  if (align == "none") return Affine::scaling(sx, sy) * Affine::translation(-box.x, -box.y);
  if (!align.empty()) {
    const auto part = [&](std::string_view name, std::size_t from) {
      const std::string_view which = align.size() == 8 ? align.substr(from, 4) : std::string_view();
      if (which == std::string(name) + "Min") return 0.0;
      if (which == std::string(name) + "Mid") return 0.5;
      if (which == std::string(name) + "Max") return 1.0;
      throw ScanError(0, "preserveAspectRatio begins with none or, for example, xMidYMid");
    };
    x = part("x", 0);
    y = part("Y", 4);
  }
  const double s = how == "slice" ? std::max(sx, sy) : std::min(sx, sy);
  return Affine::translation(x * (width - s * box.width), y * (height - s * box.height)) *
         Affine::scaling(s, s) * Affine::translation(-box.x, -box.y);
}

}  // namespace ovolo::io
