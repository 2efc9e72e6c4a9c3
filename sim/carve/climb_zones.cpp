#include "sim/carve/climb_zones.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "sim/carve/beside_path.hpp"
#include "sim/carve/interpolate.hpp"

namespace ovolo {
namespace {

using Function = std::function<double(double)>;

constexpr double kHair = 2e-5;  // mm: narrower stretches are left to their neighbours

constexpr double kTolerance = 2e-5;  // mm

// What a profile leaves beside a path that climbs.
struct Sweep {
  const Profile& profile;
  double radius, slope;  // of the path; radius 0: straight
  Lowest at(double y) const {
    const double farthest = radius > 0 ? std::numbers::pi * radius : profile.cutting_radius();
    return lowest_behind(profile, beside(y, radius), slope, 0, farthest);
  }
};

// The polynomial of degree N - 1 through Chebyshev's points on [-1, 1].
template <std::size_t N>
std::array<double, N> polynomial(const Function& f) {
  std::array<double, N> t, v;
  for (std::size_t k = 0; k < N; ++k) {
    t[k] = -std::cos((static_cast<double>(k) + 0.5) * std::numbers::pi / static_cast<double>(N));
    v[k] = f(t[k]);
  }
  return polynomial_through(t, v);
}

template <std::size_t N>
float value(const std::array<float, N>& c, float t) {
  float v = c[N - 1];
  for (std::size_t k = N - 1; k-- > 0;) v = v * t + c[k];
  return v;
}

float to_float(double v) { return static_cast<float>(v); }

template <std::size_t N, std::size_t M>
void keep(const std::array<double, N>& c, std::array<float, M>& out) {
  std::transform(c.begin(), c.end(), out.begin(), to_float);
}

// Tells a zone's height by a form.
class FormFit {
 public:
  FormFit(const Sweep& sweep, double from, double to, ClimbZone& zone)
      : sweep_(sweep), from_(from), to_(to), middle_(0.5 * (from + to)), zone_(zone), form_(zone.form) {
    form_.middle = static_cast<float>(middle_);
    form_.scale = static_cast<float>(2 / (to - from));
  }
  /// The first form that is near enough; false when none is.
  bool find() {
    const Lowest lowest = sweep_.at(middle_);
    const Profile::Piece& piece = sweep_.profile.pieces()[lowest.piece];
    if (lowest.at == Lowest::At::outer_end && corner(piece.r1, piece.h1)) return true;
    if (lowest.at == Lowest::At::inner_end && piece.r0 > std::abs(middle_) && corner(piece.r0, piece.h0))
      return true;
    return polynomial_alone() || (piece.side != 0 && arc(piece));
  }

 private:
  double y_at(double t) const { return std::clamp(middle_ + 0.5 * (to_ - from_) * t, from_, to_); }
  // As the kernels work it out.
  float root_at(float y) const { return std::sqrt(std::max(0.0f, (form_.upper - y) * (y - form_.lower))); }
  template <class Told>
  bool near(const Told& told) const {
    constexpr int kChecks = 60;
    for (int k = 0; k <= kChecks; ++k) {
      const double y = y_at(-std::cos(k * std::numbers::pi / kChecks));
      const float at = static_cast<float>(y);
      const double height = static_cast<double>(told(at, (at - form_.middle) * form_.scale));
      if (!(std::abs(height - sweep_.at(y).height) <= kTolerance)) return false;
    }
    return true;
  }
  void set_root(double lower, double upper) {
    form_.lower = static_cast<float>(lower);
    form_.upper = static_cast<float>(upper);
  }

  bool corner(double r, double h) {
    set_root(-r, r);
    form_.base[0] = static_cast<float>(h);
    keep(polynomial<RootForm::kShare>([&](double t) {
           const double y = y_at(t), root = std::sqrt(std::max(1e-24, (r - y) * (r + y)));
           return -sweep_.slope * (sweep_.radius == 0 ? 1 : beside(y, sweep_.radius).back(r) / root);
         }),
         form_.share);
    zone_.kind = ClimbZone::Kind::corner;
    return near([&](float y, float t) { return form_.base[0] + value(form_.share, t) * root_at(y); });
  }

  bool polynomial_alone() {
    keep(polynomial<RootForm::kBase>([&](double t) { return sweep_.at(y_at(t)).height; }), form_.base);
    zone_.kind = ClimbZone::Kind::polynomial;
    return near([&](float, float t) { return value(form_.base, t); });
  }

