#include "sim/measure/features.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ovolo {
namespace {

constexpr double kParallel = 1e-12;

struct Ray {
  Vec2 origin, direction;
  double u_max;
  Vec2 at(double u) const { return origin + u * direction; }
};

struct Sink {
  std::vector<Feature>& out;
  double z;
  const Profile* profile;
  std::uint32_t move;
  void add(Feature f, double u0, double u1) {
    if (u1 - u0 <= 1e-9) return;
    f.u0 = u0;
    f.u1 = u1;
    f.z = z;
    f.profile = profile;
    f.move = move;
    out.push_back(f);
  }
};

Feature about_point(const Ray& ray, Vec2 centre, double rho) {
  const Vec2 d = ray.origin - centre;
  Feature f;
  const double q = dot(d, ray.direction), p = dot(d, d);
  // A ray through the centre sees a distance that is linear on either side of it; exact arcs follow from
  // that.
  if (std::abs(cross(d, ray.direction)) < 1e-9) {
    f.kind = Feature::Kind::linear;
    f.p = q;
    f.q = 1;
    f.rho = rho;
    return f;
  }
  f.kind = Feature::Kind::radial;
  f.p = p;
  f.q = q;
  f.rho = rho;
  return f;
}

// A linear feature about an arc's centre with rho > 0: ||p + u| - rho| becomes a plain linear one on each
// side.
void add_about_point(Sink& sink, const Ray& ray, Vec2 centre, double rho, double u0, double u1) {
  Feature f = about_point(ray, centre, rho);
  if (f.kind == Feature::Kind::radial) return sink.add(f, u0, u1);
  f.rho = 0;
  if (rho == 0) return sink.add(f, u0, u1);
  const double middle = -f.p;
  Feature left = f, right = f;
  left.p = f.p + rho;   // |-(p + u) - rho|
  right.p = f.p - rho;  // |(p + u) - rho|
  sink.add(left, u0, std::min(u1, middle));
  sink.add(right, std::max(u0, middle), u1);
}

void add_line(Sink& sink, const Ray& ray, Vec2 a, Vec2 b) {
  const double len = distance(a, b);
  if (len == 0) return add_about_point(sink, ray, a, 0, 0, ray.u_max);
  const Vec2 t = (b - a) / len;
  const Vec2 d = ray.origin - a;
  const double along = dot(d, t), rate = dot(ray.direction, t);
  Feature side;
  side.kind = Feature::Kind::linear;
  side.p = cross(t, d);
  side.q = cross(t, ray.direction);
  // Upright to the line within rounding: the distance is u itself, and arcs of the profile stay arcs.
  if (std::abs(std::abs(side.q) - 1) < kParallel) side.q = side.q < 0 ? -1 : 1;
  if (std::abs(rate) < kParallel) {
    if (along < 0) return add_about_point(sink, ray, a, 0, 0, ray.u_max);
    if (along > len) return add_about_point(sink, ray, b, 0, 0, ray.u_max);
    return sink.add(side, 0, ray.u_max);
  }
  double ua = -along / rate, ub = (len - along) / rate;
  Vec2 first = a, last = b;
  if (ua > ub) {
    std::swap(ua, ub);
    std::swap(first, last);
  }
  ua = std::clamp(ua, 0.0, ray.u_max);
  ub = std::clamp(ub, 0.0, ray.u_max);
  add_about_point(sink, ray, first, 0, 0, ua);
  sink.add(side, ua, ub);
  add_about_point(sink, ray, last, 0, ub, ray.u_max);
}

// Angle of p about the arc's centre, measured from the arc's start in its own sense, in [0, 2 pi).
double turned(const Segment& arc, Vec2 p) {
  constexpr double full = 2 * std::numbers::pi;
  double t = angle_of(p - arc.centre) - arc.angle;
  if (arc.sweep < 0) t = -t;
  t = std::fmod(t, full);
  return t < 0 ? t + full : t;
}

void add_arc(Sink& sink, const Ray& ray, const Segment& arc) {
  constexpr double full = 2 * std::numbers::pi;
  const double sweep = std::abs(arc.sweep);
  if (sweep >= full - 1e-12) return add_about_point(sink, ray, arc.centre, arc.radius, 0, ray.u_max);
  // The nearest feature changes where the ray crosses the radial lines through the ends and the far bisector.
  std::vector<double> cuts{0, ray.u_max};
  const double start = arc.angle, end = arc.angle + arc.sweep;
  const double far = (start + end) / 2 + std::numbers::pi;
  for (const double angle : {start, end, far}) {
    const Vec2 dir = unit(angle);
    const double rate = cross(dir, ray.direction);
    if (std::abs(rate) < kParallel) continue;
    const double u = -cross(dir, ray.origin - arc.centre) / rate;
    if (u > 0 && u < ray.u_max) cuts.push_back(u);
  }
  const double through = -dot(ray.origin - arc.centre, ray.direction);
  if (through > 0 && through < ray.u_max) cuts.push_back(through);
  std::sort(cuts.begin(), cuts.end());
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    if (cuts[i + 1] - cuts[i] <= 1e-9) continue;
    const Vec2 p = ray.at((cuts[i] + cuts[i + 1]) / 2);
    if (turned(arc, p) <= sweep) {
      add_about_point(sink, ray, arc.centre, arc.radius, cuts[i], cuts[i + 1]);
    } else {
      const Vec2 nearest = distance(p, arc.a) <= distance(p, arc.b) ? arc.a : arc.b;
      add_about_point(sink, ray, nearest, 0, cuts[i], cuts[i + 1]);
    }
  }
}

