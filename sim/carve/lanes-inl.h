// Included once per instruction set by the kernels' sources.
#if defined(OVOLO_CARVE_LANES_INL_H) == defined(HWY_TARGET_TOGGLE)
#ifdef OVOLO_CARVE_LANES_INL_H
#undef OVOLO_CARVE_LANES_INL_H
#else
#define OVOLO_CARVE_LANES_INL_H
#endif

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "hwy/highway.h"
#include "sim/carve/cell_task.hpp"

HWY_BEFORE_NAMESPACE();
namespace ovolo {
namespace HWY_NAMESPACE {
namespace hn = hwy::HWY_NAMESPACE;

constexpr int kTile = 64;
using Lanes = hn::CappedTag<float, kTile>;
using Vec = hn::Vec<Lanes>;

HWY_INLINE int lanes() { return static_cast<int>(hn::Lanes(Lanes())); }

// Heights of profile pieces above the tip. Beyond the last piece: infinite.
using Kind = FloatPiece::Kind;

HWY_INLINE Vec set(float v) { return hn::Set(Lanes(), v); }

// sqrt(v), v > 0, by an estimate and one Newton step: to 2e-7 of its value, and off the path of the profile's
// own root, which keeps the divider busy.
HWY_INLINE Vec quick_sqrt(Vec v) {
  const Vec estimate = hn::ApproximateReciprocalSqrt(v);
  const Vec root = hn::Mul(v, estimate);
  const Vec error = hn::NegMulAdd(root, hn::Mul(estimate, set(0.5f)), set(0.5f));
  return hn::MulAdd(root, error, root);
}

template <Kind kKind>
HWY_INLINE Vec piece_height(const FloatPiece& p, Vec r) {
  if constexpr (kKind == Kind::level) return set(p.base);
  if constexpr (kKind == Kind::cone) return hn::MulAdd(r, set(p.slope), set(p.base));
  if constexpr (kKind == Kind::arc) {
    const Vec u = hn::Sub(r, set(p.centre));
    const Vec square = hn::Mul(hn::Sub(set(p.radius), u), hn::Add(set(p.radius), u));
    return hn::MulAdd(set(p.side), hn::Sqrt(hn::Max(square, hn::Zero(Lanes()))), set(p.base));
  }
  if constexpr (kKind == Kind::shallow) {
    const Vec d = hn::Sub(r, set(p.inner));
    const Vec rise = hn::Mul(hn::Sub(set(p.twice_in), d), d);
    const Vec root = hn::Sqrt(hn::Max(hn::MulAdd(set(p.upright), set(p.upright), rise), hn::Zero(Lanes())));
    return hn::MulAdd(set(p.side), hn::Div(rise, hn::Add(set(p.upright), root)), set(p.base));
  }
}

// The profile as one, two or any number of pieces; the common ones spelt out.
template <Kind kKind>
struct OnePiece {
  FloatPiece piece;
  HWY_INLINE Vec height(Vec r) const {
    return hn::IfThenElse(hn::Le(r, set(piece.r1)), piece_height<kKind>(piece, r),
                          set(std::numeric_limits<float>::infinity()));
  }
};

template <Kind kInner, Kind kOuter>
struct TwoPieces {
  FloatPiece inner, outer;
  HWY_INLINE Vec height(Vec r) const {
    const Vec far = hn::IfThenElse(hn::Le(r, set(outer.r1)), piece_height<kOuter>(outer, r),
                                   set(std::numeric_limits<float>::infinity()));
    return hn::IfThenElse(hn::Le(r, set(inner.r1)), piece_height<kInner>(inner, r), far);
  }
};

struct AnyPieces {
  const FloatPiece* piece;
  int count;
  HWY_INLINE Vec height(Vec r) const {
    Vec h = set(std::numeric_limits<float>::infinity());
    for (int i = count - 1; i >= 0; --i) {
      const FloatPiece& p = piece[i];
      const auto inside = hn::Le(r, set(p.r1));
      switch (p.kind) {
        case Kind::level:
          h = hn::IfThenElse(inside, piece_height<Kind::level>(p, r), h);
          break;
        case Kind::cone:
          h = hn::IfThenElse(inside, piece_height<Kind::cone>(p, r), h);
          break;
        case Kind::arc:
          h = hn::IfThenElse(inside, piece_height<Kind::arc>(p, r), h);
          break;
        case Kind::shallow:
          h = hn::IfThenElse(inside, piece_height<Kind::shallow>(p, r), h);
          break;
      }
    }
    return h;
  }
};

// Calls body with the profile in its most direct shape.
template <class Body>
HWY_INLINE std::int64_t with_shape(const CellTask& task, Body&& body) {
  const FloatPiece* p = task.piece;
  if (task.pieces == 1) {
    if (p[0].kind == Kind::level) return body(OnePiece<Kind::level>{p[0]});
    if (p[0].kind == Kind::cone) return body(OnePiece<Kind::cone>{p[0]});
    if (p[0].kind == Kind::arc) return body(OnePiece<Kind::arc>{p[0]});
  }
  if (task.pieces == 2 && p[0].kind == Kind::level) {
    if (p[1].kind == Kind::cone) return body(TwoPieces<Kind::level, Kind::cone>{p[0], p[1]});
    if (p[1].kind == Kind::arc) return body(TwoPieces<Kind::level, Kind::arc>{p[0], p[1]});
  }
  return body(AnyPieces{p, task.pieces});
}

// Which rows to look at in each column of vectors: flat lists have no loop per row to mispredict, and what
// depends on the column alone is worked out once.
struct Worklist {
  static constexpr int kMostColumns = kTile;  // of vectors, whatever their length
  HWY_ALIGN std::array<std::array<std::int32_t, 2 * kTile>, kMostColumns> row;
  std::array<int, kMostColumns> count;
  // Per row: the first and last column that may be lowered, in cells, not whole.
  HWY_ALIGN std::array<float, kTile> first, last;

