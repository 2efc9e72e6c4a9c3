#include "sim/bit/forms.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "sim/error.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr double kQuarter = std::numbers::pi / 2;

void positive(const char* name, double value) {
  if (!(std::isfinite(value) && value > 0))
    throw JobError(fmt::format("{} is {}; it must be more than 0", name, value));
}

void not_negative(const char* name, double value) {
  if (!(std::isfinite(value) && value >= 0))
    throw JobError(fmt::format("{} is {}; it must be 0 or more", name, value));
}

// Builds a chain upwards, leaving out pieces of no length.
class Chain {
 public:
  Chain& to(double r, double h) {
    const Vec2 next{r, h};
    if (next != at_) pieces_.push_back(Segment::line(at_, next));
    at_ = next;
    return *this;
  }
  /// Arc about `centre` from the angle `from` through `sweep`; it starts where the chain is.
  Chain& arc(Vec2 centre, double radius, double from, double sweep) {
    Segment piece = Segment::arc(centre, radius, from, sweep);
    piece.a = at_;
    pieces_.push_back(piece);
    at_ = piece.b;
    return *this;
  }
  Profile done(double wall) {
    not_negative("the cutting wall's height", wall);
    if (wall > 0) to(at_.x, at_.y + wall);
    return Profile(pieces_);
  }

 private:
  std::vector<Segment> pieces_;
  Vec2 at_{0, 0};
};

}  // namespace

Profile point_roundover(const Roundover& bit, double wall) {
  const double h0 = bit.h0();
  const double run = std::sqrt(std::max(0.0, bit.radius * bit.radius - h0 * h0));
  const Vec2 centre{bit.tip_radius + run, -h0};
  // From the tip flat's rim (angle from the centre) clockwise up to the top of the circle, where it is level.
  const double from = std::atan2(h0, -run);
  return Chain().to(bit.tip_radius, 0).arc(centre, bit.radius, from, kQuarter - from).done(wall);
}

Profile straight(double diameter, double wall) {
  positive("the diameter", diameter);
  return Chain().to(diameter / 2, 0).done(wall);
}

Profile ball(double diameter, double wall) {
  positive("the diameter", diameter);
  return Chain().arc({0, diameter / 2}, diameter / 2, -kQuarter, kQuarter).done(wall);
}

Profile chamfer(double angle, double small_end, double cutting_diameter, double wall) {
  if (!(angle > 0 && angle < kQuarter))
    throw JobError(fmt::format("the angle from the axis is {:.3f} degrees; it must lie between 0 and 90",
                               angle / kQuarter * 90));
  not_negative("the small end", small_end);
  positive("the cutting diameter", cutting_diameter);
  if (cutting_diameter <= small_end)
    throw JobError(fmt::format("the cutting diameter {} must be more than the small end's {}",
                               fine_units(cutting_diameter), fine_units(small_end)));
  const double run = (cutting_diameter - small_end) / 2;
  return Chain().to(small_end / 2, 0).to(cutting_diameter / 2, run / std::tan(angle)).done(wall);
}

Profile cove(double radius, double tip_flat, double wall) {
  positive("the radius", radius);
  not_negative("the tip flat", tip_flat);
  return Chain().to(tip_flat / 2, 0).arc({tip_flat / 2, radius}, radius, -kQuarter, kQuarter).done(wall);
}

Profile ovolo_form(double radius, double tip_flat, double foot_fillet, double face_fillet, double wall) {
  positive("the radius", radius);
  not_negative("the tip flat", tip_flat);
  not_negative("the foot fillet", foot_fillet);
  not_negative("the face fillet", face_fillet);
  const double foot = tip_flat / 2 + foot_fillet;
  return Chain()
      .to(foot, 0)
      .arc({foot + radius, 0}, radius, 2 * kQuarter, -kQuarter)
      .done(std::max(wall, face_fillet));
}

