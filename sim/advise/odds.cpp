#include "sim/advise/odds.hpp"

#include <utility>

#include "sim/advise/odds_model.hpp"

namespace ovolo {

EdgeOdds::EdgeOdds(const Bit& bit, const WantedForm& wanted, const Stock& stock, const Wishes& wishes,
                   const SettingErrors& errors, UnevenFace face, StopCheck stop)
    : model_(bit.roundover ? roundover_odds(*bit.roundover, wanted, stock, wishes, errors, face)
                           : form_odds(bit.profile, wanted, stock, wishes, errors, face)),
      stop_(std::move(stop)) {}
EdgeOdds::~EdgeOdds() = default;
EdgeOdds::EdgeOdds(EdgeOdds&&) noexcept = default;

double EdgeOdds::failure(double depth, double offset, WishSet set) const {
  if (stop_) stop_();
  return model_->failure(depth, offset, set);
}
double EdgeOdds::depth_sigma() const { return model_->depth_sigma(); }
double EdgeOdds::offset_sigma() const { return model_->offset_sigma(); }

}  // namespace ovolo