  // With the root of the profile's arc; inside of a circular path y is negative.
  bool arc(const Profile::Piece& piece) {
    const double centre = middle_ < 0 ? -piece.curve.centre.x : piece.curve.centre.x;
    const double lower = centre - piece.curve.radius, upper = centre + piece.curve.radius;
    set_root(lower, upper);
    constexpr int kBase = RootForm::kArcBase, kShare = RootForm::kShare, kPlaces = 3 * (kBase + kShare);
    Eigen::Matrix<double, kPlaces, kBase + kShare> powers;
    Eigen::Matrix<double, kPlaces, 1> heights;
    for (int i = 0; i < kPlaces; ++i) {
      const double t = -std::cos((i + 0.5) * std::numbers::pi / kPlaces), y = y_at(t);
      const double root = std::sqrt(std::max(0.0, (upper - y) * (y - lower)));
      heights[i] = sweep_.at(y).height;
      for (int k = 0; k < kBase; ++k) powers(i, k) = std::pow(t, k);
      for (int k = 0; k < kShare; ++k) powers(i, kBase + k) = root * std::pow(t, k);
    }
    // Of coefficients that hardly differ in what they tell the smallest: large ones would cancel each other.
    Eigen::CompleteOrthogonalDecomposition<decltype(powers)> system;
    system.setThreshold(1e-7);
    system.compute(powers);
    const Eigen::Matrix<double, kBase + kShare, 1> c = system.solve(heights);
    form_.base.fill(0);
    std::transform(c.begin(), c.begin() + kBase, form_.base.begin(), to_float);
    std::transform(c.begin() + kBase, c.end(), form_.share.begin(), to_float);
    zone_.kind = ClimbZone::Kind::arc;
    return near([&](float y, float t) { return value(form_.base, t) + value(form_.share, t) * root_at(y); });
  }

  const Sweep& sweep_;
  const double from_, to_, middle_;
  ClimbZone& zone_;
  RootForm& form_;
};

void add_zones(const Sweep& sweep, double from, double to, int depth, std::vector<ClimbZone>& out) {
  if (!(to - from > kHair)) return;
  const auto height = [&](double y) { return sweep.at(y).height; };
  ClimbZone zone;
  bool found = FormFit(sweep, from, to, zone).find();
  for (const bool rooted : {false, true}) {
    if (found || fit_cubics(height, from, to, rooted, zone.cubics) > kTolerance) continue;
    zone.kind = rooted ? ClimbZone::Kind::rooted_cubics : ClimbZone::Kind::cubics;
    found = true;
  }
  if (found) {
    zone.from = static_cast<float>(from);
    zone.to = static_cast<float>(to);
    double most = 0;
    for (int k = 0; k <= 64; ++k) most = std::max(most, sweep.at(from + (to - from) * k / 64).back);
    zone.back = static_cast<float>(most * 1.001 + 1e-3);
    out.push_back(zone);
  } else if (depth < 8) {
    const double middle = 0.5 * (from + to);
    add_zones(sweep, from, middle, depth + 1, out);
    add_zones(sweep, middle, to, depth + 1, out);
  }
}

}  // namespace

std::vector<ClimbZone> climb_zones(const Profile& profile, double radius, double slope) {
  const double reach = profile.cutting_radius(), inside = std::min(reach, radius);
  const Sweep sweep{profile, radius, slope};
  // Which place is the lowest: the same smooth function holds while it stays so, for a corner on both sides
  // of a circle.
  const auto place = [&](double y) {
    const Lowest l = sweep.at(y);
    const std::size_t inner_corner = 4 * l.piece;
    if (l.at == Lowest::At::between) return inner_corner + (y < 0 ? 1 : 2);
    if (l.at == Lowest::At::outer_end) return inner_corner + 4;
    return profile.pieces()[l.piece].r0 > std::abs(y) ? inner_corner : inner_corner + 3;
  };
  std::vector<ClimbZone> out;
  constexpr int kRaster = 400;
  double from = -inside, before = from;
  std::size_t here = place(from);
  for (int k = 1; k <= kRaster; ++k) {
    const double y = -inside + (reach + inside) * k / kRaster;
    const std::size_t there = place(y);
    if (there != here) {
      const double end = stretch_end([&](double v) { return place(v) == here; }, before, y);
      const double next = stretch_end([&](double v) { return place(v) == there; }, y, before);
      add_zones(sweep, from, end, 0, out);
      add_zones(sweep, end, next, 0, out);  // a third place between the two
      from = next;
      here = there;
    }
    before = y;
  }
  add_zones(sweep, from, reach, 0, out);
  // Gaps of a hair are left to the neighbours.
  const float hair = 2 * static_cast<float>(kHair);
  for (std::size_t i = 0; i + 1 < out.size(); ++i)
    if (out[i + 1].from - out[i].to < hair) out[i].to = out[i + 1].from;
  if (!out.empty()) {
    const float first = static_cast<float>(-inside), last = static_cast<float>(reach);
    if (out.front().from - first < hair) out.front().from = first;
    if (last - out.back().to < hair) out.back().to = last;
  }
  return out;
}

}  // namespace ovolo