Profile ogee(double radius, double cove_radius, double tip_flat, double foot_fillet, double face_fillet,
             double wall) {
  positive("the radius", radius);
  positive("the hollow's radius", cove_radius);
  not_negative("the tip flat", tip_flat);
  not_negative("the foot fillet", foot_fillet);
  not_negative("the face fillet", face_fillet);
  const double foot = tip_flat / 2 + foot_fillet;
  return Chain()
      .to(foot, 0)
      .arc({foot, cove_radius}, cove_radius, -kQuarter, kQuarter)
      .arc({foot + cove_radius + radius, cove_radius}, radius, 2 * kQuarter, -kQuarter)
      .done(std::max(wall, face_fillet));
}

Profile bullnose(double radius, double neck_diameter, double land, double wall) {
  positive("the radius", radius);
  not_negative("the neck's diameter", neck_diameter);
  not_negative("the land", land);
  const double wide = neck_diameter / 2 + radius, middle = land + radius;
  return Chain()
      .to(wide, 0)
      .to(wide, land)
      .arc({wide, middle}, radius, -kQuarter, -2 * kQuarter)
      .to(wide, middle + radius + land)
      .done(wall);
}

Profile bottom_round(double radius, double neck_diameter, double land, double wall) {
  positive("the radius", radius);
  not_negative("the neck's diameter", neck_diameter);
  not_negative("the land", land);
  const double wide = neck_diameter / 2 + radius;
  return Chain()
      .to(wide, 0)
      .to(wide, land)
      .arc({wide, land + radius}, radius, -kQuarter, -kQuarter)
      .done(wall);
}

Profile dovetail(double angle, double cutting_diameter, double height, double wall) {
  if (!(angle > 0 && angle < kQuarter))
    throw JobError(fmt::format("the angle from the axis is {:.3f} degrees; it must lie between 0 and 90",
                               angle / kQuarter * 90));
  positive("the cutting diameter", cutting_diameter);
  positive("the height", height);
  const double neck = cutting_diameter / 2 - height * std::tan(angle);
  if (!(neck > 0))
    throw JobError(fmt::format(
        "a flank {} high at {:.3f} degrees leaves no neck on a bit {} across; set the height to less than {}",
        fine_units(height), angle / kQuarter * 90, fine_units(cutting_diameter),
        fine_units(cutting_diameter / 2 / std::tan(angle))));
  return Chain().to(cutting_diameter / 2, 0).to(neck, height).done(wall);
}

Profile t_slot(double cutting_diameter, double head_height, double neck_diameter, double wall) {
  positive("the cutting diameter", cutting_diameter);
  positive("the head's height", head_height);
  positive("the neck's diameter", neck_diameter);
  if (neck_diameter >= cutting_diameter)
    throw JobError(fmt::format("the neck is {} across, not narrower than the head's {}",
                               fine_units(neck_diameter), fine_units(cutting_diameter)));
  return Chain()
      .to(cutting_diameter / 2, 0)
      .to(cutting_diameter / 2, head_height)
      .to(neck_diameter / 2, head_height)
      .done(wall);
}

Profile finger_pull(double radius, double cutting_diameter, double neck_diameter, double lip_radius,
                    double wall) {
  positive("the radius", radius);
  positive("the cutting diameter", cutting_diameter);
  positive("the neck's diameter", neck_diameter);
  not_negative("the lip's radius", lip_radius);
  const double flat = cutting_diameter / 2 - radius, neck = neck_diameter / 2;
  if (flat < neck + lip_radius)
    throw JobError(fmt::format(
        "a bulb of radius {} on a bit {} across leaves {} for half the neck and the lip's radius, which take "
        "{}: "
        "set the neck's diameter to less, or the radius",
        fine_units(radius), fine_units(cutting_diameter), fine_units(flat), fine_units(neck + lip_radius)));
  Chain chain;
  chain.to(flat, 0).arc({flat, radius}, radius, -kQuarter, 2 * kQuarter).to(neck + lip_radius, 2 * radius);
  if (lip_radius > 0)
    chain.arc({neck + lip_radius, 2 * radius + lip_radius}, lip_radius, -kQuarter, -kQuarter);
  return chain.done(wall);
}

