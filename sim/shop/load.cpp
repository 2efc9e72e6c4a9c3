#include "sim/shop/load.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>

#include "sim/parallel.hpp"
#include "sim/path/move_index.hpp"
#include "sim/shop/pass_volume.hpp"

namespace ovolo {
namespace {

constexpr double kNone = -std::numeric_limits<double>::infinity();
constexpr auto kNoPass = std::numeric_limits<std::size_t>::max();  // of an operation that is not looked at

/// A place on a move at which the contact is looked at.
struct Place {
  std::uint32_t move = 0;
  double s = 0;       // along the move's path
  double weight = 0;  // mm of path it stands for
  std::size_t pass = 0;
};

struct Looked {
  Engagement engagement;
  Vec2 at;
  TipLoad tip;
};

bool has_path(const Move& m) {
  return m.region < 0 && (m.role == MoveRole::cut || m.role == MoveRole::ramp || m.role == MoveRole::lead);
}

bool looked_at(const Move& m, const LoadOptions& options) {
  return !options.only || *options.only == m.operation;
}

double high_chip(const Move& m, const Bit& bit, double runout) {
  const double turn = m.feed / m.spindle;
  return std::min(turn, turn / bit.flutes + (bit.flutes > 1 ? runout : 0));
}

/// Height of the material near a place of a move when the bit comes to it.
class Before {
 public:
  Before(const Job& job, const Plan& plan, const MoveIndex& index, const std::vector<double>& travelled)
      : job_(job), plan_(plan), index_(index), travelled_(travelled), bottom_(-job.stock.thickness()) {}

  /// Gathers what may have been cut within the bit's reach of p, and ahead of it, before the place.
  void gather(const Place& place, Vec2 p) {
    const Move& move = plan_.moves[place.move];
    const Profile& profile = job_.bits[move.bit].profile;
    const double c = profile.cutting_radius();
    Box2 box;
    box.add(p);
    index_.query(box.grown(2 * c), found_);
    near_.clear();
    for (const std::uint32_t i : found_) {
      const Move& other = plan_.moves[i];
      if (i > place.move || (i == place.move && !other.path.is_arc()) || other.set_up != move.set_up ||
          other.role == MoveRole::rapid)
        continue;
      if (other.path.distance(p) > 2 * c + job_.bits[other.bit].profile.cutting_radius()) continue;
      const double length = other.path.length();
      double until = length;
      if (i == place.move)  // what a round path began with may lie ahead again
        until = place.s - kBehind * c;
      else if (profile.undercut() && other.operation == move.operation && other.pass == move.pass)
        until = std::min(length, travelled_[place.move] + place.s - kBehind * c - travelled_[i]);
      if (until >= length) {
        near_.push_back(other);
      } else if (until > 0) {
        near_.push_back(other);
        near_.back().path = other.path.part(0, until);
        near_.back().z1 = other.z0 + (other.z1 - other.z0) * until / length;
      }
    }
  }

  double height(Vec2 p) const {
    if (p.x < 0 || p.y < 0 || p.x > job_.stock.width || p.y > job_.stock.height) return kNone;
    double z = 0;
    for (const Move& m : near_)
      z = std::min(z, swept_height(m, job_.bits[m.bit].profile, plan_.regions, p) +
                          plan_.surfaces[m.surface].delta(p));
    return z > bottom_ ? z : kNone;
  }

