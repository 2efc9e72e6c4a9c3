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

#include "hwy/cache_control.h"
#include "hwy/highway.h"
#include "sim/carve/cell_task.hpp"
#include "sim/carve/group-inl.h"

HWY_BEFORE_NAMESPACE();
namespace ovolo {
namespace HWY_NAMESPACE {
inline namespace OVOLO_KERNEL {
namespace hn = hwy::HWY_NAMESPACE;

constexpr int kPerRow = kTile / kLanes;  // vectors in a row

// Heights of profile pieces above the tip. Beyond the last piece: infinite.
using Kind = FloatPiece::Kind;

// Estimates of the root are good to 12 bits or more only here.
#if HWY_ARCH_X86 && HWY_TARGET != HWY_SCALAR && HWY_TARGET != HWY_EMU128
constexpr bool kRootEstimate = true;
#else
constexpr bool kRootEstimate = false;
#endif

HWY_INLINE Vec infinity() { return set(std::numeric_limits<float>::infinity()); }

// From here on V is a Vec or a Group.

// base + scale * sqrt(v), v > 0: the root by an estimate and one Newton step where there is one, to 2e-7 of
// its value and without the divider.
template <class V>
HWY_INLINE V scaled_root(const V& v, float scale, Vec base) {
  if constexpr (!kRootEstimate) {
    return MulAdd(Sqrt(v), set(scale), base);
  } else {
    const V estimate = ApproximateReciprocalSqrt(v);
    const V root = Mul(v, estimate);
    const V factor = MulAdd(Mul(root, estimate), set(-0.5f * scale), set(1.5f * scale));
    return MulAdd(root, factor, base);
  }
}

// 1 / v by an estimate and one Newton step.
template <class V>
HWY_INLINE V reciprocal(const V& v) {
  const V estimate = ApproximateReciprocal(v);
  return Mul(estimate, NegMulAdd(v, estimate, set(2)));
}

// The root of what is not negative, else next to nothing.
template <class V>
HWY_INLINE V root_of(const V& square) {
  return scaled_root(Max(square, set(1e-20f)), 1, set(0));
}

// Height of a piece above `base`, which is the piece's own where nothing is added to it.
template <Kind kKind, class V>
HWY_INLINE V piece_height(const FloatPiece& p, const V& r, float base) {
  if constexpr (kKind == Kind::level) return MulAdd(r, set(0), set(base));
  if constexpr (kKind == Kind::cone) return MulAdd(r, set(p.slope), set(base));
  if constexpr (kKind == Kind::clear_arc) {  // beyond its ends no number
    const V u = Sub(r, set(p.centre));
    return scaled_root(NegMulAdd(u, u, set(p.radius2)), p.side, set(base));
  }
  if constexpr (kKind == Kind::arc) {
    const V u = Sub(r, set(p.centre));
    return scaled_root(Max(NegMulAdd(u, u, set(p.radius2)), set(1e-12f)), p.side, set(base));
  }
  if constexpr (kKind == Kind::shallow) {
    const V d = Sub(r, set(p.inner));
    const V rise = Mul(Sub(set(p.twice_in), d), d);
    const V root = Sqrt(Max(Add(rise, set(p.upright * p.upright)), set(0)));
    return MulAdd(Div(rise, Add(root, set(p.upright))), set(p.side), set(base));
  }
}

template <Kind kKind, class V>
HWY_INLINE V piece_height(const FloatPiece& p, const V& r) {
  return piece_height<kKind>(p, r, p.base);
}

// The profile as one piece, a flat and one more, or any number of pieces, above a tip at z. `height` holds up
// to `end`.
template <Kind kKind>
struct OnePiece {
  FloatPiece piece;
  float base, end;
  OnePiece(const FloatPiece* p, float z) : piece(p[0]), base(p[0].base + z), end(p[0].r1) {}
  template <class V>
  HWY_INLINE V height(const V& r) const {
    return piece_height<kKind>(piece, r, base);
  }
};

// A level inner piece and an outer one that goes on where it ends: the outer one alone, r held to its start.
template <Kind kOuter>
struct FlatThen {
  FloatPiece outer;
  float flat, base, end;
  FlatThen(const FloatPiece* p, float z) : outer(p[1]), flat(p[0].r1), base(p[1].base + z), end(p[1].r1) {}
  template <class V>
  HWY_INLINE V height(const V& r) const {
    return piece_height<kOuter>(outer, Max(r, set(flat)), base);
  }
};

struct AnyPieces {
  const FloatPiece* piece;
  int count;
  float z, end;
  AnyPieces(const FloatPiece* p, int n, float tip) : piece(p), count(n), z(tip), end(p[n - 1].r1) {}
  template <class V>
  HWY_INLINE V height(const V& r) const {
    V h = Max(r, infinity());
    for (int i = count - 1; i >= 0; --i) {
      const FloatPiece& p = piece[i];
      const Vec inside = set(p.r1);
      switch (p.kind) {
        case Kind::level:
          h = up_to(r, inside, set(p.base + z), h);
          break;
        case Kind::cone:
          h = up_to(r, inside, piece_height<Kind::cone>(p, r, p.base + z), h);
          break;
        case Kind::arc:
          h = up_to(r, inside, piece_height<Kind::arc>(p, r, p.base + z), h);
          break;
        case Kind::shallow:
          h = up_to(r, inside, piece_height<Kind::shallow>(p, r, p.base + z), h);
          break;
        case Kind::clear_arc:
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
    if (p[0].kind == Kind::level) return body(OnePiece<Kind::level>(p, task.z));
    if (p[0].kind == Kind::cone) return body(OnePiece<Kind::cone>(p, task.z));
    if (p[0].kind == Kind::arc && !p[0].steep) return body(OnePiece<Kind::clear_arc>(p, task.z));
    if (p[0].kind == Kind::arc) return body(OnePiece<Kind::arc>(p, task.z));
  }
  if (task.pieces == 2 && p[0].kind == Kind::level && p[1].goes_on) {
    if (p[1].kind == Kind::cone) return body(FlatThen<Kind::cone>(p, task.z));
    if (p[1].kind == Kind::arc && !p[1].steep) return body(FlatThen<Kind::clear_arc>(p, task.z));
    if (p[1].kind == Kind::arc) return body(FlatThen<Kind::arc>(p, task.z));
  }
  return body(AnyPieces(p, task.pieces, task.z));
}

// The vectors of the tile to look at: rows that are nearly all within reach as a whole, the others' vectors
// by number, in the order they lie in memory. Flat lists have no loop per row to mispredict.
struct Worklist {
  bool by_rows = true;      // false: none as a whole
  bool only_count = false;  // `reached` is all that is asked for
  std::array<std::int32_t, kTile + 1> whole;
  int wholes = 0;
  // Rows are written whole and counted in part; the last vector is there again to fill the last group.
  std::array<std::int32_t, static_cast<std::size_t>(kPerRow) * (kTile + 1) + kGroup> at;
  int count = 0;
  int reached = 0;  // vectors within reach
  // Per row: the first and last column that may be lowered, in cells, not whole.
  HWY_ALIGN std::array<float, kTile> first, last;

  std::int64_t cells() const { return std::int64_t{reached} * kLanes; }
  int groups() const { return (wholes * kPerRow + count) / kGroup + 1; }
};

// Asks for the memory of the tile that comes next, step by step while this one is worked on: its first lines
// would be waited for, and what the processor asks for by itself ends at each gap in the list.
class NextTile {
 public:
  NextTile(const CellTask& task, int steps)
      : at_(task.next), end_(task.next ? task.next + kTile * kTile : nullptr) {
    constexpr int kLinesInAll = kTile * kTile / kLine;
    lines_ = std::clamp((kLinesInAll + steps - 1) / std::max(steps, 1), 1, 16);
  }
  HWY_INLINE void fetch() {
    for (int k = 0; k < lines_ && at_ != end_; ++k, at_ += kLine) hwy::Prefetch(at_);
  }

 private:
  static constexpr int kLine = 16;  // heights in a line of the cache
  const float *at_, *end_;
  int lines_;
};

// One of the list's vectors: its row, and the first of its cells.
struct Spot {
  int row, cell;
  explicit Spot(std::int32_t at)
      : row(static_cast<int>(static_cast<std::uint32_t>(at) / kPerRow)),
        cell(static_cast<int>(static_cast<std::uint32_t>(at) % kPerRow) * kLanes) {}
};

// What a path tells of each column, worked out once for all rows.
template <class Path>
struct Columns {
  HWY_ALIGN std::array<float, kTile> value;
  explicit Columns(const Path& path) {
    for (int k = 0; k < kTile; k += kLanes)
      hn::Store(path.column(hn::Iota(Lanes(), static_cast<float>(k))), Lanes(), value.data() + k);
  }
  HWY_INLINE Vec at(int cell) const { return hn::Load(Lanes(), value.data() + cell); }
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

// The vectors of each row that overlap [begin, end], in cells: the first one's number and how many.
struct Stretches {
  HWY_ALIGN std::array<std::int32_t, kTile> first, count;
  // Returns the vector after the stretch; the stretch starts at `least` or later.
  HWY_INLINE Vec set_rows(int row, Vec begin, Vec end, Vec least) {
    const hn::RebindToSigned<Lanes> di;
    constexpr float kInverse = 1.0f / kLanes;
    const Vec most = set(static_cast<float>(kPerRow));
    Vec v0 = hn::Ceil(hn::MulAdd(begin, set(kInverse), set(kInverse - 1)));
    v0 = hn::Min(hn::Max(v0, least), most);
    Vec v1 = hn::Floor(hn::MulAdd(end, set(kInverse), set(1)));
    v1 = hn::Max(hn::Min(v1, most), v0);
    const auto start = hn::ConvertTo(di, v0);
    hn::Store(hn::Add(start, hn::Mul(hn::Add(hn::Set(di, row), hn::Iota(di, 0)), hn::Set(di, kPerRow))), di,
              first.data() + row);
    hn::Store(hn::Sub(hn::ConvertTo(di, v1), start), di, count.data() + row);
    return v1;
  }
};

// Writes the numbers of `count` vectors from `begin` on to `at`, and perhaps more behind them.
HWY_INLINE void write_vectors(std::int32_t* at, std::int32_t begin, std::int32_t count) {
  if constexpr (kPerRow <= 16) {
    const hn::CappedTag<std::int32_t, kPerRow> di;
    for (int j = 0; j < kPerRow; j += static_cast<int>(hn::MaxLanes(di)))
      hn::StoreU(hn::Add(hn::Set(di, begin), hn::Iota(di, j)), di, at + j);
  } else {
    for (int j = 0; j < count; ++j) at[j] = begin + j;
  }
}

// Adds the stretches' vectors to the list.
HWY_INLINE void list_stretches(Worklist& list, const Stretches& s) {
  const hn::RebindToSigned<Lanes> di;
  std::int32_t* at = list.at.data() + list.count;
  for (int block = 0; block < kTile; block += kLanes) {
    if (hn::AllTrue(di, hn::Eq(hn::Load(di, s.count.data() + block), hn::Zero(di)))) continue;
    for (std::size_t row = static_cast<std::size_t>(block); row < static_cast<std::size_t>(block + kLanes);
         ++row) {
      write_vectors(at, s.first[row], s.count[row]);
      at += s.count[row];
    }
  }
  list.count = static_cast<int>(at - list.at.data());
  list.reached = list.count;
}

// The same, row by row, but for the rows that are nearly all within reach.
template <bool kTwo>
HWY_INLINE void list_rows(Worklist& list, const Stretches& a, const Stretches& b) {
  constexpr int kNearlyAll = kPerRow - kPerRow / 4;
  std::int32_t *at = list.at.data(), *whole = list.whole.data();
  list.reached = 0;
  const auto add = [&](std::int32_t begin, std::int32_t count) HWY_ATTR {
    write_vectors(at, begin, count);
    at += count;
  };
  for (std::size_t row = 0; row < kTile; ++row) {
    int vectors = a.count[row];
    if constexpr (kTwo) vectors += b.count[row];
    list.reached += vectors;
    const bool all = vectors >= kNearlyAll;
    *whole = static_cast<std::int32_t>(row);
    whole += all;
    add(a.first[row], all ? 0 : a.count[row]);
    if constexpr (kTwo) add(b.first[row], all ? 0 : b.count[row]);
  }
  list.wholes = static_cast<int>(whole - list.whole.data());
  list.count = static_cast<int>(at - list.at.data());
}

// Lists the vectors that overlap the limits and the columns that `reach(row, first, last)` gives; circles
// give a second stretch too, which starts no earlier.
template <bool kTwo, class Reach>
HWY_INLINE void list_vectors(const CellTask& task, Worklist& list, Reach&& reach) {
  const Lanes d;
  Stretches a, b;
  for (int row = 0; row < kTile; row += kLanes) {
    const Vec rows = hn::Iota(d, static_cast<float>(row));
    Vec first, last;
    limit_columns(task, rows, first, last);
    hn::Store(first, d, list.first.data() + row);
    hn::Store(last, d, list.last.data() + row);
    Vec a0, a1, b0, b1;
    reach(rows, a0, a1, b0, b1);
    const Vec next = a.set_rows(row, hn::Max(a0, first), hn::Min(a1, last), hn::Zero(d));
    if constexpr (kTwo) b.set_rows(row, hn::Max(b0, first), hn::Min(b1, last), next);
  }
  if (list.only_count) {
    const hn::RebindToSigned<Lanes> di;
    auto sum = hn::Zero(di);
    for (int row = 0; row < kTile; row += kLanes) {
      sum = hn::Add(sum, hn::Load(di, a.count.data() + row));
      if constexpr (kTwo) sum = hn::Add(sum, hn::Load(di, b.count.data() + row));
    }
    list.reached = hn::GetLane(hn::SumOfLanes(di, sum));
    return;
  }
  if (list.by_rows && task.limits == 0) {
    list_rows<kTwo>(list, a, b);
  } else {
    list.wholes = list.count = 0;
    list_stretches(list, a);
    if constexpr (kTwo) list_stretches(list, b);
  }
  // The last vector again, to fill the last group.
  std::fill_n(list.at.data() + list.count, kGroup,
              list.count > 0 ? list.at[static_cast<std::size_t>(list.count - 1)] : 0);
}

// Paths: `list` the vectors within reach; `column(x)` is what the cells at x (in cells) share and `rows[row]`
// what those of a row do; `distance(column, row)` is the distance from the path to them. Lists are no part of
// the inner loops: compiled once a path, not once for each shape of bit.

constexpr float kRoom = 1e-4f;  // mm, more than the rounding of what follows

struct Strip {
  const CellTask& task;
  const float per_column;
  HWY_ALIGN std::array<float, kTile> rows;
  explicit Strip(const CellTask& t) : task(t), per_column(t.across.per_column) {}
  HWY_NOINLINE void list(Worklist& out) {
    const float reach = task.reach + kRoom;
    for (int row = 0; row < kTile; row += kLanes)
      hn::Store(hn::MulAdd(hn::Iota(Lanes(), static_cast<float>(row)), set(task.across.per_row),
                           set(task.across.at_first)),
                Lanes(), rows.data() + row);
    list_side(out, -reach, reach);
  }
  // Where the distance lies within [from, to], once `list` has been called.
  HWY_NOINLINE void list(Worklist& out, float from, float to) {
    const float near = from - kRoom, far = to + kRoom, step = task.across.per_column;
    constexpr float kLast = kTile - 1;
    const float in_rows = kLast * task.across.per_row, in_columns = kLast * step;
    const float least = task.across.at_first + std::min(0.0f, in_rows) + std::min(0.0f, in_columns);
    const float most = task.across.at_first + std::max(0.0f, in_rows) + std::max(0.0f, in_columns);
    if (least > 0) return list_side(out, near, far);
    if (most < 0) return list_side(out, -far, -near);
    // The side that the row meets first, then the other.
    const float s0 = step < 0 ? far : -far, s1 = step < 0 ? near : -near;
    list_vectors<true>(task, out, [&](Vec j, Vec& a0, Vec& a1, Vec& b0, Vec& b1) HWY_ATTR {
      const Vec across = hn::MulAdd(j, set(task.across.per_row), set(task.across.at_first));
      if (step == 0) {
        const Vec off = hn::Abs(across);
        a0 = hn::IfThenElse(hn::And(hn::Ge(off, set(near)), hn::Le(off, set(far))), set(-kFar), set(kFar));
        a1 = set(kFar);
        b0 = set(kFar);
        b1 = set(kFar);
      } else {
        const Vec inverse = set(1 / step);
        a0 = hn::Mul(hn::Sub(set(s0), across), inverse);
        a1 = hn::Mul(hn::Sub(set(s1), across), inverse);
        b0 = hn::Mul(hn::Sub(set(-s1), across), inverse);
        b1 = hn::Mul(hn::Sub(set(-s0), across), inverse);
      }
    });
  }
  // Where the signed distance lies within [from, to].
  HWY_INLINE void list_side(Worklist& out, float from, float to) {
    const float step = task.across.per_column;
    list_vectors<false>(task, out, [&](Vec j, Vec& a0, Vec& a1, Vec&, Vec&) HWY_ATTR {
      const Vec across = hn::MulAdd(j, set(task.across.per_row), set(task.across.at_first));
      if (step == 0) {
        a0 = hn::IfThenElse(hn::And(hn::Ge(across, set(from)), hn::Le(across, set(to))), set(-kFar),
                            set(kFar));
        a1 = set(kFar);
      } else {
        const Vec inverse = set(1 / step);
        const Vec x0 = hn::Mul(hn::Sub(set(from), across), inverse);
        const Vec x1 = hn::Mul(hn::Sub(set(to), across), inverse);
        a0 = hn::Min(x0, x1);
        a1 = hn::Max(x0, x1);
      }
    });
  }
  HWY_INLINE Vec column(Vec x) const { return hn::Mul(x, set(per_column)); }
  template <class V>
  HWY_INLINE V distance(const V& column, const V& row) const {
    return Abs(Add(column, row));
  }
};

struct Disc {
  const CellTask& task;
  const float cell, centre_x;
  HWY_ALIGN std::array<float, kTile> rows;  // square of the row's distance from the place
  explicit Disc(const CellTask& t) : task(t), cell(t.cell), centre_x(t.centre_x) {}
  HWY_NOINLINE void list(Worklist& out) {
    const float reach = task.reach + kRoom;
    int row = 0;
    list_vectors<false>(task, out, [&](Vec j, Vec& a0, Vec& a1, Vec&, Vec&) HWY_ATTR {
      const Vec dy = hn::MulAdd(j, set(task.cell), set(-task.centre_y));
      const Vec dy2 = hn::Mul(dy, dy);
      hn::Store(dy2, Lanes(), rows.data() + row);
      row += kLanes;
      const Vec left = hn::Sub(set(reach * reach), dy2);
      const Vec half = root_of(left);
      const Vec inverse = set(1 / task.cell);
      a0 = hn::IfThenElse(hn::Ge(left, hn::Zero(Lanes())),
                          hn::Mul(hn::Sub(set(task.centre_x), half), inverse), set(kFar));
      a1 = hn::Mul(hn::Add(set(task.centre_x), half), inverse);
    });
  }
  HWY_INLINE Vec column(Vec x) const {
    const Vec dx = hn::MulAdd(x, set(cell), set(-centre_x));
    return hn::Mul(dx, dx);
  }
  template <class V>
  HWY_INLINE V distance(const V& column, const V& row) const {
    return Sqrt(Add(column, row));
  }
};

// A circle's rows meet it on the left and on the right of its hole.
struct Circle {
  const CellTask& task;
  const float cell, centre_x, radius;
  const float room;  // mm: places told from a far centre are rounded more
  explicit Circle(const CellTask& t)
      : task(t),
        cell(t.cell),
        centre_x(t.centre_x),
        radius(t.radius),
        room(kRoom + 1e-6f * (t.radius + std::abs(t.centre_x) + std::abs(t.centre_y))) {}
  // Where rho - radius lies within [from, to].
  template <class Row>
  HWY_INLINE void list_ring(Worklist& out, float from, float to, Row&& keep_row) {
    // Beside the centre a row meets the ring once.
    if (task.centre_x < 0) return list_sides<false, true>(out, from, to, keep_row);
    if (task.centre_x > (kTile - 1) * cell) return list_sides<true, false>(out, from, to, keep_row);
    return list_sides<true, true>(out, from, to, keep_row);
  }
  template <bool kLeft, bool kRight, class Row>
  HWY_INLINE void list_sides(Worklist& out, float from, float to, Row&& keep_row) {
    const float outer = task.radius + to + room, inner = task.radius + from - room;
    int row = 0;
    list_vectors<kLeft && kRight>(task, out, [&](Vec j, Vec& a0, Vec& a1, Vec& b0, Vec& b1) HWY_ATTR {
      const Vec dy = hn::MulAdd(j, set(task.cell), set(-task.centre_y));
      keep_row(row, j, dy);
      row += kLanes;
      // (outer - |dy|)(outer + |dy|) keeps its digits on large circles.
      const Vec side = hn::Abs(dy), zero = hn::Zero(Lanes());
      const Vec left = hn::Mul(hn::Sub(set(outer), side), hn::Add(set(outer), side));
      const Vec half = root_of(left);
      Vec hole = zero;
      if (inner > 0) hole = root_of(hn::Mul(hn::Sub(set(inner), side), hn::Add(set(inner), side)));
      const Vec inverse = set(1 / task.cell), centre = set(task.centre_x), beside = set(room);
      const auto met = hn::Ge(left, zero);
      const auto on_left = [&](Vec& c0, Vec& c1) HWY_ATTR {
        c0 = hn::IfThenElse(met, hn::Mul(hn::Sub(hn::Sub(centre, half), beside), inverse), set(kFar));
        c1 = hn::Mul(hn::Add(hn::Sub(centre, hole), beside), inverse);
      };
      const auto on_right = [&](Vec& c0, Vec& c1) HWY_ATTR {
        c0 = hn::IfThenElse(met, hn::Mul(hn::Sub(hn::Add(centre, hole), beside), inverse), set(kFar));
        c1 = hn::Mul(hn::Add(hn::Add(centre, half), beside), inverse);
      };
      if constexpr (kLeft) on_left(a0, a1);
      if constexpr (kRight && !kLeft) on_right(a0, a1);
      if constexpr (kRight && kLeft) on_right(b0, b1);
    });
  }
};

struct Ring : Circle {
  HWY_ALIGN std::array<float, kTile> rows;
  explicit Ring(const CellTask& t) : Circle(t) {}
  HWY_INLINE void list(Worklist& out) { list(out, -task.reach, task.reach); }
  HWY_NOINLINE void list(Worklist& out, float from, float to) {
    list_ring(out, from, to, [&](int row, Vec, Vec dy) HWY_ATTR {
      hn::Store(hn::MulAdd(dy, dy, set(1e-20f)), Lanes(), rows.data() + row);
    });
  }
  HWY_INLINE Vec column(Vec x) const {
    const Vec dx = hn::MulAdd(x, set(cell), set(-centre_x));
    return hn::Mul(dx, dx);
  }
  template <class V>
  HWY_INLINE V signed_distance(const V& column, const V& row) const {
    return scaled_root(Add(column, row), 1, set(-radius));
  }
  template <class V>
  HWY_INLINE V distance(const V& column, const V& row) const {
    return Abs(signed_distance(column, row));
  }
};

// Far from the centre rho - A would lose its digits: (rho^2 - A^2) / (rho + A) keeps them.
struct LargeRing : Circle {
  HWY_ALIGN std::array<float, kTile> rows;
  explicit LargeRing(const CellTask& t) : Circle(t) {}
  HWY_INLINE void list(Worklist& out) { list(out, -task.reach, task.reach); }
  HWY_NOINLINE void list(Worklist& out, float from, float to) {
    list_ring(out, from, to, [&](int row, Vec j, Vec) HWY_ATTR {
      const Vec up = hn::Mul(j, set(task.cell));
      hn::Store(hn::MulAdd(up, hn::Sub(up, set(2 * task.centre_y)), set(task.excess)), Lanes(),
                rows.data() + row);
    });
  }
  HWY_INLINE Vec column(Vec x) const {
    const Vec along = hn::Mul(x, set(cell));
    return hn::Mul(along, hn::Sub(along, set(2 * centre_x)));
  }
  template <class V>
  HWY_INLINE V signed_distance(const V& column, const V& row) const {
    const V e = Add(column, row);
    const V sum = scaled_root(Max(Add(e, set(radius * radius)), set(1e-20f)), 1, set(radius));
    return Mul(e, reciprocal(sum));
  }
  template <class V>
  HWY_INLINE V distance(const V& column, const V& row) const {
    return Abs(signed_distance(column, row));
  }
};

// Where the tile is small against its distance from the centre, rho - A is nearly linear in rho^2 - A^2.
template <int kDegree>
struct FarRing : Circle {
  const float scale, shift;
  const std::array<float, 5> c;
  HWY_ALIGN std::array<float, kTile> rows;
  explicit FarRing(const CellTask& t)
      : Circle(t), scale(t.excess_scale), shift(t.excess - t.excess_middle), c(t.far) {}
  HWY_INLINE void list(Worklist& out) { list(out, -task.reach, task.reach); }
  HWY_NOINLINE void list(Worklist& out, float from, float to) {
    list_ring(out, from, to, [&](int row, Vec j, Vec) HWY_ATTR {
      const Vec up = hn::Mul(j, set(task.cell));
      hn::Store(hn::Mul(hn::MulAdd(up, hn::Sub(up, set(2 * task.centre_y)), set(shift)), set(scale)), Lanes(),
                rows.data() + row);
    });
  }
  HWY_INLINE Vec column(Vec x) const {
    const Vec along = hn::Mul(x, set(cell));
    return hn::Mul(hn::Mul(along, hn::Sub(along, set(2 * centre_x))), set(scale));
  }
  template <class V>
  HWY_INLINE V signed_distance(const V& column, const V& row) const {
    const V t = Add(column, row);
    V v = MulAdd(t, set(c[kDegree]), set(c[kDegree - 1]));
    for (std::size_t k = kDegree - 1; k-- > 0;) v = MulAdd(v, t, set(c[k]));
    return v;
  }
  template <class V>
  HWY_INLINE V distance(const V& column, const V& row) const {
    return Abs(signed_distance(column, row));
  }
};

}  // namespace OVOLO_KERNEL
}  // namespace HWY_NAMESPACE
}  // namespace ovolo
HWY_AFTER_NAMESPACE();

#endif
