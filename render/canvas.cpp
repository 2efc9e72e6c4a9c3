#include "render/canvas.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "render/raster.hpp"
#include "sim/text.hpp"

namespace ovolo::render {

namespace {

/// A number as short as a hundredth of a pixel allows, without exponents.
std::string num(double v) {
  if (!std::isfinite(v)) throw std::invalid_argument("a drawing's coordinate is not a number");
  std::string s = fmt::format("{:.2f}", std::clamp(v, -1e7, 1e7));
  while (s.back() == '0') s.pop_back();
  if (s.back() == '.') s.pop_back();
  return s == "-0" ? "0" : s;
}

std::string stroke_attributes(const Stroke& s) {
  if (s.width <= 0) return " stroke=\"none\"";
  std::string out = fmt::format(" stroke=\"{}\" stroke-width=\"{}\"", hex(s.color), num(s.width));
  if (!s.dash.empty()) out += fmt::format(" stroke-dasharray=\"{}\"", s.dash);
  if (s.opacity < 1) out += fmt::format(" stroke-opacity=\"{}\"", num(s.opacity));
  return out;
}

std::string fill_attributes(const Fill& f) {
  std::string out = " fill=\"none\"";
  if (!f.pattern.empty()) {
    out = fmt::format(" fill=\"url(#{})\"", f.pattern);
  } else if (f.color) {
    out = fmt::format(" fill=\"{}\"", hex(*f.color));
  }
  if (f.opacity < 1) out += fmt::format(" fill-opacity=\"{}\"", num(f.opacity));
  if (f.even_odd) out += " fill-rule=\"evenodd\"";
  return out;
}

/// Bytes of the well-formed UTF-8 character at text[i], 0 when it is broken or not allowed in XML.
std::size_t character_length(std::string_view text, std::size_t i) {
  const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
  const unsigned char c = byte(i);
  if (c < 0x80) return c >= 0x20 && c != 0x7f ? 1 : 0;
  const std::size_t n = c >= 0xc2 && c <= 0xdf   ? 2
                        : c >= 0xe0 && c <= 0xef ? 3
                        : c >= 0xf0 && c <= 0xf4 ? 4
                                                 : 0;
  if (n == 0 || i + n > text.size()) return 0;
  std::uint32_t code = c & (0xffU >> (n + 1));
  for (std::size_t k = 1; k < n; ++k) {
    if ((byte(i + k) & 0xc0) != 0x80) return 0;
    code = code << 6 | (byte(i + k) & 0x3fU);
  }
  const std::uint32_t least = n == 2 ? 0x80 : n == 3 ? 0x800 : 0x10000;
  const bool surrogate = code >= 0xd800 && code <= 0xdfff;
  return code < least || code > 0x10ffff || surrogate || code == 0xfffe || code == 0xffff ? 0 : n;
}

// Sides of patterns are whole even px and patterns are never turned: pixels then repeat as they are, also
// in a picture half as large again.
double even_px(double side) { return std::max(4.0, 2 * std::round(side / 2)); }

// Lines from corner to corner of a square, with the ends that its neighbours' lines poke into its corners.
std::string falling_lines(double side) {
  return fmt::format("M-1 -1L{0} {0}M{1} -1L{0} 1M-1 {1}L1 {0}", num(side + 1), num(side - 1));
}
std::string rising_lines(double side) {
  return fmt::format("M-1 {0}L{0} -1M-1 1L1 -1M{1} {0}L{0} {1}", num(side + 1), num(side - 1));
}

std::string stroked(const std::string& path, Color color, double width) {
  return fmt::format("<path d=\"{}\" stroke=\"{}\" stroke-width=\"{}\"/>", path, hex(color), num(width));
}

}  // namespace

std::string xml_text(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t n = character_length(text, i);
    if (n == 0) {
      out += text[i] == '\t' || text[i] == '\n' ? " " : "\xef\xbf\xbd";
      ++i;
      continue;
    }
    out += markup_text(text.substr(i, n));
    i += n;
  }
  return out;
}

