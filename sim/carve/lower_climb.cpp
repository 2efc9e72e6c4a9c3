#include "sim/carve/cell_task.hpp"

// Plain, SSE4, AVX2 and AVX-512 kernels; what lies between them gains nothing here.
#define HWY_DISABLED_TARGETS (HWY_SSSE3 | HWY_AVX3_DL)
#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "sim/carve/lower_climb.cpp"
#include "hwy/foreach_target.h"
//
#include "hwy/contrib/math/math-inl.h"
#include "sim/carve/lanes-inl.h"

HWY_BEFORE_NAMESPACE();
namespace ovolo {
namespace HWY_NAMESPACE {

using Mask = hn::Mask<Lanes>;

// atan2 of y and x > 0, or of any x where y is not 0 too.
HWY_INLINE Vec angle_of(Vec y, Vec x) {
  const Lanes d;
  const Vec ax = hn::Abs(x), ay = hn::Abs(y);
  const Vec ratio = hn::Div(hn::Min(ax, ay), hn::Max(hn::Max(ax, ay), set(1e-30f)));
  Vec angle = hn::Atan(d, ratio);
  angle = hn::IfThenElse(hn::Gt(ay, ax), hn::Sub(set(1.57079632679f), angle), angle);
  angle = hn::IfThenElse(hn::Lt(x, hn::Zero(d)), hn::Sub(set(3.14159265359f), angle), angle);
  return hn::CopySign(angle, y);
}

// The same for angles up to 0.25.
HWY_INLINE Vec small_angle_of(Vec y, Vec x) {
  const Vec estimate = hn::ApproximateReciprocal(x);
  const Vec t = hn::Mul(y, hn::Mul(estimate, hn::NegMulAdd(x, estimate, set(2)))), t2 = hn::Mul(t, t);
  Vec series = set(1.0f / 9);
  for (const float c : {-1.0f / 7, 1.0f / 5, -1.0f / 3}) series = hn::MulAdd(series, t2, set(c));
  return hn::MulAdd(hn::Mul(series, t2), t, t);
}

// A Linear at the cells of one column of vectors, row by row.
struct RowValues {
  float per_column;
  HWY_ALIGN std::array<float, kTile> at;
  explicit RowValues(const Linear& v) : per_column(v.per_column) {
    for (int row = 0; row < kTile; row += kLanes)
      hn::Store(hn::MulAdd(hn::Iota(Lanes(), static_cast<float>(row)), set(v.per_row), set(v.at_first)),
                Lanes(), at.data() + row);
  }
  HWY_INLINE Vec operator()(Vec x, int row) const {
    return hn::MulAdd(x, set(per_column), set(at[static_cast<std::size_t>(row)]));
  }
};

// One vector of places beside the path.
struct Beside {
  Vec y;         // |distance| from the path's line or circle
  Vec signed_y;  // rho - A on a circle
  Vec along;     // way from the low end to the foot
  Vec height;    // of the tip there
};

struct StraightClimb : Strip {
  const ClimbTask& climb;
  const RowValues along, height;
  explicit StraightClimb(const ClimbTask& t) : Strip(t), climb(t), along(t.along), height(t.height) {}
  // Where the zones are known to hold: y and the tip's height only.
  HWY_INLINE Beside settled(int row, Vec x, Vec column) const {
    Beside b;
    b.signed_y = b.y = distance(column, set(rows[static_cast<std::size_t>(row)]));
    b.along = hn::Zero(Lanes());
    b.height = height(x, row);
    return b;
  }
  HWY_INLINE Beside beside(int row, Vec x, Vec column) const {
    Beside b = settled(row, x, column);
    b.along = along(x, row);
    return b;
  }
  // The way back to where the distance is r; valid where there is one.
  HWY_INLINE Vec back(const Beside& b, Vec r, Mask& valid) const {
    const Vec square = hn::Mul(hn::Sub(r, b.y), hn::Add(r, b.y));
    valid = hn::Ge(square, hn::Zero(Lanes()));
    return hn::Sqrt(hn::Max(square, hn::Zero(Lanes())));
  }
  HWY_INLINE Vec distance_at(const Beside& b, Vec back) const {
    return hn::Sqrt(hn::MulAdd(back, back, hn::Mul(b.y, b.y)));
  }
  // Distance of the place on a cone of this slope at which the sweep is lowest.
  HWY_INLINE Vec cone_distance(const Beside& b, float slope, Mask& valid) const {
    const float square = slope * slope - climb.slope * climb.slope;
    valid = hn::Lt(hn::Zero(Lanes()), set(square));
    return hn::Mul(b.y, set(square > 0 ? slope / std::sqrt(square) : 0));
  }
};

template <class Whole>
struct CircularClimb : Whole {
  const ClimbTask& climb;
  const RowValues out, on;  // along the radius through the tile's middle, and across it
  explicit CircularClimb(const ClimbTask& t) : Whole(t), climb(t), out(t.along), on(t.height) {}
  HWY_INLINE Beside settled(int row, Vec x, Vec column) const {
    Beside b;
    b.signed_y = Whole::signed_distance(column, set(this->rows[static_cast<std::size_t>(row)]));
    b.y = hn::Abs(b.signed_y);
    b.along = hn::Zero(Lanes());
    b.height = hn::MulAdd(set(climb.slope * climb.radius), small_angle_of(on(x, row), out(x, row)),
                          set(climb.height_middle));
    return b;
  }
  HWY_INLINE Beside beside(int row, Vec x, Vec column) const {
    Beside b;
    b.signed_y = Whole::signed_distance(column, set(this->rows[static_cast<std::size_t>(row)]));
    b.y = hn::Abs(b.signed_y);
    const Vec angle =
        climb.small_angles ? small_angle_of(on(x, row), out(x, row)) : angle_of(on(x, row), out(x, row));
    const Vec way = hn::Mul(angle, set(climb.radius));
    b.along = hn::Add(set(climb.along_middle), way);
    b.height = hn::MulAdd(set(climb.slope), way, set(climb.height_middle));
    // Once round where the angle passes the low end.
    const Mask before = hn::Lt(b.along, hn::Zero(Lanes())), after = hn::Ge(b.along, set(climb.turn));
    const Vec round = hn::IfThenElse(before, set(climb.turn), hn::IfThenElseZero(after, set(-climb.turn)));
    b.along = hn::Add(b.along, round);
    b.height = hn::MulAdd(set(climb.slope), round, b.height);
    return b;
  }
  // 4 rho A, not quite 0 at the centre.
  HWY_INLINE Vec chord(const Beside& b) const {
    return hn::Max(hn::Mul(hn::Add(b.signed_y, set(climb.radius)), set(4 * climb.radius)), set(1e-20f));
  }
  HWY_INLINE Vec back(const Beside& b, Vec r, Mask& valid) const {
    const Vec sine2 = hn::Div(hn::Mul(hn::Sub(r, b.y), hn::Add(r, b.y)), chord(b));
    valid = hn::And(hn::Ge(sine2, hn::Zero(Lanes())), hn::Le(sine2, set(1)));
    const Vec sine = hn::Sqrt(hn::Min(hn::Max(sine2, hn::Zero(Lanes())), set(1)));
    return hn::Mul(hn::Asin(Lanes(), sine), set(2 * climb.radius));
  }
  HWY_INLINE Vec distance_at(const Beside& b, Vec back) const {
    const Vec sine = hn::Sin(Lanes(), hn::Mul(back, set(0.5f / climb.radius)));
    return hn::Sqrt(hn::MulAdd(hn::Mul(chord(b), sine), sine, hn::Mul(b.y, b.y)));
  }
  // q = r^2: (q - y^2)(1 - q/far^2) = (mu/k)^2 q with mu = 2 A m/far, far = rho + A.
  HWY_INLINE Vec cone_distance(const Beside& b, float slope, Mask& valid) const {
    const Vec far = hn::Add(b.signed_y, set(2 * climb.radius));
    const Vec inverse = hn::Div(set(1), hn::Mul(far, far)), y2 = hn::Mul(b.y, b.y);
    const float ratio = 2 * climb.radius * climb.slope / slope;
    const Vec sum = hn::Sub(hn::MulAdd(y2, inverse, set(1)), hn::Mul(set(ratio * ratio), inverse));
    const Vec discriminant = hn::MulSub(sum, sum, hn::Mul(set(4), hn::Mul(inverse, y2)));
    valid = hn::And(hn::Gt(sum, hn::Zero(Lanes())), hn::Ge(discriminant, hn::Zero(Lanes())));
    const Vec root = hn::Sqrt(hn::Max(discriminant, hn::Zero(Lanes())));
    return hn::Sqrt(hn::Div(hn::Add(y2, y2), hn::Add(hn::Max(sum, set(1e-20f)), root)));
  }
};

using Index = hn::Vec<hn::RebindToSigned<Lanes>>;

// One of 16 numbers per lane.
HWY_INLINE Vec look_up(const std::array<float, 16>& table, Index index) {
  const Lanes d;
  if constexpr (hn::MaxLanes(Lanes()) == 16) {
    return hn::TableLookupLanes(hn::Load(d, table.data()), hn::IndicesFromVec(d, index));
  } else if constexpr (hn::MaxLanes(Lanes()) == 8) {
    const hn::RebindToSigned<Lanes> di;
    const auto within = hn::IndicesFromVec(d, hn::And(index, hn::Set(di, 7)));
    const Vec low = hn::TableLookupLanes(hn::Load(d, table.data()), within);
    const Vec high = hn::TableLookupLanes(hn::Load(d, table.data() + 8), within);
    return hn::IfThenElse(hn::RebindMask(d, hn::Gt(index, hn::Set(di, 7))), high, low);
  } else {
    return hn::GatherIndex(d, table.data(), index);
  }
}

// Lanes where the curve is known, and its values there.
HWY_INLINE Mask within_curve(const SmoothCurve& curve, Vec y) {
  return hn::And(hn::Ge(y, set(curve.from)), hn::Le(y, set(curve.to)));
}

template <bool kRooted>
HWY_INLINE Vec curve_value(const SmoothCurve& curve, Vec y) {
  const Lanes d;
  const hn::RebindToSigned<Lanes> di;
  Vec at = hn::Sub(y, set(curve.from));
  Index index, base = hn::Zero(di);
  int most = SmoothCurve::kCubics - 1;
  if constexpr (kRooted) {
    const Vec to = hn::Sub(set(curve.to), y);
    base = hn::IfThenElseZero(hn::RebindMask(di, hn::Lt(to, at)), hn::Set(di, SmoothCurve::kCubics / 2));
    at = hn::Sqrt(hn::Max(hn::Min(at, to), hn::Zero(d)));
    most /= 2;
  }
  at = hn::Mul(at, set(curve.scale));
  index = hn::Min(hn::Max(hn::ConvertTo(di, at), hn::Zero(di)), hn::Set(di, most));
  const Vec t = hn::Sub(at, hn::ConvertTo(d, index));
  index = hn::Add(index, base);
  Vec v = look_up(curve.c[3], index);
  v = hn::MulAdd(v, t, look_up(curve.c[2], index));
  v = hn::MulAdd(v, t, look_up(curve.c[1], index));
  return hn::MulAdd(v, t, look_up(curve.c[0], index));
}

HWY_INLINE Vec curve_value(const SmoothCurve& curve, Vec y) {
  return curve.rooted ? curve_value<true>(curve, y) : curve_value<false>(curve, y);
}

// The lowest of all places on the move that may be: its ends, and where the sweep is lowest on each piece of
// the profile. Each is a real place of the bit, so none can be too low.
template <class Path>
HWY_INLINE Vec lowest_place(const ClimbTask& task, const Path& path, const AnyPieces& shape, const Beside& b,
                            Vec x, int row) {
  const Lanes d;
  Vec lowest = infinity();
  const Vec length = set(task.length), slope = set(task.slope);
  const auto on_path = [&](Vec back) HWY_ATTR {
    constexpr float kSlack = 1e-5f;
    const Vec s = hn::Sub(b.along, back);
    return hn::And(hn::Ge(s, set(-kSlack)), hn::Le(s, hn::Add(length, set(kSlack))));
  };
  const auto consider = [&](Mask valid, Vec back, Vec height) HWY_ATTR {
    const Vec z = hn::Add(hn::NegMulAdd(slope, back, b.height), height);
    lowest = hn::IfThenElse(hn::And(valid, on_path(back)), hn::Min(lowest, z), lowest);
  };
  for (int i = 0; i < task.open_ends; ++i) {
    const ClimbTask::End& end = task.ends[static_cast<std::size_t>(i)];
    // Ahead of the foot no place is lower.
    if (!end.low && hn::AllTrue(d, hn::Lt(b.along, hn::Sub(length, set(1e-4f))))) continue;
    const Vec dx = hn::MulAdd(x, set(task.cell), set(-end.x));
    const float dy = task.cell * static_cast<float>(row) - end.y;
    const Vec square = hn::MulAdd(dx, dx, set(dy * dy));
    if (hn::AllTrue(d, hn::Gt(square, set((task.reach + kRoom) * (task.reach + kRoom))))) continue;
    lowest = hn::Min(lowest, hn::Add(set(end.z), shape.height(hn::Sqrt(square))));
  }
  if (hn::AllTrue(d, hn::Lt(b.along, set(-1e-4f))))
    return lowest;  // before the low end nothing else is as near
  for (int i = 0; i < task.places; ++i) {
    const ClimbPlace& place = task.place[i];
    const FloatPiece& p = place.piece;
    if (hn::AllTrue(d, hn::Or(hn::Gt(b.y, set(p.r1)), hn::Gt(b.along, set(task.length + place.most_back)))))
      continue;
    Mask valid;
    if (place.end) {
      const Vec back = path.back(b, set(p.r1), valid);
      consider(valid, back, set(place.h1));
    } else if (!place.curved) {
      const Vec r = path.cone_distance(b, p.slope, valid);
      valid = hn::And(valid, hn::And(hn::Ge(r, set(place.r0)), hn::Le(r, set(p.r1))));
      Mask reached;
      const Vec back = path.back(b, r, reached);
      consider(hn::And(valid, reached), back, piece_height<Kind::cone>(p, r));
    } else {
      valid = within_curve(*place.curved, b.signed_y);
      if (hn::AllFalse(d, valid)) continue;
      const Vec back = curve_value(*place.curved, b.signed_y);
      const Vec r = path.distance_at(b, back);
      valid = hn::And(valid, hn::And(hn::Ge(r, set(place.r0)), hn::Le(r, set(p.r1))));
      consider(valid, back,
               p.kind == Kind::arc ? piece_height<Kind::arc>(p, r) : piece_height<Kind::shallow>(p, r));
    }
  }
  return lowest;
}

// Where the zones hold for the whole tile, each by itself: its cells are listed, its curve stays at hand.
template <bool kRooted, class Path>
HWY_INLINE void lower_zone(const ClimbTask& task, const Path& path, const Columns<Path>& columns,
                           const Worklist& list, const SmoothCurve& curve) {
  const Lanes d;
  const Vec from = set(curve.from), to = set(curve.to);
  float* const first = task.heights;
  for (int i = 0; i < list.count; ++i) {
    const std::int32_t at = list.at[static_cast<std::size_t>(i)];
    const Spot spot(at);
    float* heights = first + at * kLanes;
    const Vec x = hn::Iota(d, static_cast<float>(spot.cell));
    const Beside b = path.settled(spot.row, x, columns.at(spot));
    const Vec h = hn::Add(b.height, curve_value<kRooted>(curve, b.signed_y));
    const Mask here = hn::And(hn::Ge(b.signed_y, from), hn::Le(b.signed_y, to));
    const Vec old = hn::Load(d, heights);
    hn::Store(hn::IfThenElse(here, hn::Min(old, h), old), d, heights);
  }
}

template <class Path>
HWY_INLINE std::int64_t climb(const ClimbTask& task) {
  const Lanes d;
  const AnyPieces shape{task.piece, task.pieces};
  Worklist list;
  Path path(task);
  path.list(list);
  const Columns<Path> columns(path);
  if (task.settled) {
    const std::int64_t cells = list.cells();
    for (int j = 0; j < task.zones; ++j) {
      const SmoothCurve& curve = task.zone[static_cast<std::size_t>(j)]->height;
      path.list(list, curve.from, curve.to);
      if (curve.rooted)
        lower_zone<true>(task, path, columns, list, curve);
      else
        lower_zone<false>(task, path, columns, list, curve);
    }
    return cells;
  }
  const Vec length = set(task.length), reach = set(task.reach);
  NextTile next(task, list.count);
  for (int i = 0; i < list.count; ++i) {
    next.fetch();
    const std::int32_t at = list.at[static_cast<std::size_t>(i)];
    const Spot spot(at);
    const Vec x = hn::Iota(d, static_cast<float>(spot.cell)), column = columns.at(spot);
    float* heights = task.heights + at * kLanes;
    Vec h = infinity();
    const Beside b = path.beside(spot.row, x, column);
    Mask known = hn::Gt(b.y, reach);
    for (int j = 0; j < task.zones; ++j) {
      const ClimbZone& zone = *task.zone[static_cast<std::size_t>(j)];
      const Mask here = hn::And(within_curve(zone.height, b.signed_y),
                                hn::And(hn::Ge(b.along, set(zone.back)), hn::Le(b.along, length)));
      if (hn::AllFalse(d, here)) continue;
      h = hn::IfThenElse(here, hn::Add(b.height, curve_value(zone.height, b.signed_y)), h);
      known = hn::Or(known, here);
    }
    if (!hn::AllTrue(d, known)) h = lowest_place(task, path, shape, b, x, spot.row);
    hn::Store(hn::Min(hn::Load(d, heights), h), d, heights);
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