 private:
  static constexpr double kBehind = 2.5;  // cutting radii of way within which the bit is still in what it cut
  const Job& job_;
  const Plan& plan_;
  const MoveIndex& index_;
  const std::vector<double>& travelled_;
  double bottom_;
  std::vector<std::uint32_t> found_;
  std::vector<Move> near_;
};

/// Moves that a cleared area stands for in the finished surface count here one by one, and not the area.
MoveIndex index_of_all(const Plan& plan, const Job& job) {
  Plan all;
  all.regions = plan.regions;
  all.surfaces = plan.surfaces;
  all.moves = plan.moves;
  for (Move& m : all.moves) m.counted = m.region < 0;
  return MoveIndex(all, job);
}

/// How far each pass had travelled when it came to a move, mm.
std::vector<double> travelled(const Plan& plan) {
  std::vector<double> out(plan.moves.size(), 0);
  std::map<std::pair<std::uint32_t, std::uint32_t>, double> way;
  for (std::size_t i = 0; i < plan.moves.size(); ++i) {
    const Move& m = plan.moves[i];
    double& so_far = way[{m.operation, m.pass}];
    out[i] = so_far;
    if (m.region < 0 && m.role != MoveRole::rapid) so_far += m.path.length();
  }
  return out;
}

/// Ends of moves behind which the same pass goes on in another direction: there the bit runs into the corner.
std::vector<Place> corners_of(const Job& job, const Plan& plan, const std::vector<std::size_t>& pass_of,
                              const LoadOptions& options) {
  constexpr double kTurn = 0.1;     // radians
  constexpr double kBefore = 1e-3;  // cutting radii before the corner
  constexpr double kSame = 1e-6;    // mm
  std::vector<Place> corners;
  for (std::size_t i = 0; i < plan.moves.size(); ++i) {
    const Move& m = plan.moves[i];
    const double before = kBefore * job.bits[m.bit].profile.cutting_radius();
    if (!has_path(m) || !looked_at(m, options) || m.path.length() < 2 * before) continue;
    const bool joined =
        i + 1 < plan.moves.size() && pass_of[i + 1] == pass_of[i] && has_path(plan.moves[i + 1]);
    if (!joined) continue;
    const Move& next = plan.moves[i + 1];
    if (next.path.length() < 2 * before || distance(m.path.b, next.path.a) > kSame) continue;
    if (dot(m.path.tangent(m.path.length()), next.path.tangent(0)) > std::cos(kTurn)) continue;
    corners.push_back({static_cast<std::uint32_t>(i), m.path.length() - before, 0, pass_of[i]});
  }
  return corners;
}

/// Places along every pass, and so many of its corners.
std::vector<Place> places_of(const Job& job, const Plan& plan, const std::vector<double>& way,
                             const std::vector<PassLoad>& passes, const std::vector<std::size_t>& pass_of,
                             const LoadOptions& options) {
  std::vector<Place> places;
  for (std::size_t i = 0; i < plan.moves.size(); ++i) {
    const Move& m = plan.moves[i];
    if (!has_path(m) || !looked_at(m, options)) continue;
    const double length = m.path.length();
    if (length <= 0) continue;
    const double step = std::max(options.spacing, passes[pass_of[i]].length / options.most_places);
    // Places stand in the middle of equal steps along the whole pass, whatever its moves' lengths.
    const double first = std::ceil(way[i] / step - 0.5), last = std::ceil((way[i] + length) / step - 0.5);
    for (double k = first; k < last; k += 1)
      places.push_back({static_cast<std::uint32_t>(i), (k + 0.5) * step - way[i], step, pass_of[i]});
  }
  const std::vector<Place> corners = corners_of(job, plan, pass_of, options);
  std::vector<std::size_t> of(passes.size(), 0), seen(passes.size(), 0);
  for (const Place& c : corners) ++of[c.pass];
  for (const Place& c : corners) {
    const std::size_t every = of[c.pass] / static_cast<std::size_t>(options.most_places) + 1;
    if (seen[c.pass]++ % every == 0) places.push_back(c);
  }
  return places;
}

void add(AlongPass& along, double value, double share, Vec2 at) {
  along.mean += value * share;
  if (value > along.max) {
    along.max = value;
    along.worst_at = at;
  }
}

}  // namespace

std::vector<PassLoad> pass_loads(const Job& job, const Plan& plan, const Material& material,
                                 const LoadOptions& options) {
  const MoveIndex index = index_of_all(plan, job);
  std::vector<PassLoad> passes;
  std::vector<std::size_t> pass_of(plan.moves.size(), 0);
  std::map<std::pair<std::uint32_t, std::uint32_t>, std::size_t> known;
  for (std::size_t i = 0; i < plan.moves.size(); ++i) {
    const Move& m = plan.moves[i];
    if (m.role == MoveRole::rapid) continue;
    if (!looked_at(m, options)) {
      pass_of[i] = kNoPass;
      continue;
    }
    const auto [it, fresh] = known.try_emplace({m.operation, m.pass}, passes.size());
    if (fresh) {
      PassLoad load;
      load.operation = m.operation;
      load.pass = m.pass;
      load.bit = m.bit;
      passes.push_back(load);
    }
    pass_of[i] = it->second;
    PassLoad& load = passes[it->second];
    load.spindle = std::max(load.spindle, m.spindle);
    load.feed = std::max(load.feed, m.feed);
    if (m.spindle > 0 && m.role != MoveRole::plunge) {
      load.chip_load = std::max(load.chip_load, m.feed / m.spindle / job.bits[m.bit].flutes);
      load.high_chip = std::max(load.high_chip, high_chip(m, job.bits[m.bit], options.runout));
    }
    if (has_path(m)) load.length += m.path.length();
  }

  const std::vector<double> way = travelled(plan);
  const std::vector<Place> places = places_of(job, plan, way, passes, pass_of, options);
  std::vector<Looked> looked(places.size());
  parallel_for(places.size(), [&](std::size_t k) {
    const Place& place = places[k];
    const Move& m = plan.moves[place.move];
    const Bit& bit = job.bits[m.bit];
    const Vec2 p = m.path.point(place.s), ahead = m.path.tangent(place.s), left = perp(ahead);
    Before before(job, plan, index, way);
    before.gather(place, p);
    EngagementOptions how;
    how.bottom = -job.stock.thickness();
    const double tip = m.z0 + (m.z1 - m.z0) * place.s / m.path.length() + plan.surfaces[m.surface].delta(p);
    Looked& out = looked[k];
    out.engagement = engagement(
        bit.profile, tip, [&](double v, double a) { return before.height(p + v * left + a * ahead); }, how);
    out.at = p;
    if (m.spindle > 0)
      out.tip = tip_load(bit.profile, out.engagement, high_chip(m, bit, options.runout),
                         material.specific_energy.value, options.tip, bit.cutting_length.value_or(0));
    out.engagement.slices.clear();
  });

  std::vector<double> total(passes.size(), 0);
  for (const Place& place : places) total[place.pass] += place.weight;
  for (std::size_t k = 0; k < places.size(); ++k) {
    const Place& place = places[k];
    const Move& m = plan.moves[place.move];
    const Engagement& e = looked[k].engagement;
    PassLoad& load = passes[place.pass];
    const double share = total[place.pass] > 0 ? place.weight / total[place.pass] : 0;
    LoadPlace here;
    here.s = way[place.move] + place.s;
    here.at = looked[k].at;
    here.section = e.area;
    here.rate = e.area * m.feed / 60;
    if (m.spindle > 0) here.chip_load = m.feed / m.spindle / job.bits[m.bit].flutes;
    here.width = e.width;
    here.depth = e.depth;
    const double turn = 2 * std::numbers::pi * m.spindle / 60 / 1000;
    here.inner_speed = e.inner * turn;
    here.outer_speed = e.outer * turn;
    here.power = material.specific_energy.value * here.rate / 1000;  // N/mm^2 * mm^3/s = mW
    here.index = looked[k].tip.index;
    load.along.push_back(here);
    add(load.section, here.section, share, here.at);
    add(load.rate, here.rate, share, here.at);
    load.width = std::max(load.width, e.width);
    load.depth = std::max(load.depth, e.depth);
    if (looked[k].tip.index > load.tip.index) {
      load.tip = looked[k].tip;
      load.tip_at = looked[k].at;
    }
  }

  if (!options.only) {
    const std::vector<double> volumes = pass_volumes(job, plan, index, pass_of, passes.size());
    for (std::size_t k = 0; k < passes.size(); ++k) passes[k].volume = volumes[k];
  }

  for (std::size_t i = 0; i < plan.moves.size(); ++i) {
    const Move& m = plan.moves[i];
    const bool straight_down = m.region < 0 && m.path.length() < 1e-9 && m.z1 < m.z0;
    if (!straight_down || m.role == MoveRole::rapid || !looked_at(m, options)) continue;
    Before before(job, plan, index, way);
    Place place;
    place.move = static_cast<std::uint32_t>(i);
    before.gather(place, m.path.a);
    const double top = std::min(m.z0, before.height(m.path.a));
    passes[pass_of[i]].plunge = std::max(passes[pass_of[i]].plunge, top - m.z1);
  }
  for (PassLoad& load : passes) {
    std::stable_sort(load.along.begin(), load.along.end(),
                     [](const LoadPlace& a, const LoadPlace& b) { return a.s < b.s; });
    const Ranged& u = material.specific_energy;
    const double watt = load.rate.max / 1000;
    load.power = {u.low * watt, u.value * watt, u.high * watt};
    load.index = {load.tip.index * u.low / u.value, load.tip.index, load.tip.index * u.high / u.value};
    double slowest = std::numeric_limits<double>::infinity();
    for (const LoadPlace& place : load.along) {
      if (!(place.section > 0)) continue;
      slowest = std::min(slowest, place.inner_speed);
      load.inner_speed = slowest;
      load.outer_speed = std::max(load.outer_speed, place.outer_speed);
    }
  }
  return passes;
}

}  // namespace ovolo