Path& Path::move(Vec2 to) {
  data_ += fmt::format("M{} {}", num(to.x), num(to.y));
  return *this;
}

Path& Path::line(Vec2 to) {
  data_ += fmt::format("L{} {}", num(to.x), num(to.y));
  return *this;
}

Path& Path::arc(Vec2 to, double radius, bool clockwise, bool large) {
  // Radii keep more digits than points: viewers enlarge a radius that is too small to join its ends.
  data_ += fmt::format("A{0:.4f} {0:.4f} 0 {1} {2} {3} {4}", radius, large ? 1 : 0, clockwise ? 1 : 0,
                       num(to.x), num(to.y));
  return *this;
}

Path& Path::segment(const Segment& s, const Map& map) {
  if (!s.is_arc()) return line(map(s.b));
  const double radius = s.radius * map.scale;
  const bool clockwise = s.sweep < 0;  // the map turns y over, so the sense as seen stays
  if (std::fabs(s.sweep) > 1.9 * std::numbers::pi) {
    const Vec2 middle = s.centre + s.radius * unit(s.angle + s.sweep / 2);
    arc(map(middle), radius, clockwise, false);
    return arc(map(s.b), radius, clockwise, false);
  }
  return arc(map(s.b), radius, clockwise, std::fabs(s.sweep) > std::numbers::pi);
}

Path& Path::close() {
  data_ += "Z";
  return *this;
}

Path& Path::rectangle(Vec2 lo, Vec2 hi) {
  return move(lo).line({hi.x, lo.y}).line(hi).line({lo.x, hi.y}).close();
}

Path& Path::append(const Path& other) {
  data_ += other.data_;
  return *this;
}

PixelBox text_box(Vec2 at, const std::string& text, const TextStyle& style) {
  const double w = text_width(text, style.size, style.bold);
  const double x = style.anchor == Anchor::start ? 0 : style.anchor == Anchor::middle ? -w / 2 : -w;
  const double top = -0.76 * style.size,
               bottom = 0.24 * style.size;  // of capitals and descenders in the face used
  const double t = style.turn * std::numbers::pi / 180;
  PixelBox box{{1e300, 1e300}, {-1e300, -1e300}};
  for (const Vec2 c : {Vec2{x, top}, Vec2{x + w, top}, Vec2{x, bottom}, Vec2{x + w, bottom}}) {
    const Vec2 p = at + Vec2{c.x * std::cos(t) - c.y * std::sin(t), c.x * std::sin(t) + c.y * std::cos(t)};
    box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
    box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
  }
  return box;
}

std::string fitted(const std::string& text, double width, double size, bool bold) {
  if (text_width(text, size, bold) <= width) return text;
  std::vector<std::size_t> ends{0};
  for (std::size_t i = 0; i < text.size();) {
    i += std::max<std::size_t>(1, character_length(text, i));
    ends.push_back(i);
  }
  const auto shortened = [&](std::size_t n) { return text.substr(0, ends[n]) + "\xe2\x80\xa6"; };
  std::size_t lo = 0, hi = ends.size() - 1;
  while (lo < hi) {
    const std::size_t middle = (lo + hi + 1) / 2;
    if (text_width(shortened(middle), size, bold) <= width) {
      lo = middle;
    } else {
      hi = middle - 1;
    }
  }
  return shortened(lo);
}

Canvas::Canvas(double width, double height, std::optional<Color> background)
    : width_(width), height_(height) {
  if (background) rectangle({{0, 0}, {width, height}}, {background, "", 1, false}, no_stroke());
}

void Canvas::line(Vec2 a, Vec2 b, const Stroke& stroke) {
  body_ += fmt::format("<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"{}/>\n", num(a.x), num(a.y), num(b.x),
                       num(b.y), stroke_attributes(stroke));
}

