#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/advise/bit_belief.hpp"
#include "sim/advise/normal.hpp"
#include "sim/advise/odds_model.hpp"
#include "sim/advise/quadrature.hpp"
#include "sim/bit/forms.hpp"

namespace ovolo {
namespace {

constexpr double kInf = std::numeric_limits<double>::infinity();
constexpr double kFar = 9;      // standard deviations beyond which nothing is left (1e-19)
constexpr double kPiece = 4;  // standard deviations that one 16-point rule spans

int pieces_of(double change, double sigma) {
  return sigma > 0 && change > kPiece * sigma
             ? static_cast<int>(std::min(200.0, std::ceil(change / (kPiece * sigma))))
             : 1;
}

// The curve of a point-cutting roundover is one circle of radius R whatever the tip has lost, so all wishes
// can be told by three values: p, how deep the curve's top lies below the face; q, how far the curve's level
// end lies from the wall; b, how far the tip flat reaches past the wall. With x (which fixes the working
// depth) given, p and b are independent and normal, and q = run + b. The limits of p and q come from sections
// of a full point, which shows the whole circle.
class RoundoverOdds : public EdgeOdds::Model {
 public:
  RoundoverOdds(const Roundover& bit, const WantedForm& wanted, const Stock& stock, const Wishes& wishes,
                const SettingErrors& errors, UnevenFace face)
      : radius_(bit.radius),
        belief_(bit.readings, errors.readings),
        depth_error_(errors.depth()),
        axis_error_(errors.xy),
        growth_(errors.growth()),
        growth_sigma_(errors.growth_sigma()),
        band_(wishes.band) {
    Roundover full;
    full.radius = full.working_depth = full.cutting_radius = radius_;
    const Profile profile = point_roundover(full, 1);
    const WishWindow window(profile, wanted, stock, wishes, 2 * radius_ + wishes.lip, face);
    const auto lips = window.depths(WishSet::only(Wish::lip)),
               faces = window.depths(WishSet::only(Wish::face_break));
    const auto walls = window.offsets(WishSet::only(Wish::wall_break));
    p_hi_ = lips.empty() ? -kInf : lips.back().hi - radius_;
    p_lo_ = faces.empty() ? kInf : faces.front().lo - radius_;
    q_lo_ = walls.empty() ? kInf : radius_ - walls.back().hi;
    hidden_top_ = window.hidden_top();
    tip_sigma_ = std::hypot(belief_.tip_sigma(), growth_sigma_);
    b_sigma_ = std::hypot(tip_sigma_, axis_error_);
  }

  double failure(double depth, double offset, WishSet set) const override {
    const Limits limits = limits_of(set);
    const double mean = belief_.mean(), sigma = belief_.sigma();
    if (sigma <= 0) return std::min(1.0, failure_at(mean, depth, offset, limits));
    std::vector<double> cuts{mean - 4 * sigma, mean - 1.5 * sigma, mean + 1.5 * sigma, mean + 4 * sigma};
    for (const double run : {limits.q_lo, run_of(depth - limits.p_lo), run_of(depth - limits.p_hi), radius_})
      if (std::isfinite(run)) cuts.push_back(belief_.x_of_run(run));
    const auto f = [&](double x) {
      return normal_density((x - mean) / sigma) / sigma * failure_at(x, depth, offset, limits);
    };
    return std::min(1.0, integrate(f, mean - kFar * sigma, mean + kFar * sigma, cuts, 1e-11));
  }

  double depth_sigma() const override {
    const double spread = belief_.at(belief_.mean() + belief_.sigma()).working_depth -
                          belief_.at(belief_.mean() - belief_.sigma()).working_depth;
    return std::hypot(depth_error_, spread / 2);
  }
  double offset_sigma() const override {
    const double spread = belief_.at(belief_.mean() + belief_.sigma()).tip_radius -
                          belief_.at(belief_.mean() - belief_.sigma()).tip_radius;
    return std::hypot(b_sigma_, spread / 2);
  }

 private:
  struct Limits {
    double p_lo, p_hi, q_lo, b_hi;
    double hidden_top;  // +inf when no wish
    bool foot, cut;
  };

  Limits limits_of(WishSet set) const {
    return {set.has(Wish::face_break) ? p_lo_ : -kInf,
            set.has(Wish::lip) ? p_hi_ : kInf,
            set.has(Wish::wall_break) ? q_lo_ : -kInf,
            set.has(Wish::band) ? band_ : kInf,
            set.has(Wish::hidden) ? hidden_top_ : kInf,
            set.has(Wish::foot),
            set.has(Wish::cut)};
  }

  double run_of(double working_depth) const {
    const double h0 = radius_ - working_depth;
    return working_depth > 0 && working_depth <= radius_
               ? std::sqrt(std::max(0.0, radius_ * radius_ - h0 * h0))
               : kInf;
  }
  // Where the circle crosses a depth below the face; its level end when it lies deeper, -inf when all is
  // deeper.
  double q_at_depth(double p, double z) const {
    const double y = radius_ + p - z;
    if (y <= 0) return kInf;
    return y >= radius_ ? -kInf : std::sqrt(radius_ * radius_ - y * y);
  }

