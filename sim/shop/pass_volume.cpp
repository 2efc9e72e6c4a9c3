#include "sim/shop/pass_volume.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/bit/body.hpp"
#include "sim/parallel.hpp"
#include "sim/path/swept_ranges.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo {
namespace {

constexpr int kLeaf = 8;  // lattice places along a side of what is summed in one go

bool cuts(const Move& m) { return m.role != MoveRole::rapid && m.region < 0; }

/// A square lattice of places, turned by the golden slope.
struct Lattice {
  double step;
  Vec2 along;
  explicit Lattice(double spacing) : step(spacing) {
    const Vec2 lean{1, std::numbers::phi - 1};
    along = lean / length(lean);
  }
  Vec2 place(double i, double j) const { return step * (i * along + j * perp(along)); }
};

/// Lattice places i0 <= i < i0 + size, likewise j, and the moves of the pass that reach them.
struct Patch {
  std::int64_t i0, j0, size;
  std::vector<std::uint32_t> moves;
};

/// What is left of the sheet at one place after some of its moves.
class Column {
 public:
  Column(const Job& job, const Plan& plan) : job_(job), plan_(plan), thickness_(job.stock.thickness()) {
    if (needs_voxels(job))
      for (const Bit& bit : job.bits) bodies_.emplace_back(bit);
  }
  double reach(const Move& m) const {
    return bodies_.empty() ? job_.bits[m.bit].profile.cutting_radius() : bodies_[m.bit].reach();
  }

  /// mm of height that `moves` take beyond what `earlier` take.
  double taken(Vec2 p, const std::vector<std::uint32_t>& earlier,
               const std::vector<std::uint32_t>& moves) const {
    if (bodies_.empty()) {
      const double after = lowest(p, moves, 0);
      return after < 0 ? std::max(0.0, lowest(p, earlier, 0) - after) : 0;
    }
    std::vector<HeightRange> ranges;
    add(p, moves, ranges);
    if (ranges.empty()) return 0;
    add(p, earlier, ranges);
    const double all = covered(ranges);
    ranges.clear();
    add(p, earlier, ranges);
    return all - covered(ranges);
  }

 private:
  double lowest(Vec2 p, const std::vector<std::uint32_t>& moves, double z) const {
    for (const std::uint32_t i : moves) {
      const Move& m = plan_.moves[i];
      z = std::min(z, swept_height(m, job_.bits[m.bit].profile, plan_.regions, p) +
                          plan_.surfaces[m.surface].delta(p));
    }
    return std::max(z, -thickness_);
  }
  void add(Vec2 p, const std::vector<std::uint32_t>& moves, std::vector<HeightRange>& out) const {
    std::vector<HeightRange> found;
    for (const std::uint32_t i : moves) {
      const Move& m = plan_.moves[i];
      const double lift = plan_.surfaces[m.surface].delta(p);
      if (m.level() || !(m.path.length() > 0)) {
        wide_ranges(bodies_[m.bit], m.path.distance(p), found);
        for (HeightRange& r : found) r = {std::min(m.z0, m.z1) + r.lo, std::max(m.z0, m.z1) + r.hi};
      } else {
        swept_ranges(m, bodies_[m.bit], p, found);
      }
      for (const HeightRange& r : found) {
        const double lo = r.lo + lift, hi = r.hi + lift;
        out.push_back(turned_over(m.set_up) ? HeightRange{-thickness_ - hi, -thickness_ - lo}
                                            : HeightRange{lo, hi});
      }
    }
  }
  double covered(std::vector<HeightRange>& ranges) const {
    std::sort(ranges.begin(), ranges.end(),
              [](const HeightRange& a, const HeightRange& b) { return a.lo < b.lo; });
    double sum = 0, from = -thickness_;
    for (const HeightRange& r : ranges) {
      const double lo = std::max(r.lo, from), hi = std::min(r.hi, 0.0);
      if (hi <= lo) continue;
      sum += hi - lo;
      from = hi;
    }
    return sum;
  }

  const Job& job_;
  const Plan& plan_;
  double thickness_;
  std::vector<BitBody> bodies_;  // of jobs with undercuts or turned sheets
};

class PassSum {
 public:
  PassSum(const Job& job, const Plan& plan, const Column& column, const Lattice& lattice)
      : job_(job), plan_(plan), column_(column), lattice_(lattice) {}

