#include "io/drawing/svg_path.hpp"

#include <numbers>

#include "io/drawing/scan.hpp"

namespace ovolo::io {

EllipseArc arc_through(Vec2 from, double rx, double ry, double angle, bool large, bool left, Vec2 to) {
  const double c = std::cos(angle), s = std::sin(angle);
  // Half the chord in the ellipse's own frame, scaled to the unit circle.
  const Vec2 half = 0.5 * (from - to);
  Vec2 p{(c * half.x + s * half.y) / rx, (c * half.y - s * half.x) / ry};
  const double reach = length(p);
  if (reach > 1) {
    rx *= reach;
    ry *= reach;
    p = p / reach;
  }
  const double rest = std::fmax(0.0, 1 - dot(p, p));
  const double side = (large == left ? -1 : 1) * std::sqrt(rest) / length(p);
  const Vec2 centre{side * p.y, -side * p.x};
  const double from_angle = angle_of(p - centre);
  double sweep = angle_of(-p - centre) - from_angle;
  if (left && sweep < 0) sweep += 2 * std::numbers::pi;
  if (!left && sweep > 0) sweep -= 2 * std::numbers::pi;
  const Vec2 u{c * rx, s * rx}, v{-s * ry, c * ry};
  const Vec2 middle = 0.5 * (from + to) + centre.x * u + centre.y * v;
  return {middle, u, v, from_angle, sweep};
}

namespace {

class PathReader {
 public:
  PathReader(std::string_view data, ChainBuilder& out) : scan_(data), out_(out) {}

  void run() {
    scan_.skip_space();
    while (!scan_.done()) {
      const std::size_t at = scan_.offset();
      const char command = scan_.next();
      if (std::string_view("MmLlHhVvCcSsQqTtAaZz").find(command) == std::string_view::npos)
        throw ScanError(at, std::string("'") + command + "' is no path command");
      if (!started_ && command != 'M' && command != 'm')
        throw ScanError(at, "path data must begin with M or m");
      arguments(command);
      scan_.skip_space();
    }
    out_.end();
  }

 private:
  void arguments(char command) {
    if (command == 'Z' || command == 'z') {
      out_.close();
      here_ = start_;
      lifted_ = true;
      last_ = 'Z';
      return;
    }
    bool first = true;
    do {
      scan_.skip_space();
      one(command, first);
      first = false;
      const bool comma = scan_.skip_separator();
      if (comma && !scan_.number_ahead())
        throw ScanError(scan_.offset(), "a number is wanted after the comma");
    } while (scan_.number_ahead());
  }

  double value(bool first) {
    if (!first) scan_.skip_separator();
    return scan_.number();
  }
  Vec2 point(bool relative, bool first) {
    const double x = value(first);
    const double y = value(false);
    return relative ? here_ + Vec2{x, y} : Vec2{x, y};
  }

  void one(char command, bool first) {
    const bool relative = command >= 'a';
    const char upper = relative ? static_cast<char>(command - 'a' + 'A') : command;
    if (upper == 'M' && first) {
      here_ = start_ = point(relative, true);
      started_ = true;
      lifted_ = true;
      last_ = 'M';
      return;
    }
    // Pieces are drawn only once something follows the move: a lone M draws nothing.
    const Vec2 from = here_;
    switch (upper) {
      case 'M':  // further pairs are lines
      case 'L': {
        const Vec2 p = point(relative, true);
        pen();
        out_.line_to(here_ = p);
        break;
      }
      case 'H': {
        const double x = value(true);
        pen();
        out_.line_to(here_ = {relative ? here_.x + x : x, here_.y});
        break;
      }
      case 'V': {
        const double y = value(true);
        pen();
        out_.line_to(here_ = {here_.x, relative ? here_.y + y : y});
        break;
      }
      case 'C':
      case 'S': {
        const Vec2 c1 = upper == 'C' ? point(relative, true) : last_ == 'C' ? 2 * here_ - control_ : here_;
        const Vec2 c2 = point(relative, upper == 'S');
        const Vec2 p = point(relative, false);
        pen();
        out_.cubic_to(c1, c2, p);
        control_ = c2;
        here_ = p;
        break;
      }
      case 'Q':
      case 'T': {
        const Vec2 c = upper == 'Q' ? point(relative, true) : last_ == 'Q' ? 2 * here_ - control_ : here_;
        const Vec2 p = point(relative, upper == 'T');
        pen();
        out_.quadratic_to(c, p);
        control_ = c;
        here_ = p;
        break;
      }
      default: {  // A
        const double rx = std::abs(value(true)), ry = std::abs(value(false));
        const double angle = value(false) * std::numbers::pi / 180;
        scan_.skip_separator();
        const bool large = scan_.flag();
        scan_.skip_separator();
        const bool left = scan_.flag();
        const Vec2 p = point(relative, false);
        pen();
        if (rx == 0 || ry == 0)
          out_.line_to(p);
        else if (!(p == from))
          out_.ellipse_to(arc_through(from, rx, ry, angle, large, left, p), p);
        here_ = p;
      }
    }
    last_ = upper == 'S' ? 'C' : upper == 'T' ? 'Q' : upper;
  }

  void pen() {
    if (lifted_) out_.move_to(here_);
    lifted_ = false;
  }

  Scanner scan_;
  ChainBuilder& out_;
  Vec2 here_, start_, control_;
  bool started_ = false, lifted_ = true;
  char last_ = 0;
};

}  // namespace

void draw_path_data(std::string_view data, ChainBuilder& out) { PathReader(data, out).run(); }

}  // namespace ovolo::io
