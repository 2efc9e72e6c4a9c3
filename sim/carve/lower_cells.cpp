#include "sim/carve/cell_task.hpp"

// Plain, SSE4, AVX2 and AVX-512 kernels; what lies between them gains nothing here.
#define HWY_DISABLED_TARGETS (HWY_SSSE3 | HWY_AVX3_DL)
#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "sim/carve/lower_cells.cpp"
#include "hwy/foreach_target.h"
//
#include "sim/carve/lanes-inl.h"

HWY_BEFORE_NAMESPACE();
namespace ovolo {
namespace HWY_NAMESPACE {

template <bool kLimits, class Path, class Shape>
HWY_INLINE void lower_listed(const CellTask& task, const Path& path, const Shape& given, const Worklist& list) {
  const Lanes d;
  const Columns<Path> columns(path);
  const Shape shape = given;  // a copy of its own stays in registers
  const Vec z = set(task.z);
  float* const first = task.heights;
  NextTile next(task, (list.count + kGroup - 1) / kGroup);
  for (int i = 0; i < list.count; i += kGroup) {  // the list goes on with its last vector
    std::array<Spot, kGroup> spot;
    Group column, row;
    next.fetch();
    for (int k = 0; k < kGroup; ++k) {
      const std::size_t n = static_cast<std::size_t>(k);
      spot[n] = Spot(list.at[static_cast<std::size_t>(i + k)]);
      column.v[k] = columns.at(spot[n]);
      row.v[k] = set(path.rows[static_cast<std::size_t>(spot[n].row)]);
    }
    const Group h = Add(shape.height(path.distance(column, row)), z);
    for (int k = 0; k < kGroup; ++k) {
      const Spot& s = spot[static_cast<std::size_t>(k)];
      float* heights = first + s.row * kTile + s.cell;
      const Vec old = hn::Load(d, heights);
      Vec lower = hn::Min(old, h.v[k]);
      if constexpr (kLimits) {
        const Vec x = hn::Iota(d, static_cast<float>(s.cell));
        const std::size_t j = static_cast<std::size_t>(s.row);
        lower = hn::IfThenElse(hn::And(hn::Ge(x, set(list.first[j])), hn::Le(x, set(list.last[j]))), lower, old);
      }
      hn::Store(lower, d, heights);
    }
  }
}

template <class Path, class Shape>
HWY_INLINE std::int64_t lower(const CellTask& task, const Shape& shape) {
  Worklist list;
  Path path(task);
  path.list(list);
  if (task.limits == 0)
    lower_listed<false>(task, path, shape, list);
  else
    lower_listed<true>(task, path, shape, list);
  return list.cells();
}

// Heights at the 64 places along one axis that lie `step` apart across the path.
template <class Shape>
HWY_INLINE void along_axis(const CellTask& task, float step, const Shape& shape, float* out) {
  const Lanes d;
  for (int k = 0; k < kTile; k += kLanes) {
    const Vec r =
        hn::Abs(hn::MulAdd(hn::Iota(d, static_cast<float>(k)), set(step), set(task.across.at_first)));
    hn::Store(hn::Add(set(task.z), shape.height(r)), d, out + k);
  }
}

// Along an axis the limits are whole rows or columns: `outside` is infinite beyond them, else minus infinite.
HWY_INLINE void outside_limits(const CellTask& task, bool columns, float* outside) {
  const Lanes d;
  const float infinity = std::numeric_limits<float>::infinity();
  for (int k = 0; k < kTile; k += kLanes) {
    auto within = hn::Ge(hn::Zero(d), hn::Zero(d));
    for (int i = 0; i < task.limits; ++i) {
      const Linear& v = task.within[static_cast<std::size_t>(i)];
      const Vec at = hn::MulAdd(hn::Iota(d, static_cast<float>(k)), set(columns ? v.per_column : v.per_row),
                                set(v.at_first + kWithin));
      within = hn::And(within, hn::Ge(at, hn::Zero(d)));
    }
    hn::Store(hn::IfThenElse(within, set(-infinity), set(infinity)), d, outside + k);
  }
}

template <class Shape>
HWY_INLINE std::int64_t lower_rows(const CellTask& task, const Shape& shape) {
  const Lanes d;
  HWY_ALIGN std::array<float, kTile> height, outside;
  along_axis(task, task.across.per_row, shape, height.data());
  outside_limits(task, true, outside.data());
  std::int64_t rows = 0;
  NextTile next(task, kTile);
  for (int row = 0; row < kTile; ++row) {
    next.fetch();
    const float h = height[static_cast<std::size_t>(row)];
    if (!(h < std::numeric_limits<float>::infinity())) continue;
    float* heights = task.heights + row * kTile;
    for (int x = 0; x < kTile; x += kLanes)
      hn::Store(hn::Min(hn::Load(d, heights + x), hn::Max(set(h), hn::Load(d, outside.data() + x))), d,
                heights + x);
    ++rows;
  }
  return rows * kTile;
}

template <class Shape>
HWY_INLINE std::int64_t lower_columns(const CellTask& task, const Shape& shape) {
  const Lanes d;
  HWY_ALIGN std::array<float, kTile> height, outside;
  along_axis(task, task.across.per_column, shape, height.data());
  outside_limits(task, false, outside.data());
  int begin = kTile, end = 0;  // vectors within reach
  for (int x = 0; x < kTile; x += kLanes) {
    const auto met = hn::Lt(hn::Load(d, height.data() + x), set(std::numeric_limits<float>::infinity()));
    if (hn::AllFalse(d, met)) continue;
    begin = std::min(begin, x);
    end = x + kLanes;
  }
  std::int64_t rows = 0;
  NextTile next(task, kTile);
  for (int row = 0; row < kTile; ++row) {
    next.fetch();
    if (outside[static_cast<std::size_t>(row)] > 0) continue;
    float* heights = task.heights + row * kTile;
    for (int x = begin; x < end; x += kLanes)
      hn::Store(hn::Min(hn::Load(d, heights + x), hn::Load(d, height.data() + x)), d, heights + x);
    ++rows;
  }
  return rows * std::max(0, end - begin);
}

std::int64_t lower_task(const CellTask& task) {
  return with_shape(task, [&](const auto& shape) HWY_ATTR -> std::int64_t {
    switch (task.path) {
      case CellTask::Path::rows:
        return lower_rows(task, shape);
      case CellTask::Path::columns:
        return lower_columns(task, shape);
      case CellTask::Path::strip:
        return lower<Strip>(task, shape);
      case CellTask::Path::ring:
        return lower<Ring>(task, shape);
      case CellTask::Path::large_ring:
        return lower<LargeRing>(task, shape);
      case CellTask::Path::far_ring:
        if (task.far_degree == 2) return lower<FarRing<2>>(task, shape);
        if (task.far_degree == 3) return lower<FarRing<3>>(task, shape);
        return lower<FarRing<4>>(task, shape);
      case CellTask::Path::disc:
        return lower<Disc>(task, shape);
    }
    return 0;
  });
}

float highest_of(const float* heights) {
  const Lanes d;
  Vec a = hn::Load(d, heights), b = a;
  for (int k = 0; k < kTile * kTile; k += 2 * kLanes) {
    a = hn::Max(a, hn::Load(d, heights + k));
    b = hn::Max(b, hn::Load(d, heights + k + kLanes));
  }
  return hn::GetLane(hn::MaxOfLanes(d, hn::Max(a, b)));
}

}  // namespace HWY_NAMESPACE
}  // namespace ovolo
HWY_AFTER_NAMESPACE();

#if HWY_ONCE
namespace ovolo {
HWY_EXPORT(lower_task);
std::int64_t lower_cells(const CellTask& task) { return HWY_DYNAMIC_DISPATCH(lower_task)(task); }

HWY_EXPORT(highest_of);
float highest_cell(const float* heights) { return HWY_DYNAMIC_DISPATCH(highest_of)(heights); }
}  // namespace ovolo
#endif