  /// Halves the patch until it is small, leaving away what no move reaches.
  void split(Patch patch) {
    const double half = 0.5 * static_cast<double>(patch.size - 1);
    const Vec2 middle =
        lattice_.place(static_cast<double>(patch.i0) + half, static_cast<double>(patch.j0) + half);
    const double around = half * std::numbers::sqrt2 * lattice_.step;
    if (middle.x < -around || middle.y < -around || middle.x > job_.stock.width + around ||
        middle.y > job_.stock.height + around)
      return;
    std::erase_if(patch.moves, [&](std::uint32_t i) {
      const Move& m = plan_.moves[i];
      return m.path.distance(middle) > column_.reach(m) + around;
    });
    if (patch.moves.empty()) return;
    if (patch.size <= kLeaf) {
      leaves_.push_back(std::move(patch));
      return;
    }
    const std::int64_t part = patch.size / 2;
    for (const std::int64_t i : {patch.i0, patch.i0 + part})
      for (const std::int64_t j : {patch.j0, patch.j0 + part}) split({i, j, part, patch.moves});
  }

  double sum(const MoveIndex& index, const std::vector<std::size_t>& pass_of, std::size_t pass) const {
    std::vector<double> sums(leaves_.size(), 0);
    parallel_for(leaves_.size(), [&](std::size_t k) {
      const Patch& leaf = leaves_[k];
      const double half = 0.5 * static_cast<double>(leaf.size - 1);
      const Vec2 middle =
          lattice_.place(static_cast<double>(leaf.i0) + half, static_cast<double>(leaf.j0) + half);
      const double around = half * std::numbers::sqrt2 * lattice_.step;
      Box2 box;
      box.add(middle);
      std::vector<std::uint32_t> earlier;
      index.query(box.grown(around), earlier);
      std::erase_if(earlier, [&](std::uint32_t i) {
        const Move& m = plan_.moves[i];
        return pass_of[i] >= pass || !cuts(m) || m.path.distance(middle) > column_.reach(m) + around;
      });
      for (std::int64_t i = leaf.i0; i < leaf.i0 + leaf.size; ++i)
        for (std::int64_t j = leaf.j0; j < leaf.j0 + leaf.size; ++j) {
          const Vec2 p = lattice_.place(static_cast<double>(i), static_cast<double>(j));
          if (p.x < 0 || p.y < 0 || p.x > job_.stock.width || p.y > job_.stock.height) continue;
          sums[k] += column_.taken(p, earlier, leaf.moves);
        }
    });
    double all = 0;
    for (const double s : sums) all += s;
    return all * lattice_.step * lattice_.step;
  }

 private:
  const Job& job_;
  const Plan& plan_;
  const Column& column_;
  const Lattice& lattice_;
  std::vector<Patch> leaves_;
};

}  // namespace

std::vector<double> pass_volumes(const Job& job, const Plan& plan, const MoveIndex& index,
                                 const std::vector<std::size_t>& pass_of, std::size_t passes,
                                 const PassVolumeOptions& options) {
  const Column column(job, plan);
  std::vector<std::vector<std::uint32_t>> moves(passes);
  for (std::size_t i = 0; i < plan.moves.size(); ++i)
    if (cuts(plan.moves[i])) moves[pass_of[i]].push_back(static_cast<std::uint32_t>(i));
  std::vector<double> out(passes, 0);
  for (std::size_t pass = 0; pass < passes; ++pass) {
    Box2 box;
    double area = 0, reach = 0;
    for (const std::uint32_t i : moves[pass]) {
      const Move& m = plan.moves[i];
      const double r = column.reach(m);
      box.add(m.path.box());
      reach = std::max(reach, r);
      area += (2 * m.path.length() + std::numbers::pi * r) * r;
    }
    if (!(area > 0)) continue;
    box = box.grown(reach);
    const Vec2 size = box.hi - box.lo;
    // Paths that run over each other often count their area as often: no wider apart than this.
    const Lattice lattice(std::min(std::sqrt(area / options.points), reach / 2));
    const Vec2 middle = 0.5 * (box.lo + box.hi) / lattice.step;
    std::int64_t whole = kLeaf;
    while (static_cast<double>(whole) * lattice.step < length(size)) whole *= 2;
    PassSum work(job, plan, column, lattice);
    work.split({static_cast<std::int64_t>(std::floor(dot(middle, lattice.along))) - whole / 2,
                static_cast<std::int64_t>(std::floor(dot(middle, perp(lattice.along)))) - whole / 2, whole,
                moves[pass]});
    out[pass] = work.sum(index, pass_of, pass);
  }
  return out;
}

}  // namespace ovolo
