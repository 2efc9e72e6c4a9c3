#include "sim/carve/cell_task.hpp"

// Plain, SSE4, AVX2 and AVX-512 kernels; what lies between them gains nothing here.
#define HWY_DISABLED_TARGETS (HWY_SSSE3 | HWY_AVX3_DL)
#define OVOLO_KERNEL climb_kernel
#define OVOLO_GROUP (kLanes >= 16 ? 4 : kLanes >= 8 ? 2 : 1)
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

#define OVOLO_INLINE_LAMBDA __attribute__((always_inline)) HWY_ATTR

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

// The same for small angles, to their seventh power.
HWY_INLINE Group small_angle_of(const Group& y, const Group& x) {
  const Group t = Mul(y, reciprocal(x)), t2 = Mul(t, t);
  return MulAdd(Mul(MulAdd(t2, set(1.0f / 5), set(-1.0f / 3)), t2), t, t);
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
      out.v[k] = hn::Load(
          Lanes(), values.data() + static_cast<std::uint32_t>(at[static_cast<std::size_t>(k)]) % kTile);
    return out;
  }
};

// A Linear at a group's cells.
struct LinearAt {
  HWY_ALIGN std::array<float, kTile> rows, columns;
  explicit LinearAt(const Linear& v) {
    for (int k = 0; k < kTile; k += kLanes) {
      const Vec at = hn::Iota(Lanes(), static_cast<float>(k));
      hn::Store(hn::MulAdd(at, set(v.per_row), set(v.at_first)), Lanes(), rows.data() + k);
      hn::Store(hn::Mul(at, set(v.per_column)), Lanes(), columns.data() + k);
    }
  }
  HWY_INLINE Group operator()(const Spots& spots) const {
    return Add(spots.of_columns(columns), spots.of_rows(rows));
  }
};

// A group of places beside the path.
struct Beside {
  Group y;         // |distance| from the path's line or circle
  Group signed_y;  // rho - A on a circle
  Group along;     // way from the low end to the foot
  Group height;    // of the tip there
};

