#include "io/drawing/write.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace ovolo::io {
namespace {

constexpr double kMargin = 5;  // mm of page beyond the drawing's upper and right ends

/// Letters, digits, '_' and '-' only, so that the name is one in every format.
std::string plain(const std::string& name) {
  std::string out;
  for (const char c : name) {
    const bool keep =
        (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
    out += keep ? c : '_';
  }
  if (out.empty() || (out[0] >= '0' && out[0] <= '9') || out[0] == '-') out = "_" + out;
  return out;
}

bool full_circle(const DrawnLine& line) {
  return line.pieces.size() == 1 && line.pieces[0].a == line.pieces[0].b;
}

/// Arcs of more than a third of a turn in halves: neither format holds the long ones well.
std::vector<Segment> short_arcs(const std::vector<Segment>& pieces) {
  std::vector<Segment> out;
  for (const Segment& s : pieces) {
    const int parts =
        s.is_arc() ? static_cast<int>(std::ceil(std::abs(s.sweep) / (2 * std::numbers::pi / 3) - 1e-9)) : 1;
    for (int i = 0; i < parts; ++i) {
      const double from = s.length() * i / parts, to = s.length() * (i + 1) / parts;
      out.push_back(parts == 1
                        ? s
                        : Segment::arc_between(i == 0 ? s.a : s.point(from),
                                               i + 1 == parts ? s.b : s.point(to), s.centre, s.sweep > 0));
    }
  }
  return out;
}

}  // namespace

DrawnLine line_of(const Contour& contour, const std::string& name) {
  return {contour.segments(), contour.closed(), name};
}

DrawnLine line_of(const Profile& profile, const std::string& name) {
  DrawnLine out{profile.chain(), true, name};
  const Vec2 top = out.pieces.back().b, tip = out.pieces.front().a;
  if (top.x > 0) out.pieces.push_back(Segment::line(top, {0, top.y}));
  out.pieces.push_back(Segment::line({0, top.y}, tip));
  return out;
}

std::string write_svg(const std::vector<DrawnLine>& lines) {
  Box2 box;
  for (const DrawnLine& line : lines)
    for (const Segment& s : line.pieces) box.add(s.box());
  if (box.empty()) box.add(Vec2{0, 0});
  const Vec2 corner{std::min(0.0, std::floor(box.lo.x)), std::min(0.0, std::floor(box.lo.y))};
  const double width = std::ceil(box.hi.x - corner.x + kMargin),
               height = std::ceil(box.hi.y - corner.y + kMargin);
  const auto x = [&](Vec2 p) { return p.x - corner.x; };
  const auto y = [&](Vec2 p) { return height - (p.y - corner.y); };
  std::string out = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"0 0 {0} {1}\">\n",
      width, height);
  if (!(corner == Vec2{0, 0}))
    out += fmt::format("  <desc>The page's lower left corner lies at ({}, {}) mm of the sheet.</desc>\n",
                       corner.x, corner.y);
  out += "  <g fill=\"none\" stroke=\"black\" stroke-width=\"0.1\">\n";
  for (const DrawnLine& line : lines) {
    if (line.pieces.empty()) continue;
    const std::string id = plain(line.name);
    if (full_circle(line)) {
      const Segment& s = line.pieces[0];
      out += fmt::format("    <circle id=\"{}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>\n", id, x(s.centre),
                         y(s.centre), s.radius);
      continue;
    }
    const std::vector<Segment> pieces = short_arcs(line.pieces);
    out += fmt::format("    <path id=\"{}\" d=\"M{},{}", id, x(pieces[0].a), y(pieces[0].a));
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      const Segment& s = pieces[i];
      if (s.is_arc())  // counter-clockwise on the sheet is SVG's negative sense
        out += fmt::format(" A{0},{0} 0 0 {1} {2},{3}", s.radius, s.sweep > 0 ? 0 : 1, x(s.b), y(s.b));
      else if (!line.closed || i + 1 < pieces.size())
        out += fmt::format(" L{},{}", x(s.b), y(s.b));
    }
    out += line.closed ? " Z\"/>\n" : "\"/>\n";
  }
  return out + "  </g>\n</svg>\n";
}

std::string write_dxf(const std::vector<DrawnLine>& lines) {
  std::string out;
  const auto group = [&](int code, const auto& value) { out += fmt::format("{:>3}\n{}\n", code, value); };
  const auto point = [&](int code, Vec2 p) {
    group(code, p.x);
    group(code + 10, p.y);
  };
  Box2 box;
  for (const DrawnLine& line : lines)
    for (const Segment& s : line.pieces) box.add(s.box());
  group(0, "SECTION");
  group(2, "HEADER");
  group(9, "$ACADVER");
  group(1, "AC1009");
  group(9, "$INSUNITS");
  group(70, 4);  // millimetres
  if (!box.empty()) {
    group(9, "$EXTMIN");
    point(10, box.lo);
    group(9, "$EXTMAX");
    point(10, box.hi);
  }
  group(0, "ENDSEC");
  group(0, "SECTION");
  group(2, "TABLES");
  group(0, "TABLE");
  group(2, "LAYER");
  group(70, lines.size());
  for (const DrawnLine& line : lines) {
    group(0, "LAYER");
    group(2, plain(line.name));
    group(70, 0);
    group(62, 7);
    group(6, "CONTINUOUS");
  }
  group(0, "ENDTAB");
  group(0, "ENDSEC");
  group(0, "SECTION");
  group(2, "ENTITIES");
  for (const DrawnLine& line : lines) {
    if (line.pieces.empty()) continue;
    const std::string layer = plain(line.name);
    if (full_circle(line)) {
      group(0, "CIRCLE");
      group(8, layer);
      point(10, line.pieces[0].centre);
      group(40, line.pieces[0].radius);
      continue;
    }
    group(0, "POLYLINE");
    group(8, layer);
    group(66, 1);
    point(10, {0, 0});
    group(30, 0);
    group(70, line.closed ? 1 : 0);
    const std::vector<Segment> pieces = short_arcs(line.pieces);
    const auto vertex = [&](Vec2 p, double sweep) {
      group(0, "VERTEX");
      group(8, layer);
      point(10, p);
      if (sweep != 0) group(42, std::tan(sweep / 4));
    };
    for (const Segment& s : pieces) vertex(s.a, s.sweep);
    if (!line.closed) vertex(pieces.back().b, 0);
    group(0, "SEQEND");
    group(8, layer);
  }
  group(0, "ENDSEC");
  group(0, "EOF");
  return out;
}

}  // namespace ovolo::io
