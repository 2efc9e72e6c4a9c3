#include "sim/carve/cell_task.hpp"

// Plain, SSE4, AVX2 and AVX-512 kernels; what lies between them gains nothing here.
#define HWY_DISABLED_TARGETS (HWY_SSSE3 | HWY_AVX3_DL)
#define OVOLO_KERNEL level_kernel
#define OVOLO_GROUP (kLanes >= 16 ? 4 : kLanes >= 8 ? 2 : 1)
#undef HWY_TARGET_INCLUDE
#define HWY_TARGET_INCLUDE "sim/carve/lower_cells.cpp"
#include "hwy/foreach_target.h"
//
#include "sim/carve/lanes-inl.h"

HWY_BEFORE_NAMESPACE();
namespace ovolo {
namespace HWY_NAMESPACE {

// Lowers a group of vectors whose heights lie at `at(k)`, k its vectors.
template <class At, class Shape>
HWY_INLINE void lower_group(const Shape& shape, const Group& r, const At& at) {
  const Lanes d;
  const Group h = shape.height(r);
  const Vec end = set(shape.end);
  HWY_UNROLL(4)
  for (int k = 0; k < kGroup; ++k) {
    const Vec old = hn::Load(d, at(k));
    hn::Store(up_to(r.v[k], end, hn::Min(old, h.v[k]), old), d, at(k));
  }
}

template <class Path, class Shape>
HWY_INLINE void lower_whole_rows(const CellTask& task, const Path& path, const Columns<Path>& columns,
                                 const Shape& shape, const Worklist& list, NextTile& next) {
  for (int i = 0; i < list.wholes; ++i) {
    const std::int32_t j = list.whole[static_cast<std::size_t>(i)];
    const Vec row = set(path.rows[static_cast<std::size_t>(j)]);
    float* const heights = task.heights + j * kTile;
    for (int x = 0; x < kTile; x += kGroup * kLanes) {
      next.fetch();
      Group column, rows;
      for (int k = 0; k < kGroup; ++k) {
        column.v[k] = columns.at(x + k * kLanes);
        rows.v[k] = row;
      }
      lower_group(shape, path.distance(column, rows), [&](int k) { return heights + x + k * kLanes; });
    }
  }
}

template <class Path, class Shape>
HWY_INLINE void lower_vectors(const CellTask& task, const Path& path, const Columns<Path>& columns,
                              const Shape& shape, const Worklist& list, NextTile& next) {
  for (int i = 0; i < list.count; i += kGroup) {  // the list goes on with its last vector
    const std::int32_t* const at = list.at.data() + i;
    next.fetch();
    Group column, row;
    for (int k = 0; k < kGroup; ++k) {
      const Spot spot(at[k]);
      column.v[k] = columns.at(spot.cell);
      row.v[k] = set(path.rows[static_cast<std::size_t>(spot.row)]);
    }
    lower_group(shape, path.distance(column, row), [&](int k) { return task.heights + at[k] * kLanes; });
  }
}

template <class Path, class Shape>
HWY_INLINE void lower_within(const CellTask& task, const Path& path, const Columns<Path>& columns,
                             const Shape& shape, const Worklist& list, NextTile& next) {
  const Lanes d;
  for (int i = 0; i < list.count; ++i) {
    const Spot spot(list.at[static_cast<std::size_t>(i)]);
    const std::size_t j = static_cast<std::size_t>(spot.row);
    float* const heights = task.heights + spot.row * kTile + spot.cell;
    if (i % kGroup == 0) next.fetch();
    const Vec r = path.distance(columns.at(spot.cell), set(path.rows[j]));
    const Vec x = hn::Iota(d, static_cast<float>(spot.cell)), old = hn::Load(d, heights);
    const auto inside = hn::And(hn::And(hn::Ge(x, set(list.first[j])), hn::Le(x, set(list.last[j]))),
                                hn::Le(r, set(shape.end)));
    hn::Store(hn::IfThenElse(inside, hn::Min(old, shape.height(r)), old), d, heights);
  }
}

template <class Path, class Shape>
HWY_INLINE std::int64_t lower(const CellTask& task, const Shape& given) {
  Worklist list;
  Path path(task);
  path.list(list);
  const Columns<Path> columns(path);
  const Shape shape = given;  // a copy of its own stays in registers
  NextTile next(task, list.groups());
  if (task.limits == 0) {
    lower_whole_rows(task, path, columns, shape, list, next);
    lower_vectors(task, path, columns, shape, list, next);
  } else {
    lower_within(task, path, columns, shape, list, next);
  }
  return list.cells();
}

// Heights at the 64 places along one axis that lie `step` apart across the path.
template <class Shape>
HWY_INLINE void along_axis(const CellTask& task, float step, const Shape& shape, float* out) {
  const Lanes d;
  for (int k = 0; k < kTile; k += kLanes) {
    const Vec r =
        hn::Abs(hn::MulAdd(hn::Iota(d, static_cast<float>(k)), set(step), set(task.across.at_first)));
    hn::Store(up_to(r, set(shape.end), shape.height(r), infinity()), d, out + k);
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
