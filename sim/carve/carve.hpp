#pragma once
#include <cstdint>
#include <optional>
#include <vector>

#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"
#include "sim/progress.hpp"
#include "sim/stock/heightfield.hpp"

namespace ovolo {

struct CarveOptions {
  double cell = 0.1;             ///< mm, > 0
  std::optional<Box2> window;    ///< only this part of the sheet (may reach beyond it); the whole by default
  std::size_t memory_limit = 0;  ///< bytes; 0: what the machine has free (cgroup limit included)
  bool simd = true;              ///< false: the scalar kernel
  Progress* progress = nullptr;
};

struct CarveStats {
  std::int64_t cells = 0;         ///< cells of the tiles held
  std::int64_t cell_updates = 0;  ///< cells evaluated, summed over moves
  std::size_t bytes = 0;
};

/// Lowers the sheet's face by every move of the plan. The result does not depend on threads or tiles, to the
/// bit. Throws MemoryError, before anything is allocated, when it does not fit, naming the cell size that
/// would.
Heightfield carve(const Job& job, const Plan& plan, const MoveIndex& index, const CarveOptions& options,
                  CarveStats* stats = nullptr);

/// Bytes that `carve` would hold for this cell size.
std::size_t carve_bytes(const Job& job, const Plan& plan, const MoveIndex& index,
                        const CarveOptions& options);

struct RemovedVolume {
  double total = 0;              ///< mm^3
  std::vector<double> by_layer;  ///< mm^3, from the top face down
};
/// Volume removed from the sheet, summed per tile in a fixed order. Cells outside the sheet do not count.
RemovedVolume removed_volume(const Heightfield& field, const Stock& stock);

}  // namespace ovolo
