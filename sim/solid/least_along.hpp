#pragma once
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>

namespace ovolo {

/// The least over t in [0, 1] of f, which changes by at most `rate` over all of it and has no two lows within
/// `step` (in the units of f and rate). Exact to 1e-9 where it is below `below`; elsewhere some value from
/// `below` up that the least is not under. Ends early with any value under `plenty`.
template <class F>
class LeastAlong {
 public:
  LeastAlong(F f, double rate, double step, double below, double plenty)
      : f_(f), rate_(rate), step_(step), below_(below), plenty_(plenty) {}

  double find() {
    if (!narrow()) return best_;
    // Lows among the stretches that are left; neighbours that were passed over lie higher.
    for (std::size_t k = 0; k < count_ && best_ >= plenty_; ++k) {
      const Stretch& s = left_[k];
      const bool before = k > 0 && left_[k - 1].place + 1 == s.place;
      const bool after = k + 1 < count_ && left_[k + 1].place == s.place + 1;
      if ((before && left_[k - 1].f < s.f) || (after && left_[k + 1].f <= s.f)) continue;
      if (s.f - rate_ * width_ >= std::min(best_, below_)) continue;
      const double t = middle(s.place);
      const double lo = std::max(0.0, t - width_), hi = std::min(1.0, t + width_);
      refine(lo, before && lo > 0 ? left_[k - 1].f : f_(lo), t, s.f, hi,
             after && hi < 1 ? left_[k + 1].f : f_(hi));
    }
    return std::min(best_, std::max(passed_, below_));
  }

 private:
  struct Stretch {
    int place;
    double f;  // at its middle
  };
  static constexpr std::size_t kMost = 512;

  double middle(int place) const { return (place + 0.5) * width_; }
  double low_of(double at_middle) const { return at_middle - rate_ * width_ / 2; }

  // Splits into thirds, leaving away what lies too high, until the stretches are short. False when nothing is
  // left, or plenty was found.
  bool narrow() {
    int n = std::clamp(static_cast<int>(rate_ / (27 * step_)) + 1, 1, static_cast<int>(kMost) / 3);
    width_ = 1.0 / n;
    for (int i = 0; i < n; ++i) add(left_, count_, i, f_(middle(i)));
    for (;;) {
      if (best_ < plenty_) return false;
      std::size_t kept = 0;
      for (std::size_t k = 0; k < count_; ++k) {
        const double low = low_of(left_[k].f);
        if (low < std::min(best_, below_))
          left_[kept++] = left_[k];
        else
          passed_ = std::min(passed_, low);
      }
      count_ = kept;
      if (count_ == 0) {
        best_ = std::min(best_, std::max(passed_, below_));
        return false;
      }
      if (rate_ * width_ <= step_ || 3 * count_ > kMost) return true;
      std::array<Stretch, kMost> next;
      std::size_t found = 0;
      width_ /= 3;
      for (std::size_t k = 0; k < count_; ++k) {
        const int first = 3 * left_[k].place;
        add(next, found, first, f_(middle(first)));
        add(next, found, first + 1, left_[k].f);
        add(next, found, first + 2, f_(middle(first + 2)));
      }
      std::copy_n(next.begin(), found, left_.begin());
      count_ = found;
    }
  }

  void add(std::array<Stretch, kMost>& to, std::size_t& count, int place, double f) {
    to[count++] = {place, f};
    best_ = std::min(best_, f);
  }

  // f(b) is not above f(a) and f(c) unless the low lies at an end. Parabolas, and golden cuts where they
  // fail.
  void refine(double a, double fa, double b, double fb, double c, double fc) {
    best_ = std::min({best_, fa, fb, fc});
    constexpr double kGolden = 0.3819660112501051;
    const double near = 1e-7 / std::max(rate_, 1e-3);
    if (fa < fb && f_(a + near) >= fa) return;  // at an end
    if (fc < fb && f_(c - near) >= fc) return;
    double last = c - a;
    for (int i = 0; i < 60; ++i) {
      if (c - a < 2 * near) break;
      double x = b;
      const double p = (b - a) * (b - a) * (fb - fc) - (b - c) * (b - c) * (fb - fa);
      const double q = (b - a) * (fb - fc) - (b - c) * (fb - fa);
      if (q != 0) x = b - p / (2 * q);
      const bool parabola = q != 0 && x > a && x < c && std::abs(x - b) < 0.5 * last && fb <= fa && fb <= fc;
      if (!parabola) x = b - a > c - b ? b - kGolden * (b - a) : b + kGolden * (c - b);
      if (std::abs(x - b) < near) {
        if (parabola && std::abs(x - b) < 0.1 * near) break;
        x = x < b || (x == b && b - a > c - b) ? b - near : b + near;
        if (x <= a || x >= c) break;
      }
      last = std::abs(x - b);
      const double fx = f_(x);
      best_ = std::min(best_, fx);
      if (fx <= fb) {
        (x < b ? c : a) = b;
        (x < b ? fc : fa) = fb;
        b = x;
        fb = fx;
      } else {
        (x < b ? a : c) = x;
        (x < b ? fa : fc) = fx;
      }
    }
  }

  F f_;
  double rate_, step_, below_, plenty_;
  double width_ = 1;  // of a stretch
  std::array<Stretch, kMost> left_;
  std::size_t count_ = 0;
  double best_ = std::numeric_limits<double>::infinity(), passed_ = std::numeric_limits<double>::infinity();
};

}  // namespace ovolo
