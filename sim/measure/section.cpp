#include "sim/measure/section.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/measure/envelope.hpp"
#include "sim/measure/features.hpp"
#include "sim/measure/folded.hpp"
#include "sim/path/dominated.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo {
namespace {

// Is the bit narrower anywhere than below? An undercut chain, or a shank.
bool narrows(const BitBody& body) {
  double widest = 0;
  for (const Segment& s : body.outline()) {
    if (s.b.x < widest - 1e-9) return true;
    widest = std::max({widest, s.a.x, s.b.x});
  }
  return false;
}

const Surface& surface_of(const Plan& plan, std::uint32_t move) {
  return plan.surfaces[plan.moves[move].surface];
}

// What the sheet's own shape adds to a move's height, u mm along the line.
double shift_of(const Plan& plan, const SectionLine& line, std::uint32_t move, double u) {
  const Surface& surface = surface_of(plan, move);
  return surface.flat() ? 0 : surface.delta(line.origin + u * line.normal);
}

// What sloped moves take out in one section plane of one plan.
class PlanSweeps : public SweepHeights {
 public:
  PlanSweeps(const Job& job, const Plan& plan, const std::vector<BitBody>& bodies, const SectionLine& line)
      : job_(job), plan_(plan), bodies_(bodies), line_(line) {}
  void sloped(const Sweep& sweep, double u, std::vector<HeightRange>& out) const override {
    const std::uint32_t move = sweep.feature.move;
    const Move& m = plan_.moves[move];
    const Vec2 p = line_.origin + u * line_.normal;
    const Profile& profile = job_.bits[m.bit].profile;
    if (narrows(bodies_[m.bit])) {
      swept_ranges(m, bodies_[m.bit], p, out);
    } else {
      out.clear();
      const double z = swept_height(m, profile, plan_.regions, p);
      if (std::isfinite(z)) out.push_back({z, std::numeric_limits<double>::infinity()});
    }
    for (HeightRange& r : out) {
      r.lo += shift(move, u);
      r.hi += shift(move, u);
    }
  }
  double shift(std::uint32_t move, double u) const override { return shift_of(plan_, line_, move, u); }
  bool shifted(std::uint32_t move) const override { return !surface_of(plan_, move).flat(); }

 private:
  const Job& job_;
  const Plan& plan_;
  const std::vector<BitBody>& bodies_;
  const SectionLine& line_;
};

// Heights in one section plane of one plan.
class PlanHeights : public SlopedHeights {
 public:
  PlanHeights(const Job& job, const Plan& plan, const SectionLine& line)
      : job_(job), plan_(plan), line_(line) {}
  double sloped(std::uint32_t move, double u) const override {
    const Move& m = plan_.moves[move];
    const Vec2 p = line_.origin + u * line_.normal;
    return swept_height(m, job_.bits[m.bit].profile, plan_.regions, p) + shift(move, u);
  }
  double shift(std::uint32_t move, double u) const override { return shift_of(plan_, line_, move, u); }
  bool shifted(std::uint32_t move) const override { return !surface_of(plan_, move).flat(); }

 private:
  const Job& job_;
  const Plan& plan_;
  const SectionLine& line_;
};

class NoHeights : public SlopedHeights {
 public:
  double sloped(std::uint32_t, double) const override { return 0; }
  double shift(std::uint32_t, double) const override { return 0; }
  bool shifted(std::uint32_t) const override { return false; }
};

}  // namespace

struct SectionMaker::Impl {
  const Job& job;
  const Plan& plan;
  const MoveIndex& index;
  Envelope envelope;
  std::vector<std::uint32_t> found, kept;
  std::vector<Feature> features;
  bool folds = false;
  std::vector<BitBody> bodies;  // of every bit, when the job's sections fold
};

SectionMaker::SectionMaker(const Job& job, const Plan& plan, const MoveIndex& index)
    : impl_(new Impl{job, plan, index, {}, {}, {}, {}, needs_voxels(job), {}}) {
  if (!impl_->folds) return;
  for (const Bit& bit : job.bits) impl_->bodies.emplace_back(bit);
}
SectionMaker::~SectionMaker() = default;
SectionMaker::SectionMaker(SectionMaker&&) noexcept = default;

Section SectionMaker::make(const SectionLine& line) {
  Impl& w = *impl_;
  Box2 box;
  box.add(line.origin);
  box.add(line.origin + line.u_max * line.normal);
  w.index.query(box, w.found);

  // Moves along the same path mark only with the lowest; the last of equals is kept.
  w.kept.clear();
  const auto& moves = w.plan.moves;
  for (auto it = w.found.rbegin(); it != w.found.rend(); ++it) {
    // A higher pass of a bit that narrows upwards takes away what a lower one leaves.
    const bool undercut = w.folds && narrows(w.bodies[moves[*it].bit]);
    const bool hidden = std::any_of(w.kept.begin(), w.kept.end(), [&](std::uint32_t k) {
      return dominated(moves[*it], moves[k]) &&
             !(undercut && (moves[*it].z0 != moves[k].z0 || moves[*it].z1 != moves[k].z1));
    });
    if (!hidden) w.kept.push_back(*it);
  }
  std::sort(w.kept.begin(), w.kept.end());

  w.features.clear();
  for (const std::uint32_t i : w.kept)
    add_features(moves[i], i, w.job.bits[moves[i].bit].profile, w.plan.regions, line.origin, line.normal,
                 line.u_max, w.features);
  Section section;
  if (w.folds) {
    std::vector<Sweep> sweeps;
    for (const Feature& f : w.features) {
      const Move& m = moves[f.move];
      const double rise = f.kind == Feature::Kind::sloped ? 0 : std::abs(m.z1 - m.z0);
      sweeps.push_back({f, &w.bodies[m.bit], rise, turned_over(m.set_up)});
    }
    section = folded_section(sweeps, PlanSweeps(w.job, w.plan, w.bodies, line), line.u_max,
                             w.job.stock.thickness());
  } else {
    section.u_max = line.u_max;
    section.pieces = w.envelope.solve(w.features, PlanHeights(w.job, w.plan, line), line.u_max);
  }
  const auto name_operations = [&](std::vector<SectionPiece>& pieces) {
    for (SectionPiece& piece : pieces)
      if (piece.move >= 0)
        piece.operation = static_cast<std::int32_t>(moves[static_cast<std::size_t>(piece.move)].operation);
  };
  name_operations(section.pieces);
  for (std::vector<SectionPiece>& hollow : section.hollows) name_operations(hollow);
  return section;
}

Section SectionMaker::straight(const Profile& profile, double depth, double offset, double u_max) {
  Feature f;
  f.kind = Feature::Kind::linear;
  f.p = offset;
  f.q = 1;
  f.u1 = u_max;
  f.z = -depth;
  f.profile = &profile;
  Envelope envelope;
  Section section;
  section.u_max = u_max;
  section.pieces = envelope.solve({f}, NoHeights(), u_max);
  for (SectionPiece& piece : section.pieces)
    if (piece.face == SectionFace::cut) piece.operation = 0;
  return section;
}

}  // namespace ovolo
