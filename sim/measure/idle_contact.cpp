#include "sim/measure/idle_contact.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <deque>
#include <limits>

#include "sim/measure/folded.hpp"
#include "sim/parallel.hpp"
#include "sim/stock/stock_kind.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr std::size_t kMostPlaces = 64;
constexpr double kContact = 2e-3;  // mm: less is touching

// A bit's body in its two parts.
struct Parts {
  BitBody cutting, idle;
  bool parted;
};

Parts parts_of(const Bit& bit) {
  const BitBody whole(bit);
  const bool parted = std::isfinite(whole.cutting_height());
  return {parted ? whole.cutting_part() : whole, parted ? whole.idle_part() : whole, parted};
}

// What ramps take out: whole bits, and their cutting or their idle part alone.
class Sloped : public SweepHeights {
 public:
  Sloped(const Plan& plan, const SectionLine& line) : plan_(plan), line_(line) {}
  void sloped(const Sweep& sweep, double u, std::vector<HeightRange>& out) const override {
    swept_ranges(plan_.moves[sweep.feature.move], *sweep.body, line_.origin + u * line_.normal, out);
  }
  double shift(std::uint32_t, double) const override { return 0; }
  bool shifted(std::uint32_t) const override { return false; }

 private:
  const Plan& plan_;
  const SectionLine& line_;
};

class Contacts {
 public:
  Contacts(const Job& job, const Plan& plan, const MoveIndex& index) : job_(job), plan_(plan), index_(index) {
    for (const Bit& bit : job.bits) parts_.push_back(parts_of(bit));
  }

  bool parted(std::uint32_t bit) const { return parts_[bit].parted; }

  // The section on both sides of the line: the neck runs on the waste's side as well.
  Overlap at(const Station& station, std::uint32_t operation) const {
    const double reach = 2 * job_.bits[job_.operations[operation].bit].profile.cutting_radius() +
                         std::abs(job_.operations[operation].offset);
    const SectionLine line{station.point, station.normal, std::min(station.reach, reach)};
    Box2 box;
    box.add(line.origin);
    box.add(line.origin + line.u_max * line.normal);
    std::vector<std::uint32_t> found;
    index_.query(box, found);
    std::vector<Sweep> before, idle;
    std::vector<Feature> features;
    for (const std::uint32_t i : found) {
      const Move& m = plan_.moves[i];
      if (m.operation > operation) continue;
      features.clear();
      add_features(m, i, job_.bits[m.bit].profile, plan_.regions, line.origin, line.normal, line.u_max,
                   features);
      for (const Feature& f : features) {
        const double rise = f.kind == Feature::Kind::sloped ? 0 : std::abs(m.z1 - m.z0);
        const bool turned = turned_over(m.set_up);
        before.push_back({f, &parts_[m.bit].cutting, rise, turned});
        if (m.operation == operation && parts_[m.bit].parted)
          idle.push_back({f, &parts_[m.bit].idle, rise, turned});
      }
    }
    if (idle.empty()) return {};
    return overlap_with_material(std::move(before), idle, Sloped(plan_, line), line.u_max,
                                 job_.stock.thickness());
  }

 private:
  const Job& job_;
  const Plan& plan_;
  const MoveIndex& index_;
  std::deque<Parts> parts_;
};

Warning warning_of(const Job& job, const EdgeMeasures& edge, const Station& station, const Overlap& worst) {
  const Operation& op = job.operations[edge.operation];
  const Bit& bit = job.bits[op.bit];
  const bool neck = bit.neck_from && (!bit.cutting_length || *bit.neck_from <= *bit.cutting_length);
  const double height = worst.width > 0 ? worst.area / worst.width : 0;
  std::string mend = "clear its way with a straight bit first";
  if (bit.shank_diameter) mend += fmt::format(", {} wide or more", at_least(*bit.shank_diameter));
  if (edge.face == Face::top) mend += ", or set a smaller depth";
  if (bit.faces == FormFaces::bottom) mend = "move the axis off the line, or cut the wall back first";
  return {
      neck ? "neck" : "shank",
      fmt::format("{}: the {} of bit '{}' does not cut, and runs {} into material that still stands {} high "
                  "there (worst at x {:.1f}, y {:.1f}); {}",
                  op.name, neck ? "neck" : "shank", bit.id, both_units(worst.width), both_units(height),
                  station.point.x, station.point.y, mend),
      static_cast<int>(edge.operation), op.source};
}

}  // namespace

std::vector<Warning> idle_contacts(const Job& job, const Plan& plan, const MoveIndex& index,
                                   const std::vector<EdgeMeasures>& edges) {
  std::vector<Warning> out;
  if (!needs_voxels(job)) return out;
  const Contacts contacts(job, plan, index);
  for (const EdgeMeasures& edge : edges) {
    if (!contacts.parted(job.operations[edge.operation].bit)) continue;
    std::vector<const Station*> places;
    for (const Station& s : edge.stations)
      if (s.kind != StationKind::unreached && s.weight > 0) places.push_back(&s);
    const std::size_t step = (places.size() + kMostPlaces - 1) / kMostPlaces;
    std::vector<const Station*> some;
    for (std::size_t i = 0; i < places.size(); i += step) some.push_back(places[i]);
    std::vector<Overlap> found(some.size());
    parallel_for(some.size(), [&](std::size_t i) { found[i] = contacts.at(*some[i], edge.operation); });
    std::size_t worst = 0;
    for (std::size_t i = 1; i < found.size(); ++i)
      if (found[i].width > found[worst].width + 1e-6) worst = i;
    if (!found.empty() && found[worst].width > kContact)
      out.push_back(warning_of(job, edge, *some[worst], found[worst]));
  }
  return out;
}

}  // namespace ovolo
