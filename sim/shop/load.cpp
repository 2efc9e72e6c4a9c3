#include "sim/shop/load.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>

#include "sim/parallel.hpp"
#include "sim/path/move_index.hpp"

namespace ovolo {
namespace {

constexpr double kNone = -std::numeric_limits<double>::infinity();

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

double high_chip(const Move& m, const Bit& bit, double runout) {
  const double turn = m.feed / m.spindle;
  return std::min(turn, turn / bit.flutes + (bit.flutes > 1 ? runout : 0));
}

/// Height of the material at p before the move is made.
class Before {
 public:
  Before(const Job& job, const Plan& plan, const MoveIndex& index, const std::vector<double>& travelled)
      : job_(job), plan_(plan), index_(index), travelled_(travelled), bottom_(-job.stock.thickness()) {}

  /// Gathers what may have been cut within `reach` of p before the place.
  void gather(const Place& place, Vec2 p, double reach) {
    Box2 box;
    box.add(p);
    index_.query(box.grown(reach), found_);
    const Move& move = plan_.moves[place.move];
    const double here = travelled_[place.move] + place.s;
    std::erase_if(found_, [&](std::uint32_t i) {
      const Move& other = plan_.moves[i];
      if (i >= place.move || other.set_up != move.set_up || other.role == MoveRole::rapid) return true;
      if (other.operation != move.operation || other.pass != move.pass || other.region >= 0) return false;
      return travelled_[i] + other.path.length() > here - 2.5 * reach;
    });
  }

  double height(Vec2 p) const {
    if (p.x < 0 || p.y < 0 || p.x > job_.stock.width || p.y > job_.stock.height) return kNone;
    double z = 0;
    for (const std::uint32_t i : found_) {
      const Move& m = plan_.moves[i];
      z = std::min(z, swept_height(m, job_.bits[m.bit].profile, plan_.regions, p) +
                          plan_.surfaces[m.surface].delta(p));
    }
    return z > bottom_ ? z : kNone;
  }

 private:
  const Job& job_;
  const Plan& plan_;
  const MoveIndex& index_;
  const std::vector<double>& travelled_;
  double bottom_;
  std::vector<std::uint32_t> found_;
};

/// Also of moves that a cleared area stands for in the finished surface: here they count one by one.
MoveIndex index_of_all(const Plan& plan, const Job& job) {
  Plan all;
  all.regions = plan.regions;
  all.surfaces = plan.surfaces;
  all.moves = plan.moves;
  for (Move& m : all.moves) m.counted = true;
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

std::vector<Place> places_of(const Plan& plan, const std::vector<double>& way,
                             const std::vector<PassLoad>& passes, const std::vector<std::size_t>& pass_of,
                             const LoadOptions& options) {
  std::vector<Place> places;
  for (std::size_t i = 0; i < plan.moves.size(); ++i) {
    const Move& m = plan.moves[i];
    if (!has_path(m)) continue;
    const double length = m.path.length();
    if (length <= 0) continue;
    const double step = std::max(options.spacing, passes[pass_of[i]].length / options.most_places);
    // Places stand in the middle of equal steps along the whole pass, whatever its moves' lengths.
    const double first = std::ceil(way[i] / step - 0.5), last = std::ceil((way[i] + length) / step - 0.5);
    for (double k = first; k < last; k += 1)
      places.push_back({static_cast<std::uint32_t>(i), (k + 0.5) * step - way[i], step, pass_of[i]});
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
  const std::vector<Place> places = places_of(plan, way, passes, pass_of, options);
  std::vector<Looked> looked(places.size());
  parallel_for(places.size(), [&](std::size_t k) {
    const Place& place = places[k];
    const Move& m = plan.moves[place.move];
    const Bit& bit = job.bits[m.bit];
    const Vec2 p = m.path.point(place.s), left = perp(m.path.tangent(place.s));
    Before before(job, plan, index, way);
    before.gather(place, p, bit.profile.cutting_radius());
    EngagementOptions how;
    how.curvature = m.path.curvature();
    how.bottom = -job.stock.thickness();
    const double tip = m.z0 + (m.z1 - m.z0) * place.s / m.path.length() + plan.surfaces[m.surface].delta(p);
    Looked& out = looked[k];
    out.engagement = engagement(
        bit.profile, tip, [&](double v) { return before.height(p + v * left); }, how);
    out.at = p;
    if (m.spindle > 0)
      out.tip = tip_load(bit.profile, out.engagement, high_chip(m, bit, options.runout),
                         material.specific_energy.value, options.tip, bit.cutting_length.value_or(0));
    out.engagement.slices.clear();
  });

  std::vector<double> inner(passes.size(), std::numeric_limits<double>::infinity()), outer(passes.size(), 0);
  std::vector<double> total(passes.size(), 0);
  for (const Place& place : places) total[place.pass] += place.weight;
  for (std::size_t k = 0; k < places.size(); ++k) {
    const Place& place = places[k];
    const Move& m = plan.moves[place.move];
    const Engagement& e = looked[k].engagement;
    PassLoad& load = passes[place.pass];
    const double share = place.weight / total[place.pass];
    add(load.section, e.area, share, looked[k].at);
    add(load.rate, e.swept * m.feed / 60, share, looked[k].at);
    load.volume += e.swept * share * load.length;
    load.width = std::max(load.width, e.width);
    load.depth = std::max(load.depth, e.depth);
    if (e.area > 0) {
      inner[place.pass] = std::min(inner[place.pass], e.inner);
      outer[place.pass] = std::max(outer[place.pass], e.outer);
    }
    if (looked[k].tip.index > load.tip.index) {
      load.tip = looked[k].tip;
      load.tip_at = looked[k].at;
    }
  }

  for (std::size_t i = 0; i < plan.moves.size(); ++i) {
    const Move& m = plan.moves[i];
    const bool straight_down = m.region < 0 && m.path.length() < 1e-9 && m.z1 < m.z0;
    if (!straight_down || m.role == MoveRole::rapid) continue;
    Before before(job, plan, index, way);
    Place place;
    place.move = static_cast<std::uint32_t>(i);
    before.gather(place, m.path.a, job.bits[m.bit].profile.cutting_radius());
    const double top = std::min(m.z0, before.height(m.path.a));
    passes[pass_of[i]].plunge = std::max(passes[pass_of[i]].plunge, top - m.z1);
  }
  for (std::size_t k = 0; k < passes.size(); ++k) {
    PassLoad& load = passes[k];
    const Ranged& u = material.specific_energy;
    const double watt = load.rate.max / 1000;  // N/mm^2 * mm^3/s = mW
    load.power = {u.low * watt, u.value * watt, u.high * watt};
    load.index = {load.tip.index * u.low / u.value, load.tip.index, load.tip.index * u.high / u.value};
    if (outer[k] <= 0) continue;
    const double turn = 2 * std::numbers::pi * load.spindle / 60 / 1000;
    load.inner_speed = inner[k] * turn;
    load.outer_speed = outer[k] * turn;
  }
  return passes;
}

}  // namespace ovolo
