#include "sim/path/swept_ranges.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "sim/path/climb.hpp"

namespace ovolo {
namespace {

// The height at which an outline piece, not level to the axis, has the radius r.
double height_at(const Segment& s, double r) {
  if (!s.is_arc()) return s.a.y + (s.b.y - s.a.y) * ((r - s.a.x) / (s.b.x - s.a.x));
  const double d = r - s.centre.x;
  const double run = std::sqrt(std::max(0.0, s.radius * s.radius - d * d));
  return s.centre.y + (s.a.y + s.b.y < 2 * s.centre.y ? -run : run);
}

// Places along the path where the distance from p is r, or turns (r < 0), within [0, whole].
class Along {
 public:
  Along(const Move& move, Vec2 p) : whole_(move.path.length()), beside_(Beside::line(0)) {
    const Segment& path = move.path;
    if (path.is_arc()) {
      const Vec2 d = p - path.centre;
      beside_ = Beside::arc(length(d), path.radius);
      period_ = 2 * std::numbers::pi * path.radius;
      const double turn = path.sweep < 0 ? path.angle - angle_of(d) : angle_of(d) - path.angle;
      foot_ = path.radius * (turn - 2 * std::numbers::pi * std::floor(turn / (2 * std::numbers::pi)));
    } else {
      const Vec2 t = (path.b - path.a) / whole_;
      foot_ = dot(t, p - path.a);
      beside_ = Beside::line(std::abs(cross(t, p - path.a)));
    }
  }
  double distance(double t) const {
    double w = std::abs(t - foot_);
    if (period_ > 0) w = std::min(std::fmod(w, period_), period_ - std::fmod(w, period_));
    return beside_.distance(w);
  }
  void turns(std::vector<double>& out) const {
    put(foot_, out);
    if (period_ > 0) put(foot_ + period_ / 2, out);
  }
  void where(double r, std::vector<double>& out) const {
    if (r < beside_.y() || r > beside_.farthest()) return;
    const double w = beside_.back(r);
    put(foot_ - w, out);
    put(foot_ + w, out);
  }

 private:
  void put(double t, std::vector<double>& out) const {
    if (period_ > 0)
      for (double s = t - period_ * std::ceil(t / period_); s < whole_; s += period_) out.push_back(s);
    else
      out.push_back(t);
  }
  double whole_, foot_ = 0, period_ = 0;
  Beside beside_;
};

// The least of f over [a, b], a function smooth there.
template <class F>
double least_of(F f, double a, double b) {
  constexpr int kSamples = 16;
  double best = std::min(f(a), f(b));
  double v[kSamples + 1];
  for (int i = 0; i <= kSamples; ++i) v[i] = f(a + (b - a) * i / kSamples);
  for (int i = 1; i < kSamples; ++i) {
    if (v[i] > v[i - 1] || v[i] > v[i + 1]) continue;
    double lo = a + (b - a) * (i - 1) / kSamples, hi = a + (b - a) * (i + 1) / kSamples;
    for (int k = 0; k < 100 && hi - lo > 1e-9 * (b - a); ++k) {
      const double m1 = lo + (hi - lo) / 3, m2 = hi - (hi - lo) / 3;
      if (f(m1) < f(m2))
        hi = m2;
      else
        lo = m1;
    }
    best = std::min(best, f((lo + hi) / 2));
  }
  return best;
}

}  // namespace

void swept_ranges(const Move& move, const BitBody& body, Vec2 p, std::vector<HeightRange>& out) {
  out.clear();
  const double whole = move.path.length();
  const Along along(move, p);
  std::vector<double> cuts{0, whole};
  along.turns(cuts);
  for (const Segment& s : body.outline()) {
    along.where(s.a.x, cuts);
    along.where(s.b.x, cuts);
  }
  for (double& t : cuts) t = std::clamp(t, 0.0, whole);
  std::sort(cuts.begin(), cuts.end());
  const double slope = (move.z1 - move.z0) / whole;
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    const double t0 = cuts[i], t1 = cuts[i + 1];
    if (t1 - t0 < 1e-12) continue;
    const double d = along.distance((t0 + t1) / 2);
    if (d >= body.reach()) continue;
    const auto end = [&](const Segment& s, double t) {
      const double r = std::clamp(along.distance(t), std::min(s.a.x, s.b.x), std::max(s.a.x, s.b.x));
      return move.z0 + slope * t + height_at(s, r);
    };
    double lo = 0;
    bool open = false;
    for (const Segment& s : body.outline()) {
      if (!(d > std::min(s.a.x, s.b.x) && d < std::max(s.a.x, s.b.x)) || (s.b.x > s.a.x) == open) continue;
      open = !open;
      if (open)
        lo = least_of([&](double t) { return end(s, t); }, t0, t1);
      else
        out.push_back({lo, -least_of([&](double t) { return -end(s, t); }, t0, t1)});
    }
    if (open) out.push_back({lo, std::numeric_limits<double>::infinity()});
  }
  std::sort(out.begin(), out.end(), [](const HeightRange& a, const HeightRange& b) { return a.lo < b.lo; });
  std::size_t kept = 0;
  for (std::size_t i = 1; i < out.size(); ++i) {
    if (out[i].lo <= out[kept].hi)
      out[kept].hi = std::max(out[kept].hi, out[i].hi);
    else
      out[++kept] = out[i];
  }
  if (!out.empty()) out.resize(kept + 1);
}

void wide_ranges(const BitBody& body, double r, std::vector<HeightRange>& out) {
  out.clear();
  double lo = 0;
  bool open = false;
  for (const Segment& s : body.outline()) {
    if (!(r > std::min(s.a.x, s.b.x) && r < std::max(s.a.x, s.b.x)) || (s.b.x > s.a.x) == open) continue;
    open = !open;
    if (open)
      lo = height_at(s, r);
    else
      out.push_back({lo, height_at(s, r)});
  }
  if (open) out.push_back({lo, std::numeric_limits<double>::infinity()});
}

}  // namespace ovolo
