#include "sim/shop/feed_marks.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "sim/error.hpp"

namespace ovolo {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr int kMaxFlutes = 64;

/// One flute's path past the finished wall: x along the feed, height above the deepest valley.
/// x = x0 + R sin t + drift t, height = rise + R (1 - cos t).
class ToothPath {
 public:
  ToothPath(double x0, double radius, double rise, double drift)
      : x0_(x0), radius_(radius), rise_(rise), drift_(drift) {
    if (radius <= 0) return;
    // Beyond a quarter turn the edge is on the far side of the axis; a climbing edge turns back earlier.
    t_max_ = drift >= 0 ? std::numbers::pi / 2 : drift > -radius ? std::acos(-drift / radius) : 0;
    reach_ = std::max(0.0, radius * std::sin(t_max_) + drift * t_max_);
  }
  double x0() const { return x0_; }
  double reach() const { return reach_; }
  double height(double x) const {
    if (radius_ <= 0 || std::fabs(x - x0_) > reach_ * (1 + 1e-12)) return kInfinity;
    const double d = std::min(std::fabs(x - x0_), reach_);
    if (drift_ == 0) {
      const double q = d / radius_;
      return rise_ + radius_ * q * q / (1 + std::sqrt(std::max(0.0, 1 - q * q)));  // exact for small q too
    }
    double lo = 0, hi = t_max_, t = std::min(hi, d / (radius_ + drift_));
    for (int i = 0; i < 60; ++i) {
      const double error = radius_ * std::sin(t) + drift_ * t - d;
      (error > 0 ? hi : lo) = t;
      const double next = t - error / (radius_ * std::cos(t) + drift_);
      const double step = next > lo && next < hi ? next : (lo + hi) / 2;
      if (std::fabs(step - t) <= 1e-16 + 1e-14 * t) break;
      t = step;
    }
    const double half = std::sin(t / 2);
    return rise_ + 2 * radius_ * half * half;
  }

 private:
  double x0_, radius_, rise_, drift_;
  double t_max_ = 0, reach_ = 0;
};

/// Where one flute's mark ends and the next one's begins.
struct Crest {
  double x, z;
  std::size_t before, after;  // flutes
};

/// A stretch of one flute's mark: z = floor + bend t^2 for t from t0 to t1.
struct Stretch {
  double floor, bend, t0, t1;

  double integral(double a, double b) const { return floor * (b - a) + bend * (b * b * b - a * a * a) / 3; }
  double integral() const { return integral(t0, t1); }
  double square(double mean) const {
    const auto primitive = [&](double t) {
      const double c = floor - mean;
      return c * c * t + 2 * c * bend * t * t * t / 3 + bend * bend * t * t * t * t * t / 5;
    };
    return primitive(t1) - primitive(t0);
  }
  double deviation(double mean) const {
    const double half = mean > floor && bend > 0 ? std::sqrt((mean - floor) / bend) : 0;
    const double lo = std::clamp(-half, t0, t1), hi = std::clamp(half, t0, t1);  // below the mean in between
    const double under = mean * (hi - lo) - integral(lo, hi);
    return under + (integral(t0, lo) - mean * (lo - t0)) + (integral(hi, t1) - mean * (t1 - hi));
  }
};

/// The marks between the crests, in order of x, as parabolas through them.
std::vector<Stretch> stretches(const std::vector<ToothPath>& teeth, const std::vector<Crest>& crests,
                               double turn) {
  std::vector<Stretch> out;
  double x = 0;
  for (std::size_t k = 0; k <= crests.size(); ++k) {
    const double end = k < crests.size() ? crests[k].x : turn;
    const double middle = (x + end) / 2;
    const ToothPath& tooth = *std::min_element(
        teeth.begin(), teeth.end(),
        [&](const ToothPath& a, const ToothPath& b) { return a.height(middle) < b.height(middle); });
    const double floor = tooth.height(tooth.x0());
    const double t0 = x - tooth.x0(), t1 = end - tooth.x0();
    const double far = std::fabs(t0) > std::fabs(t1) ? t0 : t1;
    const double bend = far != 0 ? (tooth.height(tooth.x0() + far) - floor) / (far * far) : 0;
    out.push_back({floor, bend, t0, t1});
    x = end;
  }
  return out;
}

double envelope(const std::vector<ToothPath>& teeth, double x) {
  double z = kInfinity;
  for (const ToothPath& tooth : teeth) z = std::min(z, tooth.height(x));
  return z;
}

/// Where a's rising side meets b's falling side between their valleys; false when they do not meet there.
bool meet(const ToothPath& a, const ToothPath& b, double& x) {
  double lo = std::max(a.x0(), b.x0() - b.reach());
  double hi = std::min(b.x0(), a.x0() + a.reach());
  if (lo > hi) return false;
  const auto above = [&](double at) { return a.height(at) - b.height(at); };  // rises with x
  double below_lo = above(lo), above_hi = above(hi);
  if (!(below_lo <= 0 && above_hi >= 0)) return false;
  const double close = 1e-15 * (b.x0() - a.x0() + std::fabs(lo));
  // False position that halves the weight of an end that stays, and plain halving where that stalls.
  for (int i = 0, stayed = 0; i < 100 && hi - lo > close; ++i) {
    const double weight = above_hi - below_lo;
    x = i % 3 == 2 || !(weight > 0) ? (lo + hi) / 2 : lo - below_lo * (hi - lo) / weight;
    if (!(x > lo && x < hi)) break;
    const double d = above(x);
    if (d == 0) return true;
    if (d < 0) {
      lo = x;
      below_lo = d;
      if (stayed == 1) above_hi /= 2;
      stayed = 1;
    } else {
      hi = x;
      above_hi = d;
      if (stayed == -1) below_lo /= 2;
      stayed = -1;
    }
  }
  x = std::clamp(x, lo, hi);
  return true;
}

bool covered(const std::vector<ToothPath>& teeth, double length) {
  double end = 0;
  for (const ToothPath& tooth : teeth) {  // in order of x0
    if (tooth.reach() <= 0) continue;
    if (tooth.x0() - tooth.reach() > end) return false;
    end = std::max(end, tooth.x0() + tooth.reach());
  }
  return end >= length;
}

void check(double radius, const MarkSettings& s) {
  const auto positive = [](double v) { return std::isfinite(v) && v > 0; };
  if (!positive(radius)) throw JobError("feed marks need a bit radius above 0 mm");
  if (!positive(s.feed)) throw JobError("feed marks need a feed above 0 mm/min");
  if (!positive(s.spindle)) throw JobError("feed marks need a spindle speed above 0 rpm");
  if (s.flutes < 1 || s.flutes > kMaxFlutes) throw JobError("feed marks need from 1 to 64 flutes");
  if (!std::isfinite(s.runout) || s.runout < 0) throw JobError("the runout must be 0 mm or more");
}

/// The flutes of one turn and the first of the next.
std::vector<ToothPath> teeth_of(double radius, const MarkSettings& settings) {
  const double turn = settings.advance_per_turn();
  const double sign = !settings.direction ? 0.0 : *settings.direction == Direction::conventional ? 1.0 : -1.0;
  const double drift = sign * turn / (2 * std::numbers::pi);
  // No flute outside [0, N] can cut between two passes of the highest one.
  std::vector<ToothPath> teeth;
  for (int i = 0; i <= settings.flutes; ++i) {
    const double share = static_cast<double>(i) / settings.flutes;
    const double low = settings.runout / 2 * (1 - std::cos(2 * std::numbers::pi * share));
    teeth.emplace_back(turn * share, radius - low, low, drift);
  }
  return teeth;
}

}  // namespace