void Canvas::polyline(const std::vector<Vec2>& points, const Stroke& stroke) {
  if (points.size() < 2) return;
  std::string list;
  for (const Vec2 p : points) list += fmt::format("{}{},{}", list.empty() ? "" : " ", num(p.x), num(p.y));
  body_ += fmt::format("<polyline points=\"{}\" fill=\"none\"{} stroke-linejoin=\"round\"/>\n", list,
                       stroke_attributes(stroke));
}

void Canvas::polygon(const std::vector<Vec2>& points, const Fill& fill, const Stroke& stroke) {
  std::string list;
  for (const Vec2 p : points) list += fmt::format("{}{},{}", list.empty() ? "" : " ", num(p.x), num(p.y));
  body_ +=
      fmt::format("<polygon points=\"{}\"{}{}/>\n", list, fill_attributes(fill), stroke_attributes(stroke));
}

void Canvas::path(const Path& path, const Fill& fill, const Stroke& stroke) {
  if (path.empty()) return;
  body_ += fmt::format("<path d=\"{}\"{}{} stroke-linejoin=\"round\"/>\n", path.data(), fill_attributes(fill),
                       stroke_attributes(stroke));
}

void Canvas::rectangle(const PixelBox& box, const Fill& fill, const Stroke& stroke, double rounding) {
  body_ += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"", num(box.lo.x), num(box.lo.y),
                       num(std::max(0.0, box.width())), num(std::max(0.0, box.height())));
  if (rounding > 0) body_ += fmt::format(" rx=\"{}\"", num(rounding));
  body_ += fmt::format("{}{}/>\n", fill_attributes(fill), stroke_attributes(stroke));
}

void Canvas::circle(Vec2 centre, double radius, const Fill& fill, const Stroke& stroke) {
  body_ += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}{}/>\n", num(centre.x), num(centre.y),
                       num(radius), fill_attributes(fill), stroke_attributes(stroke));
}

void Canvas::text(Vec2 at, const std::string& text, const TextStyle& style) {
  if (text.empty()) return;
  const char* anchor = style.anchor == Anchor::start    ? "start"
                       : style.anchor == Anchor::middle ? "middle"
                                                        : "end";
  std::string attributes = fmt::format("x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{}\"", num(at.x),
                                       num(at.y), num(style.size), anchor);
  if (style.bold) attributes += " font-weight=\"bold\"";
  if (style.turn != 0)
    attributes += fmt::format(" transform=\"rotate({} {} {})\"", num(style.turn), num(at.x), num(at.y));
  const std::string content = xml_text(text);
  if (style.halo) {
    body_ += fmt::format(
        "<text {} fill=\"{}\" stroke=\"{}\" stroke-width=\"3.5\" stroke-linejoin=\"round\" "
        "aria-hidden=\"true\">{}</text>\n",
        attributes, hex(style.halo_color), hex(style.halo_color), content);
  }
  body_ += fmt::format("<text {} fill=\"{}\">{}</text>\n", attributes, hex(style.color), content);
  texts_.push_back(text_box(at, text, style));
}

void Canvas::arrow(Vec2 a, Vec2 b, const Stroke& stroke, bool head_a, bool head_b, double halo) {
  const double size = distance(a, b);
  if (size < 1e-9) return;
  const Vec2 along = (b - a) / size, across = perp(along);
  const double reach = std::min(5.0 + 2 * stroke.width, 0.45 * size), half = 0.33 * reach;
  const Vec2 from = a + (head_a ? 0.8 * reach : 0) * along, to = b - (head_b ? 0.8 * reach : 0) * along;
  const auto draw = [&](const Stroke& shaft, const Stroke& rim) {
    line(from, to, shaft);
    const auto head = [&](Vec2 tip, Vec2 back) {
      polygon({tip, tip + reach * back + half * across, tip + reach * back - half * across},
              {shaft.color, "", shaft.opacity, false}, rim);
    };
    if (head_a) head(a, along);
    if (head_b) head(b, -along);
  };
  if (halo > 0) draw({kPaper, stroke.width + 2 * halo, "", 1}, {kPaper, 2 * halo, "", 1});
  draw(stroke, no_stroke());
}

