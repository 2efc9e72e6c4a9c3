#pragma once
#include "sim/advise/odds.hpp"
#include "sim/advise/wish_window.hpp"

namespace ovolo {

/// How the errors act on one kind of bit.
class EdgeOdds::Model {
 public:
  virtual ~Model() = default;
  virtual double failure(double depth, double offset, WishSet set) const = 0;
  virtual double depth_sigma() const = 0;
  virtual double offset_sigma() const = 0;
};

std::unique_ptr<const EdgeOdds::Model> roundover_odds(const Roundover& bit, const WantedForm& wanted,
                                                      const Stock& stock, const Wishes& wishes,
                                                      const SettingErrors& errors, UnevenFace face);
std::unique_ptr<const EdgeOdds::Model> form_odds(const Profile& profile, const WantedForm& wanted,
                                                 const Stock& stock, const Wishes& wishes,
                                                 const SettingErrors& errors, UnevenFace face);

}  // namespace ovolo
