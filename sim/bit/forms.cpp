#include "sim/bit/forms.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "sim/error.hpp"

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
    throw JobError(fmt::format("the cutting diameter {:.4f} mm must be more than the small end's {:.4f} mm",
                               cutting_diameter, small_end));
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
