#include <algorithm>
#include <cmath>

#include "sim/advise/normal.hpp"
#include "sim/advise/odds_model.hpp"
#include "sim/advise/quadrature.hpp"

namespace ovolo {
namespace {

constexpr double kFar = 9;      // standard deviations beyond which nothing is left (1e-19)
constexpr double kPiece = 4;  // standard deviations that one 16-point rule spans

// Any form, taken as drawn: its height reads wrong by as much as the depth does, its width like the offset.
class FormOdds : public EdgeOdds::Model {
 public:
  FormOdds(const Profile& profile, const WantedForm& wanted, const Stock& stock, const Wishes& wishes,
           const SettingErrors& errors, UnevenFace face)
      : profile_(profile),
        window_(profile_, wanted, stock, wishes, profile.form_height() + wanted.depth + wishes.lip + 1, face),
        growth_(errors.growth()) {
    const double readings = errors.readings.value_or(kReadingError);
    depth_sigma_ = std::hypot(errors.depth(), readings);
    offset_sigma_ = std::hypot(errors.xy, readings / 2, errors.growth_sigma());
  }
  FormOdds(const FormOdds&) = delete;
  FormOdds& operator=(const FormOdds&) = delete;

  double depth_sigma() const override { return depth_sigma_; }
  double offset_sigma() const override { return offset_sigma_; }

  double failure(double depth, double offset, WishSet set) const override {
    const std::vector<Span> depths = window_.depths(set), offsets = window_.offsets(set);
    const bool hidden = set.has(Wish::hidden) && std::isfinite(window_.hidden_top());
    const bool cut = set.has(Wish::cut);
    const double mean = offset - growth_;
    double sum = outside(offsets, mean, offset_sigma_);
    const auto depth_fails = [&](double o) {
      Span open{-kInf, kInf, Wish::limit, Wish::limit};
      if (cut) open.lo = window_.cut_depth(o), open.below = Wish::cut;
      if (hidden) open.hi = window_.hidden_depth(o), open.above = Wish::hidden;
      if (open.lo >= open.hi) return 1.0;
      return outside(intersect({open}, depths), depth, depth_sigma_);
    };
    if (offset_sigma_ <= 0) return sum >= 1 ? 1 : depth_fails(mean);
    std::vector<double> radii{0};
    for (const Profile::Piece& p : profile_.pieces()) {
      radii.push_back(p.r0);
      radii.push_back(p.r1);
    }
    const auto pieces = [&](double a, double b) {
      const double inset = (b - a) * 1e-9;
      double n = (b - a) / (kPiece * offset_sigma_);
      const double rise = window_.cut_depth(b - inset) - window_.cut_depth(a + inset);
      if (depth_sigma_ > 0 && std::isfinite(rise)) n = std::max(n, rise / (kPiece * depth_sigma_));
      return static_cast<int>(std::ceil(std::min(n, 200.0)));
    };
    for (const Span& s : offsets) {
      const double from = std::max(s.lo, mean - kFar * offset_sigma_),
                   to = std::min(s.hi, mean + kFar * offset_sigma_);
      sum += integrate_pieces(
          [&](double o) {
            return normal_density((o - mean) / offset_sigma_) / offset_sigma_ * depth_fails(o);
          },
          from, to, radii, pieces);
    }
    return std::min(1.0, sum);
  }

 private:
  static constexpr double kInf = std::numeric_limits<double>::infinity();

  // Chance of lying in none of the spans. The ends of what was looked at are no limits.
  double outside(const std::vector<Span>& spans, double mean, double sigma) const {
    if (spans.empty()) return 1;
    if (sigma <= 0) {
      for (const Span& s : spans)
        if (mean >= s.lo && mean <= s.hi) return 0;
      return 1;
    }
    const auto open_below = spans.front().below == Wish::limit,
               open_above = spans.back().above == Wish::limit;
    double sum = chance_outside(mean, sigma, open_below ? -kInf : spans.front().lo,
                                open_above ? kInf : spans.back().hi);
    for (std::size_t i = 0; i + 1 < spans.size(); ++i) {
      const double a = (spans[i].hi - mean) / sigma, b = (spans[i + 1].lo - mean) / sigma;
      sum += a > 0 ? normal_tail(a) - normal_tail(b) : normal_tail(-b) - normal_tail(-a);
    }
    return std::min(1.0, sum);
  }

  Profile profile_;
  WishWindow window_;
  double growth_, depth_sigma_ = 0, offset_sigma_ = 0;
};

}  // namespace

std::unique_ptr<const EdgeOdds::Model> form_odds(const Profile& profile, const WantedForm& wanted,
                                                 const Stock& stock, const Wishes& wishes,
                                                 const SettingErrors& errors, UnevenFace face) {
  return std::make_unique<FormOdds>(profile, wanted, stock, wishes, errors, face);
}

}  // namespace ovolo