void add_path(Sink& sink, const Ray& ray, const Segment& path) {
  if (path.is_arc())
    add_arc(sink, ray, path);
  else
    add_line(sink, ray, path.a, path.b);
}

void add_region(Sink& sink, const Ray& ray, const Region& region) {
  std::vector<double> cuts{0, ray.u_max};
  const Segment line = Segment::line(ray.origin, ray.at(ray.u_max));
  for (const Contour& loop : region.loops)
    for (const Segment& piece : loop.segments()) {
      add_path(sink, ray, piece);
      for (const Crossing& c : crossings(line, piece)) cuts.push_back(c.s);
    }
  std::sort(cuts.begin(), cuts.end());
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i)
    if (cuts[i + 1] - cuts[i] > 1e-9 && region.distance(ray.at((cuts[i] + cuts[i + 1]) / 2)) == 0)
      sink.add(Feature{}, cuts[i], cuts[i + 1]);
}

}  // namespace

double Feature::distance(double u) const {
  switch (kind) {
    case Kind::linear:
      return std::abs(p + q * u);
    case Kind::radial:
      return std::abs(std::sqrt(std::max(0.0, p + 2 * q * u + u * u)) - rho);
    case Kind::zero:
    case Kind::sloped:
      break;
  }
  return 0;
}

void Feature::where(double r, std::vector<double>& out) const {
  if (kind == Kind::linear && q != 0) {
    out.push_back((r - p) / q);
    out.push_back((-r - p) / q);
  } else if (kind == Kind::radial) {
    for (const double target : {rho + r, rho - r}) {
      if (target < 0) continue;
      const double d = q * q - p + target * target;
      if (d < 0) continue;
      const double root = std::sqrt(d);
      out.push_back(-q - root);
      out.push_back(-q + root);
    }
  }
}

void Feature::turns(std::vector<double>& out) const {
  if (kind == Kind::linear && q != 0) out.push_back(-p / q);
  if (kind == Kind::radial) {
    out.push_back(-q);
    where(0, out);
  }
}

void add_features(const Move& move, std::uint32_t move_index, const Profile& profile,
                  const std::vector<Region>& regions, Vec2 origin, Vec2 direction, double u_max,
                  std::vector<Feature>& out) {
  const Ray ray{origin, direction, u_max};
  Sink sink{out, move.z0, &profile, move_index};
  if (move.region >= 0) return add_region(sink, ray, regions[static_cast<std::size_t>(move.region)]);
  if (move.level() || move.path.length() == 0) {
    sink.z = std::fmin(move.z0, move.z1);
    return add_path(sink, ray, move.path);
  }
  // Cut a sloped move where the ray enters or leaves the reach of its path and of each step of the profile.
  std::vector<Feature> flat;
  Sink flat_sink{flat, 0, &profile, move_index};
  add_path(flat_sink, ray, move.path);
  const double reach = profile.cutting_radius();
  double lo = u_max, hi = 0;
  for (const Feature& f : flat) {
    std::vector<double> cuts;
    f.where(reach, cuts);
    cuts.push_back(f.u0);
    cuts.push_back(f.u1);
    for (double& u : cuts) u = std::clamp(u, f.u0, f.u1);
    std::sort(cuts.begin(), cuts.end());
    for (std::size_t i = 0; i + 1 < cuts.size(); ++i)
      if (cuts[i + 1] > cuts[i] && f.distance((cuts[i] + cuts[i + 1]) / 2) < reach) {
        lo = std::min(lo, cuts[i]);
        hi = std::max(hi, cuts[i + 1]);
      }
  }
  Feature sloped;
  sloped.kind = Feature::Kind::sloped;
  sink.add(sloped, lo, hi);
}

}  // namespace ovolo