void Canvas::dimension(Vec2 a, Vec2 b, const Stroke& stroke, bool outside) {
  if (!outside) return arrow(a, b, stroke);
  const double length = distance(a, b);
  if (length < 1e-9) return;
  const Vec2 along = (b - a) / length;
  arrow(a - 18 * along, a, stroke, false, true);
  arrow(b + 18 * along, b, stroke, false, true);
}

void Canvas::begin_clip(const Path& path, bool even_odd) {
  const std::string name = fmt::format("clip{}", ++clips_);
  defs_ += fmt::format("<clipPath id=\"{}\"><path d=\"{}\"{}/></clipPath>\n", name, path.data(),
                       even_odd ? " clip-rule=\"evenodd\"" : "");
  body_ += fmt::format("<g clip-path=\"url(#{})\">\n", name);
  ++depth_;
}

void Canvas::begin_group(const std::string& name) {
  body_ += fmt::format("<g class=\"{}\">\n", xml_text(name));
  ++depth_;
}

void Canvas::end() {
  if (depth_ == 0) throw std::logic_error("no group of the drawing is open");
  body_ += "</g>\n";
  --depth_;
}

std::string Canvas::pattern(double width, double height, const std::string& content,
                            std::optional<Color> ground) {
  const std::string name = fmt::format("pattern{}", ++patterns_);
  defs_ += fmt::format("<pattern id=\"{}\" patternUnits=\"userSpaceOnUse\" width=\"{}\" height=\"{}\">", name,
                       num(width), num(height));
  if (ground)
    defs_ +=
        fmt::format("<rect width=\"{}\" height=\"{}\" fill=\"{}\"/>", num(width), num(height), hex(*ground));
  defs_ += content + "</pattern>\n";
  return name;
}

std::string Canvas::hatch(Color color, double width, double spacing, Hatch way, std::optional<Color> ground) {
  const double side = way == Hatch::upright ? even_px(spacing) : even_px(spacing * std::numbers::sqrt2);
  const std::string lines = way == Hatch::upright  ? fmt::format("M{} 0V{}", num(side / 2), num(side))
                            : way == Hatch::rising ? rising_lines(side)
                                                   : falling_lines(side);
  return pattern(side, side, stroked(lines, color, width), ground);
}

std::string Canvas::cross_hatch(Color color, double width, double spacing, std::optional<Color> ground) {
  const double side = even_px(spacing * std::numbers::sqrt2);
  return pattern(side, side, stroked(rising_lines(side) + falling_lines(side), color, width), ground);
}

std::string Canvas::dots(Color color, double radius, double spacing, std::optional<Color> ground) {
  const double side = even_px(spacing * std::numbers::sqrt2);
  std::string content;
  for (const double at : {side / 4, 3 * side / 4})
    content += fmt::format("<circle cx=\"{0}\" cy=\"{0}\" r=\"{1}\" fill=\"{2}\"/>", num(at), num(radius),
                           hex(color));
  return pattern(side, side, content, ground);
}

std::string Canvas::dashes(Color color, double width, double spacing, double length,
                           std::optional<Color> ground) {
  // Two staggered rows of short level strokes.
  return pattern(2 * length, 2 * spacing,
                 stroked(fmt::format("M0 {0}H{1}M{1} {2}H{3}", num(spacing / 2), num(length),
                                     num(1.5 * spacing), num(2 * length)),
                         color, width),
                 ground);
}

std::string Canvas::svg() const {
  if (depth_ != 0) throw std::logic_error("a group of the drawing is still open");
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}\" height=\"{1}\" viewBox=\"0 0 {0} {1}\" "
      "font-family=\"'{2}', sans-serif\">\n<defs>\n{3}</defs>\n{4}</svg>\n",
      num(width_), num(height_), kFontFamily, defs_, body_);
}

}  // namespace ovolo::render
