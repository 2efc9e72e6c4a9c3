#include "render/mended_cells.hpp"

#include <algorithm>
#include <cmath>

namespace ovolo::render {

namespace {

constexpr int kRings = 4;            // cells that the surface is carried on for
constexpr int kMargin = 2 * kRings;  // what the last of them depends on: each ring looks two cells around
constexpr int kRun = 16;  // cells that are passed over together when all lie well inside or well outside

}  // namespace

void MendedCells::take(const Box2& places) {
  const auto range = [](double lo, double hi, std::int64_t count, std::int64_t& first, std::int64_t& size) {
    const auto last =
        std::clamp<std::int64_t>(static_cast<std::int64_t>(std::floor(hi)) + 1 + kMargin, 1, count - 1);
    first = std::clamp<std::int64_t>(static_cast<std::int64_t>(std::floor(lo)) - kMargin, 0, last - 1);
    size = last - first + 1;
  };
  range(places.lo.x, places.hi.x, field_.columns(), i0_, columns_);
  range(places.lo.y, places.hi.y, field_.rows(), j0_, rows_);
  heights_.resize(static_cast<std::size_t>(columns_ * rows_));
  for (std::int64_t j = j0_; j < j0_ + rows_; ++j) copy_row(j, i0_, i0_ + columns_);
  if (find_states()) fill();
}

void MendedCells::copy_row(std::int64_t j, std::int64_t first, std::int64_t last) {
  constexpr std::int64_t kTile = Heightfield::kTile;
  while (first < last) {
    const std::int64_t end = std::min(last, (first / kTile + 1) * kTile);
    float* to = &heights_[at(first, j)];
    if (const float* tile = field_.tile(first / kTile, j / kTile))
      std::copy_n(tile + j % kTile * kTile + first % kTile, end - first, to);
    else
      std::fill_n(to, end - first, 0.0F);
    first = end;
  }
}

/// Which cells lie inside, and which near enough outside to be filled; false when all lie inside.
bool MendedCells::find_states() {
  const double cell = field_.cell();
  const auto distance_at = [&](double i, double j) {
    return wall_(field_.origin() + cell * Vec2{i + 0.5, j + 0.5});
  };
  const auto columns = static_cast<double>(columns_), rows = static_cast<double>(rows_);
  const double half = std::hypot(columns, rows) / 2;
  if (distance_at(static_cast<double>(i0_) + (columns - 1) / 2, static_cast<double>(j0_) + (rows - 1) / 2) >
      (half + 2) * cell)
    return false;
  states_.assign(heights_.size(), known);
  to_fill_.clear();
  bool all_known = true;
  for (std::int64_t j = j0_; j < j0_ + rows_; ++j) {
    for (std::int64_t first = i0_; first < i0_ + columns_; first += kRun) {
      const std::int64_t last = std::min(first + kRun, i0_ + columns_);
      const double middle = distance_at(static_cast<double>(first + last - 1) / 2, static_cast<double>(j));
      if (middle > kRun * cell) continue;
      all_known = false;
      if (middle < -(kRun + kRings) * cell) {
        std::fill_n(&states_[at(first, j)], last - first, outside);
        continue;
      }
      for (std::int64_t i = first; i < last; ++i) {
        const double d = distance_at(static_cast<double>(i), static_cast<double>(j));
        if (d >= 0.3 * cell) continue;
        const bool near = d > -kRings * cell;
        states_[at(i, j)] = near ? to_fill : outside;
        if (near) to_fill_.emplace_back(i, j);
      }
    }
  }
  return !all_known;
}

/// Ring after ring, each from what is known then.
void MendedCells::fill() {
  const auto is_known = [&](std::int64_t i, std::int64_t j) {
    return i >= i0_ && j >= j0_ && i < i0_ + columns_ && j < j0_ + rows_ && states_[at(i, j)] == known;
  };
  const auto height_at = [&](std::int64_t i, std::int64_t j) {
    return static_cast<double>(heights_[at(i, j)]);
  };
  std::vector<std::pair<std::size_t, float>> filled;
  for (int ring = 0; ring < kRings && !to_fill_.empty(); ++ring) {
    filled.clear();
    std::erase_if(to_fill_, [&](const auto& place) {
      const auto [i, j] = place;
      double sum = 0, weight = 0;
      for (int k = 0; k < 9; ++k) {
        const int di = k % 3 - 1, dj = k / 3 - 1;
        if (!is_known(i + di, j + dj)) continue;
        const double h = height_at(i + di, j + dj);
        const bool two = is_known(i + 2 * di, j + 2 * dj);
        const double rise = two ? h - height_at(i + 2 * di, j + 2 * dj) : 0;
        const double w = two ? 1 : 0.1;
        sum += w * (h + (std::fabs(rise) < 2 * field_.cell() ? rise : 0));
        weight += w;
      }
      if (weight > 0) filled.emplace_back(at(i, j), static_cast<float>(sum / weight));
      return weight > 0;
    });
    for (const auto& [place, height] : filled) {
      heights_[place] = height;
      states_[place] = known;
    }
  }
}

double MendedCells::height(Vec2 place) const {
  const double x = std::clamp(place.x - static_cast<double>(i0_), 0.0, static_cast<double>(columns_ - 1));
  const double y = std::clamp(place.y - static_cast<double>(j0_), 0.0, static_cast<double>(rows_ - 1));
  const auto i = std::min(static_cast<std::int64_t>(x), columns_ - 2),
             j = std::min(static_cast<std::int64_t>(y), rows_ - 2);
  const double fx = x - static_cast<double>(i), fy = y - static_cast<double>(j);
  const float* row = &heights_[static_cast<std::size_t>(j * columns_ + i)];
  const double low = row[0] + fx * (static_cast<double>(row[1]) - static_cast<double>(row[0]));
  row += columns_;
  const double high = row[0] + fx * (static_cast<double>(row[1]) - static_cast<double>(row[0]));
  return low + fy * (high - low);
}

}  // namespace ovolo::render