  std::int64_t cells() const {
    std::int64_t sum = 0;
    for (int k = 0; k < kTile / lanes(); ++k) sum += count[static_cast<std::size_t>(k)];
    return sum * lanes();
  }
};

constexpr float kFar = 1e30f;
constexpr float kWithin =
    2e-5f;  // mm: cells this far beyond a limit still count, so that none falls between two

// The columns of 64 / lanes rows from `row` on that keep to the task's limits.
HWY_INLINE void limit_columns(const CellTask& task, Vec row, Vec& first, Vec& last) {
  first = set(-kFar);
  last = set(kFar);
  for (int i = 0; i < task.limits; ++i) {
    const Linear& v = task.within[static_cast<std::size_t>(i)];
    const Vec at = hn::MulAdd(row, set(v.per_row), set(v.at_first + kWithin));
    if (v.per_column == 0) {
      first = hn::IfThenElse(hn::Ge(at, hn::Zero(Lanes())), first, set(kFar));
    } else {
      const Vec x = hn::Mul(at, set(-1 / v.per_column));
      if (v.per_column > 0)
        first = hn::Max(first, x);
      else
        last = hn::Min(last, x);
    }
  }
}

// Lists the vectors that overlap the limits and the columns that `reach(row, first, last)` gives; circles
// give a second stretch too.
template <class Reach>
HWY_INLINE void list_vectors(const CellTask& task, Worklist& list, Reach&& reach) {
  const Lanes d;
  const hn::RebindToSigned<Lanes> di;
  const int n = lanes(), per_row = kTile / n;
  std::fill_n(list.count.begin(), per_row, 0);
  for (int row = 0; row < kTile; row += n) {
    const Vec rows = hn::Iota(d, static_cast<float>(row));
    Vec first, last;
    limit_columns(task, rows, first, last);
    hn::Store(first, d, list.first.data() + row);
    hn::Store(last, d, list.last.data() + row);
    Vec a0, a1, b0, b1;
    const bool two = reach(rows, a0, a1, b0, b1);
    const auto numbers = hn::Iota(di, row);
    for (int k = 0; k < per_row; ++k) {
      const Vec begin = set(static_cast<float>(k * n)), end = set(static_cast<float>(k * n + n - 1));
      auto near = hn::And(hn::Le(a0, end), hn::Ge(a1, begin));
      if (two) near = hn::Or(near, hn::And(hn::Le(b0, end), hn::Ge(b1, begin)));
      near = hn::And(near, hn::And(hn::Le(first, end), hn::Ge(last, begin)));
      const auto listed = hn::RebindMask(di, near);
      int& count = list.count[static_cast<std::size_t>(k)];
      hn::StoreU(hn::Compress(numbers, listed), di, list.row[static_cast<std::size_t>(k)].data() + count);
      count += static_cast<int>(hn::CountTrue(di, listed));
    }
  }
}

// Paths: `list` the vectors within reach; `column(x)` is what the cells at x (in cells) share,
// `distance(column, row)` the distance from the path to them.

constexpr float kRoom = 1e-4f;  // mm, more than the rounding of what follows

struct Strip {
  const CellTask& task;
  const float per_column;
  HWY_ALIGN std::array<float, kTile> y;
  explicit Strip(const CellTask& t) : task(t), per_column(t.across.per_column) {}
  HWY_INLINE void list(Worklist& out) {
    const float reach = task.reach + kRoom;
    const float step = task.across.per_column;
    int row = 0;
    list_vectors(task, out, [&](Vec rows, Vec& a0, Vec& a1, Vec&, Vec&) HWY_ATTR {
      const Vec across = hn::MulAdd(rows, set(task.across.per_row), set(task.across.at_first));
      hn::Store(across, Lanes(), y.data() + row);
      row += lanes();
      if (step == 0) {
        a0 = hn::IfThenElse(hn::Le(hn::Abs(across), set(reach)), set(-kFar), set(kFar));
        a1 = set(kFar);
      } else {
        const Vec inverse = set(1 / step);
        const Vec x0 = hn::Mul(hn::Sub(set(-reach), across), inverse);
        const Vec x1 = hn::Mul(hn::Sub(set(reach), across), inverse);
        a0 = hn::Min(x0, x1);
        a1 = hn::Max(x0, x1);
      }
      return false;
    });
  }
  HWY_INLINE Vec column(Vec x) const { return hn::Mul(x, set(per_column)); }
  HWY_INLINE Vec distance(Vec column, int row) const {
    return hn::Abs(hn::Add(column, set(y[static_cast<std::size_t>(row)])));
  }
};

struct Disc {
  const CellTask& task;
  const float cell, centre_x;
  HWY_ALIGN std::array<float, kTile> square;  // of the row's distance from the place
  explicit Disc(const CellTask& t) : task(t), cell(t.cell), centre_x(t.centre_x) {}
  HWY_INLINE void list(Worklist& out) {
    const float reach = task.reach + kRoom;
    int row = 0;
    list_vectors(task, out, [&](Vec rows, Vec& a0, Vec& a1, Vec&, Vec&) HWY_ATTR {
      const Vec dy = hn::MulAdd(rows, set(task.cell), set(-task.centre_y));
      const Vec dy2 = hn::Mul(dy, dy);
      hn::Store(dy2, Lanes(), square.data() + row);
      row += lanes();
      const Vec left = hn::Sub(set(reach * reach), dy2);
      const Vec half = hn::Sqrt(hn::Max(left, hn::Zero(Lanes())));
      const Vec inverse = set(1 / task.cell);
      a0 = hn::IfThenElse(hn::Ge(left, hn::Zero(Lanes())),
                          hn::Mul(hn::Sub(set(task.centre_x), half), inverse), set(kFar));
      a1 = hn::Mul(hn::Add(set(task.centre_x), half), inverse);
      return false;
    });
  }
  HWY_INLINE Vec column(Vec x) const {
    const Vec dx = hn::MulAdd(x, set(cell), set(-centre_x));
    return hn::Mul(dx, dx);
  }
  HWY_INLINE Vec distance(Vec column, int row) const {
    return hn::Sqrt(hn::Add(column, set(square[static_cast<std::size_t>(row)])));
  }
};

// A circle's rows meet it on the left and on the right of its hole.
struct Circle {
  const CellTask& task;
  const float cell, centre_x, radius;
  explicit Circle(const CellTask& t) : task(t), cell(t.cell), centre_x(t.centre_x), radius(t.radius) {}
  template <class Row>
  HWY_INLINE void list_ring(Worklist& out, Row&& keep_row) {
    const float reach = task.reach + kRoom;
    const float outer = task.radius + reach, inner = task.radius - reach;
    int row = 0;
    list_vectors(task, out, [&](Vec rows, Vec& a0, Vec& a1, Vec& b0, Vec& b1) HWY_ATTR {
      const Vec dy = hn::MulAdd(rows, set(task.cell), set(-task.centre_y));
      keep_row(row, rows, dy);
      row += lanes();
      // (outer - |dy|)(outer + |dy|) keeps its digits on large circles.
      const Vec side = hn::Abs(dy), zero = hn::Zero(Lanes());
      const Vec left = hn::Mul(hn::Sub(set(outer), side), hn::Add(set(outer), side));
      const Vec half = hn::Sqrt(hn::Max(left, zero));
      Vec hole = zero;
      if (inner > 0)
        hole = hn::Sqrt(hn::Max(hn::Mul(hn::Sub(set(inner), side), hn::Add(set(inner), side)), zero));
      const Vec inverse = set(1 / task.cell), centre = set(task.centre_x), room = set(kRoom);
      const auto met = hn::Ge(left, zero);
      a0 = hn::IfThenElse(met, hn::Mul(hn::Sub(hn::Sub(centre, half), room), inverse), set(kFar));
      a1 = hn::Mul(hn::Add(hn::Sub(centre, hole), room), inverse);
      b0 = hn::IfThenElse(met, hn::Mul(hn::Sub(hn::Add(centre, hole), room), inverse), set(kFar));
      b1 = hn::Mul(hn::Add(hn::Add(centre, half), room), inverse);
      return true;
    });
  }
};

struct Ring : Circle {
  HWY_ALIGN std::array<float, kTile> square;
  explicit Ring(const CellTask& t) : Circle(t) {}
  HWY_INLINE void list(Worklist& out) {
    list_ring(out, [&](int row, Vec, Vec dy) HWY_ATTR {
      hn::Store(hn::MulAdd(dy, dy, set(1e-20f)), Lanes(), square.data() + row);
    });
  }
  HWY_INLINE Vec column(Vec x) const {
    const Vec dx = hn::MulAdd(x, set(cell), set(-centre_x));
    return hn::Mul(dx, dx);
  }
  HWY_INLINE Vec signed_distance(Vec column, int row) const {
    return hn::Sub(quick_sqrt(hn::Add(column, set(square[static_cast<std::size_t>(row)]))), set(radius));
  }
  HWY_INLINE Vec distance(Vec column, int row) const { return hn::Abs(signed_distance(column, row)); }
};

// Far from the centre rho - A would lose its digits: (rho^2 - A^2) / (rho + A) keeps them.
struct LargeRing : Circle {
  HWY_ALIGN std::array<float, kTile> excess;
  explicit LargeRing(const CellTask& t) : Circle(t) {}
  HWY_INLINE void list(Worklist& out) {
    list_ring(out, [&](int row, Vec rows, Vec) HWY_ATTR {
      const Vec up = hn::Mul(rows, set(task.cell));
      hn::Store(hn::MulAdd(up, hn::Sub(up, set(2 * task.centre_y)), set(task.excess)), Lanes(),
                excess.data() + row);
    });
  }
  HWY_INLINE Vec column(Vec x) const {
    const Vec along = hn::Mul(x, set(cell));
    return hn::Mul(along, hn::Sub(along, set(2 * centre_x)));
  }
  HWY_INLINE Vec signed_distance(Vec column, int row) const {
    const Vec e = hn::Add(column, set(excess[static_cast<std::size_t>(row)]));
    const Vec sum = hn::Add(set(radius), quick_sqrt(hn::Max(hn::Add(set(radius * radius), e), set(1e-20f))));
    const Vec estimate = hn::ApproximateReciprocal(sum);
    const Vec inverse = hn::Mul(estimate, hn::NegMulAdd(sum, estimate, set(2)));
    return hn::Mul(e, inverse);
  }
  HWY_INLINE Vec distance(Vec column, int row) const { return hn::Abs(signed_distance(column, row)); }
};

// Where the tile is small against its distance from the centre, rho - A is nearly linear in rho^2 - A^2.
struct FarRing : Circle {
  const float scale, shift;
  const std::array<float, 5> c;
  HWY_ALIGN std::array<float, kTile> excess;
  explicit FarRing(const CellTask& t)
      : Circle(t), scale(t.excess_scale), shift(t.excess - t.excess_middle), c(t.far) {}
  HWY_INLINE void list(Worklist& out) {
    list_ring(out, [&](int row, Vec rows, Vec) HWY_ATTR {
      const Vec up = hn::Mul(rows, set(task.cell));
      hn::Store(hn::Mul(hn::MulAdd(up, hn::Sub(up, set(2 * task.centre_y)), set(shift)), set(scale)), Lanes(),
                excess.data() + row);
    });
  }
  HWY_INLINE Vec column(Vec x) const {
    const Vec along = hn::Mul(x, set(cell));
    return hn::Mul(hn::Mul(along, hn::Sub(along, set(2 * centre_x))), set(scale));
  }
  HWY_INLINE Vec signed_distance(Vec column, int row) const {
    const Vec t = hn::Add(column, set(excess[static_cast<std::size_t>(row)]));
    Vec v = hn::MulAdd(set(c[4]), t, set(c[3]));
    v = hn::MulAdd(v, t, set(c[2]));
    v = hn::MulAdd(v, t, set(c[1]));
    return hn::MulAdd(v, t, set(c[0]));
  }
  HWY_INLINE Vec distance(Vec column, int row) const { return hn::Abs(signed_distance(column, row)); }
};

}  // namespace HWY_NAMESPACE
}  // namespace ovolo
HWY_AFTER_NAMESPACE();

#endif