std::optional<FeedMarks> feed_marks(double radius, const MarkSettings& settings) {
  check(radius, settings);
  const double turn = settings.advance_per_turn();
  const std::vector<ToothPath> teeth = teeth_of(radius, settings);
  if (!covered(teeth, turn)) return std::nullopt;

  std::vector<Crest> crests;
  for (std::size_t i = 0; i + 1 < teeth.size(); ++i)
    for (std::size_t j = i + 1; j < teeth.size(); ++j) {
      double x = 0;
      if (!meet(teeth[i], teeth[j], x)) continue;
      const double z = std::min(teeth[i].height(x), teeth[j].height(x));
      if (envelope(teeth, x) >= z - 1e-12 * (z + turn)) crests.push_back({x, z, i, j});
    }
  std::sort(crests.begin(), crests.end(), [](const Crest& a, const Crest& b) { return a.x < b.x; });

  FeedMarks marks;
  std::vector<char> marking(static_cast<std::size_t>(settings.flutes), 0);
  for (const Crest& c : crests) {
    marks.rt = std::max(marks.rt, c.z);
    marking[c.before % marking.size()] = marking[c.after % marking.size()] = 1;
  }
  marks.marking = static_cast<int>(std::count(marking.begin(), marking.end(), 1));
  marks.spacing = turn / marks.marking;
  const std::vector<Stretch> parts = stretches(teeth, crests, turn);
  double mean = 0;
  for (const Stretch& part : parts) mean += part.integral() / turn;
  double squares = 0;
  for (const Stretch& part : parts) {
    marks.ra += part.deviation(mean) / turn;
    squares += part.square(mean) / turn;
  }
  marks.rq = std::sqrt(std::max(0.0, squares));
  return marks;
}

std::vector<double> mark_heights(double radius, const MarkSettings& settings, double length, int count) {
  check(radius, settings);
  const double turn = settings.advance_per_turn();
  const std::vector<ToothPath> teeth = teeth_of(radius, settings);
  std::vector<double> heights;
  for (int i = 0; i < count; ++i) {
    const double x = length * i / (count - 1);
    heights.push_back(envelope(teeth, x - turn * std::floor(x / turn)));
  }
  return heights;
}

double marks_per_inch(const FeedMarks& marks) { return 25.4 / marks.spacing; }

MarkGrade mark_grade(double marks_per_inch) {
  // A count that falls short by rounding alone still counts.
  const double count = marks_per_inch * (1 + 1e-12);
  if (count >= 20) return MarkGrade::custom_and_premium;
  return count >= 15 ? MarkGrade::economy : MarkGrade::none;
}

}  // namespace ovolo