struct StraightClimb : Strip {
  static constexpr bool kCircular = false;
  const ClimbTask& climb;
  const LinearAt along, height;
  explicit StraightClimb(const ClimbTask& t) : Strip(t), climb(t), along(t.along), height(t.height) {}
  // The signed distance and the tip's height only.
  HWY_INLINE Beside at_foot(const Spots& spots, const Group& column) const {
    Beside b;
    b.signed_y = distance(column, spots.of_rows(rows));
    b.height = height(spots);
    return b;
  }
  HWY_INLINE Beside beside(const Spots& spots, const Group& column) const {
    Beside b = at_foot(spots, column);
    b.y = Abs(b.signed_y);
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
  static constexpr bool kCircular = true;
  const ClimbTask& climb;
  const LinearAt out, on;  // along the radius through the tile's middle, and across it
  const bool short_ways;   // half the angle of a way back is no more than 0.25
  explicit CircularClimb(const ClimbTask& t)
      : Whole(t), climb(t), out(t.along), on(t.height), short_ways(t.radius >= 3.2f * t.reach) {}
  HWY_INLINE Beside at_foot(const Spots& spots, const Group& column) const {
    if (!climb.small_angles) return beside(spots, column);
    Beside b;
    b.signed_y = Whole::signed_distance(column, spots.of_rows(this->rows));
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
    const Group sine2 = Mul(Mul(Sub(r, b.y), Add(b.y, r)), reciprocal(chord(b)));
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
    return hn::GatherIndex(d, table.data(), hn::And(index, hn::Set(hn::RebindToSigned<Lanes>(), 15)));
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
template <class Curve>
HWY_INLINE GroupMask within_curve(const Curve& curve, const Group& y) {
  return And(Ge(y, set(curve.from)), Le(y, set(curve.to)));
}

template <bool kRooted>
HWY_INLINE Group curve_value(const SmoothCurve& curve, const Group& y) {
  const hn::RebindToSigned<Lanes> di;
  Group at = Sub(y, set(curve.from));
  Indices index, base;
  if constexpr (kRooted) {
    const Group to = Sub(set(curve.to), y);
    for (int k = 0; k < kGroup; ++k)
      base[static_cast<std::size_t>(k)] = hn::IfThenElseZero(hn::RebindMask(di, hn::Lt(to.v[k], at.v[k])),
                                                             hn::Set(di, SmoothCurve::kCubics / 2));
    at = root_of(Min(at, to));
  }
  at = Mul(at, set(curve.scale));
  Group t;
  for (int k = 0; k < kGroup; ++k) {
    const std::size_t n = static_cast<std::size_t>(k);
    index[n] = hn::ConvertTo(di, at.v[k]);
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

// Lowers the list's cells to `lowered`, which is infinite where a cell stays.
template <class Path, class Heights>
HWY_INLINE void lower_listed(const ClimbTask& task, const Columns<Path>& columns, const Worklist& list,
                             NextTile& next, const Heights& lowered) {
  const Lanes d;
  float* const heights = task.heights;
  const int count = list.count;
  for (int i = 0; i < count; i += kGroup) {
    const Spots spots(list.at.data() + i);
    next.fetch();
    const Group h = lowered(spots, spots.of_columns(columns.value));
    for (int k = 0; k < kGroup; ++k) {
      float* const at = heights + spots.at[static_cast<std::size_t>(k)];
      hn::Store(hn::Min(hn::Load(d, at), h.v[k]), d, at);
    }
  }
}

template <std::size_t kTerms, class Coefficients>
HWY_INLINE Group polynomial(const Coefficients& c, const Group& t) {
  Group v = MulAdd(t, set(c[kTerms - 1]), set(c[kTerms - 2]));
  for (std::size_t k = kTerms - 2; k-- > 0;) v = MulAdd(v, t, set(c[k]));
  return v;
}

// A zone's height above the tip at the foot.
template <ClimbZone::Kind kKind, bool kCircular>
HWY_INLINE Group zone_height(const ClimbZone& zone, const Group& y) {
  if constexpr (kKind == ClimbZone::Kind::cubics) return curve_value<false>(zone.cubics, y);
  if constexpr (kKind == ClimbZone::Kind::rooted_cubics) return curve_value<true>(zone.cubics, y);
  const RootForm& form = zone.form;
  const Group t = Mul(Sub(y, set(form.middle)), set(form.scale));
  if constexpr (kKind == ClimbZone::Kind::polynomial) return polynomial<RootForm::kBase>(form.base, t);
  const Group square = Max(Mul(Sub(set(form.upper), y), Sub(y, set(form.lower))), set(1e-20f));
  if constexpr (kKind == ClimbZone::Kind::arc)
    return MulAdd(scaled_root(square, 1, set(0)), polynomial<RootForm::kShare>(form.share, t),
                  polynomial<RootForm::kArcBase>(form.base, t));
  if constexpr (kCircular)
    return MulAdd(scaled_root(square, 1, set(0)), polynomial<RootForm::kShare>(form.share, t),
                  set(form.base[0]));
  else
    return scaled_root(square, form.share[0], set(form.base[0]));
}

// Far from the ends: by the zone alone.
template <ClimbZone::Kind kKind, bool kLimited, class Path>
HWY_INLINE void lower_zone(const ClimbTask& task, const Path& path, const Columns<Path>& columns,
                           const Worklist& list, NextTile& next, const ClimbZone& zone) {
  lower_listed(task, columns, list, next, [&](const Spots& spots, const Group& column) OVOLO_INLINE_LAMBDA {
    const Beside b = path.at_foot(spots, column);
    GroupMask here = within_curve(zone, b.signed_y);
    if constexpr (kLimited)
      here = And(here, And(Ge(spots.x, spots.of_rows(list.first)), Le(spots.x, spots.of_rows(list.last))));
    return IfThenElse(here, Add(zone_height<kKind, Path::kCircular>(zone, b.signed_y), b.height), infinity());
  });
}

// Where a kind of place is: its way back, its height above the tip, and whether there is one.
struct Found {
  Group back, height;
  GroupMask valid;
};

template <class Path>
HWY_INLINE Found find_end(const Path& path, const ClimbPlace& place, const Beside& b) {
  Found f;
  f.back = path.back(b, set(place.piece.r1), f.valid);
  f.height = Max(set(place.h1), Sub(f.back, infinity()));
  return f;
}

template <class Path>
HWY_INLINE Found find_on_cone(const Path& path, const ClimbPlace& place, const Beside& b) {
  Found f;
  const Group r = path.cone_distance(b, place.piece.slope, f.valid);
  GroupMask reached;
  f.back = path.back(b, r, reached);
  f.valid = And(And(f.valid, reached), And(Ge(r, set(place.r0)), Le(r, set(place.piece.r1))));
  f.height = piece_height<Kind::cone>(place.piece, r);
  return f;
}

template <Kind kKind, class Path>
HWY_INLINE Found find_curved(const Path& path, const ClimbPlace& place, const Beside& b) {
  Found f;
  f.back = curve_value<true>(*place.curved, b.signed_y);
  const Group r = path.distance_at(b, f.back);
  f.valid =
      And(within_curve(*place.curved, b.signed_y), And(Ge(r, set(place.r0)), Le(r, set(place.piece.r1))));
  f.height = piece_height<kKind>(place.piece, r);
  return f;
}

// By a kind of place where that lies on the path: a real place of the bit, so none can be too low.
template <class Path, class Find>
HWY_INLINE void lower_place(const ClimbTask& task, const Path& path, const Columns<Path>& columns,
                            const Worklist& list, NextTile& next, const Find& find) {
  lower_listed(task, columns, list, next, [&](const Spots& spots, const Group& column) OVOLO_INLINE_LAMBDA {
    const Beside b = path.beside(spots, column);
    const Found f = find(b);
    const Group s = Sub(b.along, f.back);
    const GroupMask on_path = And(Ge(s, set(-kSlack)), Le(s, set(task.length + kSlack)));
    return IfThenElse(And(f.valid, on_path), Add(NegMulAdd(f.back, set(task.slope), b.height), f.height),
                      infinity());
  });
}

template <class Path>
HWY_INLINE std::int64_t climb(const ClimbTask& given, std::span<const ClimbPass> passes) {
  ClimbTask task = given;
  Path path(task);
  const Columns<Path> columns(path);
  Worklist list;
  list.by_rows = false;
  list.only_count = true;
  path.list(list);
  const std::int64_t cells = list.cells();
  NextTile next(task, list.reached / kGroup);
  list.only_count = false;
  for (const ClimbPass& pass : passes) {
    task.within = pass.within;
    task.limits = pass.limits;
    path.list(list, pass.from, pass.to);
    if (list.count == 0) continue;
    if (pass.zone) {
      using Zone = ClimbZone::Kind;
      const auto by = [&]<Zone kKind>() HWY_ATTR {
        if (task.limits > 0)
          lower_zone<kKind, true>(task, path, columns, list, next, *pass.zone);
        else
          lower_zone<kKind, false>(task, path, columns, list, next, *pass.zone);
      };
      switch (pass.zone->kind) {
        case Zone::polynomial:
          by.template operator()<Zone::polynomial>();
          break;
        case Zone::corner:
          by.template operator()<Zone::corner>();
          break;
        case Zone::arc:
          by.template operator()<Zone::arc>();
          break;
        case Zone::cubics:
          by.template operator()<Zone::cubics>();
          break;
        case Zone::rooted_cubics:
          by.template operator()<Zone::rooted_cubics>();
          break;
      }
      continue;
    }
    const ClimbPlace& place = *pass.place;
    const auto by = [&](const auto& find) HWY_ATTR {
      lower_place(task, path, columns, list, next,
                  [&](const Beside& b) OVOLO_INLINE_LAMBDA { return find(path, place, b); });
    };
    if (place.end)
      by([](const Path& p, const ClimbPlace& at, const Beside& b)
             OVOLO_INLINE_LAMBDA { return find_end(p, at, b); });
    else if (!place.curved)
      by([](const Path& p, const ClimbPlace& at, const Beside& b)
             OVOLO_INLINE_LAMBDA { return find_on_cone(p, at, b); });
    else if (place.piece.kind == Kind::arc)
      by([](const Path& p, const ClimbPlace& at, const Beside& b)
             OVOLO_INLINE_LAMBDA { return find_curved<Kind::arc>(p, at, b); });
    else
      by([](const Path& p, const ClimbPlace& at, const Beside& b)
             OVOLO_INLINE_LAMBDA { return find_curved<Kind::shallow>(p, at, b); });
  }
  return cells;
}

std::int64_t climb_task(const ClimbTask& task, std::span<const ClimbPass> passes) {
  switch (task.path) {
    case CellTask::Path::ring:
      return climb<CircularClimb<Ring>>(task, passes);
    case CellTask::Path::large_ring:
      return climb<CircularClimb<LargeRing>>(task, passes);
    case CellTask::Path::far_ring:
      return climb<CircularClimb<FarRing<4>>>(task, passes);
    default:
      return climb<StraightClimb>(task, passes);
  }
}

}  // namespace HWY_NAMESPACE
}  // namespace ovolo
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace ovolo {
HWY_EXPORT(climb_task);
std::int64_t lower_cells_climbing(const ClimbTask& task, std::span<const ClimbPass> passes) {
  return HWY_DYNAMIC_DISPATCH(climb_task)(task, passes);
}
}  // namespace ovolo
#endif
