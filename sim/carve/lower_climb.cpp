#include "sim/carve/cell_task.hpp"

// Plain, SSE4, AVX2 and AVX-512 kernels; what lies between them gains nothing here.
#define HWY_DISABLED_TARGETS (HWY_SSSE3 | HWY_AVX3_DL)
#define OVOLO_KERNEL climb_kernel
#define OVOLO_GROUP (kLanes >= 16 ? 2 : 1)
#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "sim/carve/lower_climb.cpp"
#include "hwy/foreach_target.h"
//
#include "hwy/contrib/math/math-inl.h"
#include "sim/carve/lanes-inl.h"

HWY_BEFORE_NAMESPACE();
namespace ovolo {
namespace HWY_NAMESPACE {

// All of it in groups of vectors, from here on.

constexpr float kSlack = 1e-5f;  // mm

// atan2 of y and x > 0, or of any x where y is not 0 too.
HWY_INLINE Group angle_of(const Group& y, const Group& x) {
  const Group ax = Abs(x), ay = Abs(y);
  const Group ratio = Div(Min(ax, ay), Max(Max(ax, ay), set(1e-30f)));
  Group angle = each([](Vec v) HWY_ATTR { return hn::Atan(Lanes(), v); }, ratio);
  angle = IfThenElse(Gt(ay, ax), Sub(set(1.57079632679f), angle), angle);
  angle = IfThenElse(Lt(x, set(0)), Sub(set(3.14159265359f), angle), angle);
  return CopySign(angle, y);
}

// The same for angles up to 0.25.
HWY_INLINE Group small_angle_of(const Group& y, const Group& x) {
  const Group estimate = ApproximateReciprocal(x);
  const Group t = Mul(y, Mul(estimate, NegMulAdd(x, estimate, set(2)))), t2 = Mul(t, t);
  Group series = MulAdd(t2, set(1.0f / 9), set(-1.0f / 7));
  series = MulAdd(series, t2, set(1.0f / 5));
  series = MulAdd(series, t2, set(-1.0f / 3));
  return MulAdd(Mul(series, t2), t, t);
}

// Where a group's vectors lie in the tile.
struct Spots {
  Group x;  // in cells
  std::array<std::int32_t, kGroup> row, at;
  explicit Spots(const std::int32_t* vectors) {
    for (int k = 0; k < kGroup; ++k) {
      const Spot spot(vectors[k]);
      x.v[k] = hn::Iota(Lanes(), static_cast<float>(spot.cell));
      row[static_cast<std::size_t>(k)] = spot.row;
      at[static_cast<std::size_t>(k)] = vectors[k] * kLanes;
    }
  }
  // What the rows share.
  HWY_INLINE Group of_rows(const std::array<float, kTile>& values) const {
    Group out;
    for (int k = 0; k < kGroup; ++k)
      out.v[k] = set(values[static_cast<std::size_t>(row[static_cast<std::size_t>(k)])]);
    return out;
  }
  // What the columns share: 64 values.
  HWY_INLINE Group of_columns(const std::array<float, kTile>& values) const {
    Group out;
    for (int k = 0; k < kGroup; ++k)
      out.v[k] = hn::Load(Lanes(), values.data() + at[static_cast<std::size_t>(k)] % kTile);
    return out;
  }
};

// A Linear at a group's cells.
struct LinearAt {
  float per_column;
  HWY_ALIGN std::array<float, kTile> rows;
  explicit LinearAt(const Linear& v) : per_column(v.per_column) {
    for (int row = 0; row < kTile; row += kLanes)
      hn::Store(hn::MulAdd(hn::Iota(Lanes(), static_cast<float>(row)), set(v.per_row), set(v.at_first)),
                Lanes(), rows.data() + row);
  }
  HWY_INLINE Group operator()(const Spots& spots) const {
    return MulAdd(spots.x, set(per_column), spots.of_rows(rows));
  }
};

// The root of what is not negative, else next to nothing.
HWY_INLINE Group root_of(const Group& square) { return scaled_root(Max(square, set(1e-20f)), 1, set(0)); }

// A group of places beside the path.
struct Beside {
  Group y;         // |distance| from the path's line or circle
  Group signed_y;  // rho - A on a circle
  Group along;     // way from the low end to the foot
  Group height;    // of the tip there
};

struct StraightClimb : Strip {
  const ClimbTask& climb;
  const LinearAt along, height;
  explicit StraightClimb(const ClimbTask& t) : Strip(t), climb(t), along(t.along), height(t.height) {}
  // Where the zones are known to hold: y and the tip's height only.
  HWY_INLINE Beside settled(const Spots& spots, const Group& column) const {
    Beside b;
    b.signed_y = b.y = distance(column, spots.of_rows(rows));
    b.height = height(spots);
    return b;
  }
  HWY_INLINE Beside beside(const Spots& spots, const Group& column) const {
    Beside b = settled(spots, column);
    b.along = along(spots);
    return b;
  }
  // The way back to where the distance is r; valid where there is one.
  template <class R>
  HWY_INLINE Group back(const Beside& b, const R& r, GroupMask& valid) const {
    const Group square = Mul(Sub(r, b.y), Add(b.y, r));
    valid = Ge(square, set(0));
    return root_of(square);
  }
  HWY_INLINE Group distance_at(const Beside& b, const Group& back) const {
    return root_of(MulAdd(back, back, Mul(b.y, b.y)));
  }
  // Distance of the place on a cone of this slope at which the sweep is lowest.
  HWY_INLINE Group cone_distance(const Beside& b, float slope, GroupMask& valid) const {
    const float square = slope * slope - climb.slope * climb.slope;
    valid = Ge(b.y, set(square > 0 ? 0 : std::numeric_limits<float>::infinity()));
    return Mul(b.y, set(square > 0 ? slope / std::sqrt(square) : 0));
  }
};

template <class Whole>
struct CircularClimb : Whole {
  const ClimbTask& climb;
  const LinearAt out, on;  // along the radius through the tile's middle, and across it
  const bool short_ways;   // half the angle of a way back is no more than 0.25
  explicit CircularClimb(const ClimbTask& t)
      : Whole(t), climb(t), out(t.along), on(t.height), short_ways(t.radius >= 3.2f * t.reach) {}
  HWY_INLINE Beside settled(const Spots& spots, const Group& column) const {
    Beside b;
    b.signed_y = Whole::signed_distance(column, spots.of_rows(this->rows));
    b.y = Abs(b.signed_y);
    b.height = MulAdd(small_angle_of(on(spots), out(spots)), set(climb.slope * climb.radius),
                      set(climb.height_middle));
    return b;
  }
  HWY_INLINE Beside beside(const Spots& spots, const Group& column) const {
    Beside b;
    b.signed_y = Whole::signed_distance(column, spots.of_rows(this->rows));
    b.y = Abs(b.signed_y);
    const Group across = on(spots), outward = out(spots);
    const Group angle = climb.small_angles ? small_angle_of(across, outward) : angle_of(across, outward);
    const Group way = Mul(angle, set(climb.radius));
    b.along = Add(way, set(climb.along_middle));
    b.height = MulAdd(way, set(climb.slope), set(climb.height_middle));
    // Once round where the angle passes the low end.
    const GroupMask before = Lt(b.along, set(0)), after = Ge(b.along, set(climb.turn));
    const Group round = IfThenElse(before, set(climb.turn), IfThenElse(after, set(-climb.turn), set(0)));
    b.along = Add(b.along, round);
    b.height = MulAdd(round, set(climb.slope), b.height);
    return b;
  }
  // 4 rho A, not quite 0 at the centre.
  HWY_INLINE Group chord(const Beside& b) const {
    return Max(Mul(Add(b.signed_y, set(climb.radius)), set(4 * climb.radius)), set(1e-20f));
  }
  template <class R>
  HWY_INLINE Group back(const Beside& b, const R& r, GroupMask& valid) const {
    const Group sine2 = Div(Mul(Sub(r, b.y), Add(b.y, r)), chord(b));
    valid = And(Ge(sine2, set(0)), Le(sine2, set(1)));
    const Group sine = root_of(Min(sine2, set(1)));
    if (short_ways) {
      const Group s2 = Mul(sine, sine);
      Group series = MulAdd(s2, set(35.0f / 1152), set(5.0f / 112));
      series = MulAdd(series, s2, set(3.0f / 40));
      series = MulAdd(series, s2, set(1.0f / 6));
      return Mul(MulAdd(Mul(series, s2), sine, sine), set(2 * climb.radius));
    }
    return Mul(each([](Vec v) HWY_ATTR { return hn::Asin(Lanes(), v); }, sine), set(2 * climb.radius));
  }
  HWY_INLINE Group distance_at(const Beside& b, const Group& back) const {
    const Group half = Mul(back, set(0.5f / climb.radius));
    Group sine;
    if (short_ways) {
      const Group h2 = Mul(half, half);
      const Group series = MulAdd(MulAdd(h2, set(-1.0f / 5040), set(1.0f / 120)), h2, set(-1.0f / 6));
      sine = MulAdd(Mul(series, h2), half, half);
    } else {
      sine = each([](Vec v) HWY_ATTR { return hn::Sin(Lanes(), v); }, half);
    }
    return root_of(MulAdd(Mul(chord(b), sine), sine, Mul(b.y, b.y)));
  }
  // q = r^2: (q - y^2)(1 - q/far^2) = (mu/k)^2 q with mu = 2 A m/far, far = rho + A.
  HWY_INLINE Group cone_distance(const Beside& b, float slope, GroupMask& valid) const {
    const Group far = Add(b.signed_y, set(2 * climb.radius));
    const Group inverse = Div(set(1), Mul(far, far)), y2 = Mul(b.y, b.y);
    const float ratio = 2 * climb.radius * climb.slope / slope;
    const Group sum = Sub(MulAdd(y2, inverse, set(1)), Mul(inverse, set(ratio * ratio)));
    const Group discriminant = MulSub(sum, sum, Mul(Mul(inverse, y2), set(4)));
    valid = And(Gt(sum, set(0)), Ge(discriminant, set(0)));
    const Group root = Sqrt(Max(discriminant, set(0)));
    return Sqrt(Div(Add(y2, y2), Add(Max(sum, set(1e-20f)), root)));
  }
};

using Index = hn::Vec<hn::RebindToSigned<Lanes>>;

// One of 16 numbers for each lane. Eight lanes hold half of the numbers: `half` tells which are met.
enum class Half { lower, upper, both };
using Indices = std::array<Index, kGroup>;

HWY_INLINE Half half_of(const Indices& index) {
  if constexpr (kLanes != 8) return Half::both;
  const hn::RebindToSigned<Lanes> di;
  Index all = index[0], any = index[0];  // bit 3 is set in the upper half
  for (std::size_t k = 1; k < kGroup; ++k) {
    all = hn::And(all, index[k]);
    any = hn::Or(any, index[k]);
  }
  if (hn::AllFalse(di, hn::Gt(any, hn::Set(di, 7)))) return Half::lower;
  return hn::AllTrue(di, hn::Gt(all, hn::Set(di, 7))) ? Half::upper : Half::both;
}

template <Half kHalf>
HWY_INLINE Vec look_up(const std::array<float, 16>& table, Index index) {
  const Lanes d;
  if constexpr (kLanes == 16) {
    return hn::TableLookupLanes(hn::Load(d, table.data()), hn::IndicesFromVec(d, index));
  } else if constexpr (kLanes == 8) {
    const hn::RebindToSigned<Lanes> di;
    const auto within = hn::IndicesFromVec(d, hn::And(index, hn::Set(di, 7)));
    if constexpr (kHalf == Half::lower) return hn::TableLookupLanes(hn::Load(d, table.data()), within);
    const Vec high = hn::TableLookupLanes(hn::Load(d, table.data() + 8), within);
    if constexpr (kHalf == Half::upper) return high;
    const Vec low = hn::TableLookupLanes(hn::Load(d, table.data()), within);
    return hn::IfThenElse(hn::RebindMask(d, hn::Gt(index, hn::Set(di, 7))), high, low);
  } else {
    return hn::GatherIndex(d, table.data(), index);
  }
}

template <Half kHalf>
HWY_INLINE Group cubic(const SmoothCurve& curve, const Indices& index, const Group& t) {
  const auto coefficient = [&](std::size_t c) HWY_ATTR {
    Group out;
    for (int k = 0; k < kGroup; ++k)
      out.v[k] = look_up<kHalf>(curve.c[c], index[static_cast<std::size_t>(k)]);
    return out;
  };
  Group v = coefficient(3);
  for (std::size_t c = 3; c-- > 0;) v = MulAdd(v, t, coefficient(c));
  return v;
}

// Lanes where the curve is known, and its values there.
HWY_INLINE GroupMask within_curve(const SmoothCurve& curve, const Group& y) {
  return And(Ge(y, set(curve.from)), Le(y, set(curve.to)));
}

template <bool kRooted>
HWY_INLINE Group curve_value(const SmoothCurve& curve, const Group& y) {
  const hn::RebindToSigned<Lanes> di;
  Group at = Sub(y, set(curve.from));
  Indices index, base;
  int most = SmoothCurve::kCubics - 1;
  if constexpr (kRooted) {
    const Group to = Sub(set(curve.to), y);
    for (int k = 0; k < kGroup; ++k)
      base[static_cast<std::size_t>(k)] = hn::IfThenElseZero(hn::RebindMask(di, hn::Lt(to.v[k], at.v[k])),
                                                             hn::Set(di, SmoothCurve::kCubics / 2));
    at = Sqrt(Max(Min(at, to), set(0)));
    most /= 2;
  }
  at = Mul(at, set(curve.scale));
  Group t;
  for (int k = 0; k < kGroup; ++k) {
    const std::size_t n = static_cast<std::size_t>(k);
    index[n] = hn::Min(hn::Max(hn::ConvertTo(di, at.v[k]), hn::Zero(di)), hn::Set(di, most));
    t.v[k] = hn::Sub(at.v[k], hn::ConvertTo(Lanes(), index[n]));
    if constexpr (kRooted) index[n] = hn::Add(index[n], base[n]);
  }
  switch (half_of(index)) {
    case Half::lower:
      return cubic<Half::lower>(curve, index, t);
    case Half::upper:
      return cubic<Half::upper>(curve, index, t);
    default:
      return cubic<Half::both>(curve, index, t);
  }
}

HWY_INLINE Group curve_value(const SmoothCurve& curve, const Group& y) {
  return curve.rooted ? curve_value<true>(curve, y) : curve_value<false>(curve, y);
}

// What the bit's rounds leave at those of the move's open ends that are asked for.
template <class Asked>
HWY_INLINE Group lowest_end(const ClimbTask& task, const AnyPieces& shape, const Spots& spots,
                            const LinearAt& up, const Asked& asked) {
  Group lowest = Max(spots.x, infinity());
  for (int i = 0; i < task.open_ends; ++i) {
    const ClimbTask::End& end = task.ends[static_cast<std::size_t>(i)];
    if (!asked(end)) continue;
    const Group dx = MulAdd(spots.x, set(task.cell), set(-end.x));
    const Group dy = Sub(spots.of_rows(up.rows), set(end.y));
    const Group square = MulAdd(dx, dx, Mul(dy, dy));
    if (AllTrue(Lanes(), Gt(square, set((task.reach + kRoom) * (task.reach + kRoom))))) continue;
    lowest = Min(lowest, Add(shape.height(root_of(square)), set(end.z)));
  }
  return lowest;
}

// The lowest of all places on the move that may be: its ends, and where the sweep is lowest on each piece of
// the profile. Each is a real place of the bit, so none can be too low.
template <class Path>
HWY_INLINE Group lowest_place(const ClimbTask& task, const Path& path, const AnyPieces& shape,
                              const Beside& b, const Spots& spots, const LinearAt& up) {
  const Lanes d;
  Group lowest = Max(b.y, infinity());
  const auto consider = [&](const GroupMask& valid, const Group& back, const auto& height) HWY_ATTR {
    const Group s = Sub(b.along, back);
    const GroupMask on_path = And(Ge(s, set(-kSlack)), Le(s, set(task.length + kSlack)));
    const Group z = Add(NegMulAdd(back, set(task.slope), b.height), height);
    lowest = IfThenElse(And(valid, on_path), Min(lowest, z), lowest);
  };
  // Ahead of the foot no place is lower than there: the high end is looked at from beside it on only.
  const bool past = !AllTrue(d, Lt(b.along, set(task.length - 1e-4f)));
  lowest = lowest_end(task, shape, spots, up, [&](const ClimbTask::End& end) { return end.low || past; });
  for (int i = 0; i < task.places; ++i) {
    const ClimbPlace& place = task.place[i];
    const FloatPiece& p = place.piece;
    if (AllTrue(d, Or(Gt(b.y, set(p.r1)), Gt(b.along, set(task.length + place.most_back))))) continue;
    GroupMask valid;
    if (place.end) {
      const Group back = path.back(b, set(p.r1), valid);
      consider(valid, back, set(place.h1));
    } else if (!place.curved) {
      const Group r = path.cone_distance(b, p.slope, valid);
      valid = And(valid, And(Ge(r, set(place.r0)), Le(r, set(p.r1))));
      GroupMask reached;
      const Group back = path.back(b, r, reached);
      consider(And(valid, reached), back, piece_height<Kind::cone>(p, r));
    } else {
      valid = within_curve(*place.curved, b.signed_y);
      if (AllFalse(d, valid)) continue;
      const Group back = curve_value(*place.curved, b.signed_y);
      const Group r = path.distance_at(b, back);
      valid = And(valid, And(Ge(r, set(place.r0)), Le(r, set(p.r1))));
      if (p.kind == Kind::arc)
        consider(valid, back, piece_height<Kind::arc>(p, r));
      else
        consider(valid, back, piece_height<Kind::shallow>(p, r));
    }
  }
  return lowest;
}

// Vectors that the zones do not tell: those before the low end, where only its round can be lowest, and
// others.
struct Pending {
  std::array<std::int32_t, static_cast<std::size_t>(kPerRow) * kTile + 2 * kGroup> before, other;
  int befores = 0, others = 0;
  HWY_INLINE void add(std::int32_t vector, Mask known, Vec along) {
    const Lanes d;
    const bool told = hn::AllTrue(d, known), early = hn::AllTrue(d, hn::Lt(along, set(-1e-4f)));
    before[static_cast<std::size_t>(befores)] = other[static_cast<std::size_t>(others)] = vector;
    befores += !told && early;
    others += !told && !early;
  }
  // The last vector again, to fill the last group.
  static void fill(std::int32_t* vectors, int count) {
    if (count > 0) std::fill_n(vectors + count, kGroup, vectors[count - 1]);
  }
};

HWY_INLINE void lower_to(const ClimbTask& task, const Spots& spots, const Group& h) {
  const Lanes d;
  for (int k = 0; k < kGroup; ++k) {
    float* const heights = task.heights + spots.at[static_cast<std::size_t>(k)];
    hn::Store(hn::Min(hn::Load(d, heights), h.v[k]), d, heights);
  }
}

// Lowers the listed vectors by the zones. Where those hold for the whole tile (kSettled), nothing is left.
template <bool kSettled, class Path>
HWY_INLINE void lower_listed(const ClimbTask& task, const Path& path, const Columns<Path>& columns,
                             const Worklist& list, Pending& pending) {
  const Lanes d;
  NextTile next(task, list.groups());
  for (int i = 0; i < list.count; i += kGroup) {
    const std::int32_t* const vectors = list.at.data() + i;
    const Spots spots(vectors);
    next.fetch();
    const Group column = spots.of_columns(columns.value);
    Beside b;
    GroupMask known;
    if constexpr (kSettled) {
      b = path.settled(spots, column);
    } else {
      b = path.beside(spots, column);
      known = Gt(b.y, set(task.reach));
    }
    Group h = Max(b.y, infinity());  // above the tip at the foot
    for (int j = 0; j < task.zones; ++j) {
      const ClimbZone& zone = *task.zone[static_cast<std::size_t>(j)];
      GroupMask here = within_curve(zone.height, b.signed_y);
      if constexpr (!kSettled)
        here = And(here, And(Ge(b.along, set(zone.back)), Le(b.along, set(task.length))));
      if (AllFalse(d, here)) continue;
      h = IfThenElse(here, curve_value(zone.height, b.signed_y), h);
      if constexpr (!kSettled) known = Or(known, here);
    }
    lower_to(task, spots, Add(h, b.height));
    if constexpr (!kSettled)
      for (int k = 0; k < kGroup; ++k) pending.add(vectors[k], known.m[k], b.along.v[k]);
  }
}

// Lowers what the zones left.
template <class Path>
HWY_INLINE void lower_pending(const ClimbTask& task, const Path& path, const Columns<Path>& columns,
                              Pending& pending) {
  const AnyPieces shape(task.piece, task.pieces, 0);
  const LinearAt up({0, 0, task.cell});  // mm above the first row
  Pending::fill(pending.before.data(), pending.befores);
  Pending::fill(pending.other.data(), pending.others);
  for (int i = 0; i < pending.befores; i += kGroup) {
    const Spots spots(pending.before.data() + i);
    lower_to(task, spots, lowest_end(task, shape, spots, up, [](const ClimbTask::End& e) { return e.low; }));
  }
  for (int i = 0; i < pending.others; i += kGroup) {
    const Spots spots(pending.other.data() + i);
    const Beside b = path.beside(spots, spots.of_columns(columns.value));
    lower_to(task, spots, lowest_place(task, path, shape, b, spots, up));
  }
}

template <class Path>
HWY_INLINE std::int64_t climb(const ClimbTask& task) {
  Worklist list;
  list.by_rows = false;
  Path path(task);
  path.list(list);
  const Columns<Path> columns(path);
  Pending pending;
  if (task.settled) {
    lower_listed<true>(task, path, columns, list, pending);
  } else {
    lower_listed<false>(task, path, columns, list, pending);
    lower_pending(task, path, columns, pending);
  }
  return list.cells();
}

std::int64_t climb_task(const ClimbTask& task) {
  switch (task.path) {
    case CellTask::Path::ring:
      return climb<CircularClimb<Ring>>(task);
    case CellTask::Path::large_ring:
      return climb<CircularClimb<LargeRing>>(task);
    case CellTask::Path::far_ring:
      return climb<CircularClimb<FarRing<4>>>(task);
    default:
      return climb<StraightClimb>(task);
  }
}

}  // namespace HWY_NAMESPACE
}  // namespace ovolo
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace ovolo {
HWY_EXPORT(climb_task);
std::int64_t lower_cells_climbing(const ClimbTask& task) { return HWY_DYNAMIC_DISPATCH(climb_task)(task); }
}  // namespace ovolo
#endif