namespace {

// The part of a monotone piece on one side of a line: x >= limit, or y <= limit. Empty when there is none.
std::optional<Segment> part_of(const Segment& s, bool along_x, double limit) {
  const auto keeps = [&](Vec2 p) { return along_x ? p.x >= limit : p.y <= limit; };
  const bool a = keeps(s.a), b = keeps(s.b);
  if (a && b) return s;
  if (!a && !b) return std::nullopt;
  Vec2 at;
  if (!s.is_arc()) {
    const double t = along_x ? (limit - s.a.x) / (s.b.x - s.a.x) : (limit - s.a.y) / (s.b.y - s.a.y);
    at = s.a + t * (s.b - s.a);
  } else {
    const Vec2 middle = s.point(s.length() / 2) - s.centre;
    const double d = limit - (along_x ? s.centre.x : s.centre.y);
    const double run = std::sqrt(std::max(0.0, s.radius * s.radius - d * d));
    at = along_x ? s.centre + Vec2{d, middle.y < 0 ? -run : run}
                 : s.centre + Vec2{middle.x < 0 ? -run : run, d};
  }
  (along_x ? at.x : at.y) = limit;
  const Vec2 from = a ? s.a : at, to = a ? at : s.b;
  if (distance(from, to) < 1e-9) return std::nullopt;
  if (!s.is_arc()) return Segment::line(from, to);
  Segment arc = Segment::arc_between(from, to, s.centre, s.sweep > 0);
  arc.radius = s.radius;
  return arc;
}

Segment shifted(Segment s, Vec2 by) {
  s.a = s.a + by;
  s.b = s.b + by;
  s.centre = s.centre + by;
  return s;
}

}  // namespace

WantedForm swept_form(const Profile& profile, double depth, double offset) {
  WantedForm form;
  for (const Segment& segment : profile.chain())
    for (const Segment& part : monotone_parts(segment)) {
      const auto past = part_of(shifted(part, {-offset, -depth}), true, 0);
      const auto below = past ? part_of(*past, false, 0) : std::nullopt;
      if (!below) continue;
      if (!form.curve.empty() && distance(form.curve.back().b, below->a) > 1e-9) break;  // back at the wall
      form.curve.push_back(*below);
      form.width = std::max({form.width, below->a.x, below->b.x});
    }
  if (form.curve.empty() || form.width <= 0)
    throw JobError(
        fmt::format("with the axis {} off the line nothing of the bit reaches the part", fine_units(offset)));
  const Vec2 top = form.curve.back().b;
  if (top.y < -1e-9 && top.x > 1e-9) form.curve.push_back(Segment::line(top, {top.x, 0}));
  form.depth = -form.curve.front().a.y;
  return form;
}

WantedForm wanted_from_profile(const Profile& profile, double tip_radius, double face_fillet) {
  WantedForm form;
  const double top = profile.form_height() + face_fillet;
  Vec2 at{0, 0};
  bool started = false;
  const auto shift = [&](Vec2 p) { return Vec2{p.x - tip_radius, p.y - top}; };
  for (const Profile::Piece& piece : profile.pieces()) {
    if (piece.r1 <= tip_radius + 1e-12) continue;
    const double r0 = std::fmax(piece.r0, tip_radius);
    const double h0 = r0 == piece.r0 ? piece.h0 : piece.height(r0);
    const Vec2 a = shift({r0, h0}), b = shift({piece.r1, piece.h1});
    if (started && distance(at, a) > 1e-9) form.curve.push_back(Segment::line(at, a));  // an upright wall
    if (piece.curve.is_arc())
      form.curve.push_back(Segment::arc_between(a, b, shift(piece.curve.centre), piece.curve.sweep > 0));
    else
      form.curve.push_back(Segment::line(a, b));
    at = b;
    started = true;
  }
  if (!started)
    throw JobError("the bit has no form outside its tip flat: an edge needs a moulding bit, or `wanted`");
  if (face_fillet > 0) form.curve.push_back(Segment::line(at, {at.x, 0}));
  form.width = profile.cutting_radius() - tip_radius;
  form.depth = -form.curve.front().a.y;
  return form;
}

}  // namespace ovolo
