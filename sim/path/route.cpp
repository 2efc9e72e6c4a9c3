#include "sim/path/route.hpp"

#include <algorithm>
#include <cmath>

namespace ovolo {

void Route::begin(const Operation& operation, std::uint32_t index, std::uint32_t set_up) {
  operation_ = &operation;
  index_ = index;
  set_up_ = set_up;
  pass_ = 0;
  shift_ = {};
  counted_ = true;
}

Move Route::blank(MoveRole role) const {
  Move move;
  move.bit = operation_->bit;
  move.operation = index_;
  move.pass = pass_;
  move.set_up = set_up_;
  move.role = role;
  move.counted = counted_;
  move.spindle = operation_->spindle;
  const bool descends = role == MoveRole::ramp || role == MoveRole::plunge;
  if (role != MoveRole::rapid)
    move.feed = descends && operation_->plunge_feed > 0 ? operation_->plunge_feed : operation_->feed;
  return move;
}

void Route::straight(Vec2 to, double z, MoveRole role, bool counts) {
  Move move = blank(role);
  move.path = Segment::line(at_, to);
  move.z0 = z_;
  move.z1 = z;
  move.counted = counts;
  plan_.moves.push_back(move);
  at_ = to;
  z_ = z;
}

void Route::lift() {
  if (z_ < kSafe) straight(at_, kSafe, MoveRole::rapid, counted_);
}

void Route::approach(Vec2 p, double z) {
  lift();
  if (at_ != p + shift_) straight(p + shift_, kSafe, MoveRole::rapid, counted_);
  straight(at_, z + kClearance, MoveRole::rapid, counted_);
  straight(at_, z, MoveRole::plunge, false);
}

void Route::plunge(double z) {
  if (std::abs(z - z_) > 1e-9) straight(at_, z, MoveRole::plunge, counted_);
}

void Route::along(const Segment& path, double z0, double z1, MoveRole role) {
  Move move = blank(role);
  move.path = path;
  move.path.a = path.a + shift_;
  move.path.b = path.b + shift_;
  if (path.is_arc()) move.path.centre = path.centre + shift_;
  move.z0 = z0;
  move.z1 = z1;
  plan_.moves.push_back(move);
  at_ = move.path.b;
  z_ = z1;
}

void Route::follow(const Contour& contour, double from, double length, double z0, double z1, MoveRole role) {
  constexpr double kSliver = 1e-9;  // shorter parts are rounding
  const double whole = contour.length();
  if (contour.closed()) from -= whole * std::floor(from / whole);
  double within = 0;
  std::size_t i = contour.locate(from, within);
  double done = 0;
  while (length - done > kSliver) {
    const Segment& s = contour.segments()[i];
    const double left = s.length() - within;
    const double step = std::min(left, length - done);
    if (step > kSliver) {
      // The last step ends at z1 to the bit.
      const double end = length - done - step <= kSliver ? length : done + step;
      along(s.part(within, left - step <= kSliver ? s.length() : within + step),
            std::lerp(z0, z1, done / length), std::lerp(z0, z1, end / length), role);
    }
    done += step;
    within = 0;
    if (++i == contour.segments().size()) {
      if (!contour.closed()) break;
      i = 0;
    }
  }
}

void Route::region(Region area, double z) {
  Move move = blank(MoveRole::cut);
  move.z0 = move.z1 = z;
  move.counted = true;
  move.region = static_cast<std::int32_t>(plan_.regions.size());
  for (Contour& loop : area.loops) loop = loop.translated(shift_);
  plan_.regions.push_back(std::move(area));
  plan_.moves.push_back(move);
}

void Route::raw(const Move& move) {
  plan_.moves.push_back(move);
  plan_.moves.back().set_up = set_up_;
  at_ = move.path.b;
  z_ = move.z1;
}

}  // namespace ovolo