  double failure_at(double x, double depth, double offset, const Limits& limits) const {
    const BitBelief::Bit bit = belief_.at(x);
    if (bit.run < limits.q_lo || limits.p_lo > limits.p_hi) return 1;
    const double p_mean = depth - bit.working_depth, b_mean = bit.tip_radius + growth_ - offset;
    const double b_lo = limits.q_lo - bit.run, b_hi = limits.b_hi;
    const double no_foot =
        limits.foot ? foot_missing(bit.tip_radius + growth_, offset, std::max(0.0, b_lo), b_hi) : 0;
    const auto b_fails = [&](double lo, double hi) {
      return std::min(1.0, chance_outside(b_mean, b_sigma_, lo, hi) + (hi > 0 ? no_foot : 0));
    };
    const double p_fails = chance_outside(p_mean, depth_error_, limits.p_lo, limits.p_hi);

    // Limits of b that depend on p: the foot must be below the face and above the hidden layer.
    const auto lo_at = [&](double p) {
      return limits.cut ? std::max(b_lo, (p < 0 ? std::max(0.0, q_at_depth(p, 0)) : -kInf) - bit.run) : b_lo;
    };
    const auto hi_at = [&](double p) {
      const double q = q_at_depth(p, limits.hidden_top);
      return q < bit.run ? std::min(b_hi, q - bit.run) : b_hi;
    };
    const double from = std::max(limits.p_lo, p_mean - kFar * depth_error_);
    const double to = std::min(limits.p_hi, p_mean + kFar * depth_error_);
    const bool bound_by_p = from <= to && (hi_at(to) < b_hi || lo_at(from) > b_lo);
    if (!bound_by_p) {
      const double b = b_fails(b_lo, b_hi);
      return p_fails + b - p_fails * b;
    }
    if (depth_error_ <= 0) return at_depth(p_mean, lo_at, hi_at, b_fails, limits.cut);
    std::vector<double> cuts{-bit.working_depth, limits.hidden_top - bit.working_depth, limits.hidden_top};
    if (std::isfinite(limits.q_lo))
      cuts.push_back(std::sqrt(std::max(0.0, radius_ * radius_ - limits.q_lo * limits.q_lo)) - radius_);
    const auto pieces = [&](double a, double b) {
      const double inset = (b - a) * 1e-6;
      const auto change = [&](const auto& limit) {
        const double u = limit(a + inset), v = limit(b - inset);
        return std::isfinite(u) && std::isfinite(v) ? std::abs(u - v) : 0.0;
      };
      return std::max({pieces_of(b - a, depth_error_), pieces_of(change(lo_at), b_sigma_),
                       pieces_of(change(hi_at), b_sigma_)});
    };
    const auto f = [&](double p) {
      return normal_density((p - p_mean) / depth_error_) / depth_error_ *
             at_depth(p, lo_at, hi_at, b_fails, limits.cut);
    };
    return std::min(1.0, p_fails + integrate_pieces(f, from, to, cuts, pieces));
  }

  template <class Lo, class Hi, class Fails>
  static double at_depth(double p, const Lo& lo_at, const Hi& hi_at, const Fails& fails, bool cut) {
    const double lo = lo_at(p), hi = hi_at(p);
    if (cut && lo >= 0) return 1;  // even the tip flat stays above the face
    return lo > hi ? 1 : fails(lo, hi);
  }

  // Chance that the axis runs so far inside the wall that not even the tip flat reaches it, while b lies in
  // [lo, hi] with lo >= 0. s = tip radius + offset is normal too, and must not be negative.
  double foot_missing(double tip_mean, double offset, double lo, double hi) const {
    if (tip_mean - kFar * tip_sigma_ > hi / 2) return 0;
    const double b_mean = tip_mean - offset, s_mean = tip_mean + offset;
    if (b_sigma_ <= 0) return b_mean >= lo && b_mean <= hi && s_mean < 0 ? 1 : 0;
    if (s_mean > kFar * b_sigma_) return 0;
    const double correlation = (tip_sigma_ * tip_sigma_ - axis_error_ * axis_error_) / (b_sigma_ * b_sigma_);
    const double rest = b_sigma_ * std::sqrt(std::max(0.0, 1 - correlation * correlation));
    const auto f = [&](double b) {
      return normal_density((b - b_mean) / b_sigma_) / b_sigma_ *
             chance_outside(s_mean + correlation * (b - b_mean), rest, 0, kInf);
    };
    std::vector<double> cuts;
    if (correlation != 0) cuts.push_back(b_mean - s_mean / correlation);
    const auto pieces = [&](double a, double b) { return pieces_of(b - a, std::max(rest, b_sigma_ / 4)); };
    return integrate_pieces(f, std::max(lo, b_mean - kFar * b_sigma_), std::min(hi, b_mean + kFar * b_sigma_),
                            cuts, pieces);
  }

  double radius_;
  BitBelief belief_;
  double depth_error_, axis_error_, growth_, growth_sigma_, band_;
  double p_lo_ = 0, p_hi_ = 0, q_lo_ = 0, hidden_top_ = kInf, tip_sigma_ = 0, b_sigma_ = 0;
};

}  // namespace

std::unique_ptr<const EdgeOdds::Model> roundover_odds(const Roundover& bit, const WantedForm& wanted,
                                                      const Stock& stock, const Wishes& wishes,
                                                      const SettingErrors& errors, UnevenFace face) {
  return std::make_unique<RoundoverOdds>(bit, wanted, stock, wishes, errors, face);
}

}  // namespace ovolo
