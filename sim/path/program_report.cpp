#include "sim/path/program_report.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "sim/geometry/box_tree.hpp"
#include "sim/path/axis_path.hpp"

namespace ovolo {
namespace {

constexpr double kFace = 1e-6;       // mm; a crossing less deep is not below the face
constexpr double kSameDepth = 0.01;  // mm; passes are farther apart
constexpr double kTie = 1e-6;        // mm
constexpr std::size_t kMostStations = 20'000;
constexpr std::size_t kMostTests = 200'000'000;  // of a motion against a station: some seconds

struct Station {
  Vec2 point, outward;
};

/// What passed a station so far.
struct Passed {
  double depth = 0;   ///< deepest crossing
  double offset = 0;  ///< least among the deepest
  int line = 0, passes = 0;
};

/// Parts (0 to 1) of the segment where it meets the infinite line through p along the unit vector n.
int meetings(const Segment& segment, Vec2 p, Vec2 n, double out[2]) {
  const Vec2 across = perp(n);
  int count = 0;
  if (!segment.is_arc()) {
    const double a = dot(segment.a - p, across), b = dot(segment.b - p, across);
    if (a == b) {
      // A plunge on the line, or a path along it: both ends count.
      if (std::abs(a) > 1e-9) return 0;
      out[0] = 0;
      out[1] = 1;
      return 2;
    }
    const double t = a / (a - b);
    if (t >= 0 && t <= 1) out[count++] = t;
    return count;
  }
  const double height = dot(p - segment.centre, across);
  if (std::abs(height) > segment.radius) return 0;
  const double half = std::sqrt(segment.radius * segment.radius - height * height);
  for (const double side : {half, -half}) {
    const Vec2 v = height * across + side * n;
    constexpr double kTurn = 6.283185307179586;
    double along = (angle_of(v) - segment.angle) * (segment.sweep < 0 ? -1 : 1);
    along -= kTurn * std::floor(along / kTurn);
    // A hair before the start is the start.
    if (along > kTurn - 1e-9) along = 0;
    const double part = along / std::abs(segment.sweep);
    if (part <= 1 + 1e-12) out[count++] = std::min(part, 1.0);
  }
  return count;
}

/// Gathers a range; weights are mm of contour.
class Gather {
 public:
  void add(double value, double weight, Vec2 at, int line) {
    if (weight_ == 0 || value < range_.min) {
      range_.min = value;
      range_.min_at = at;
      range_.min_line = line;
    }
    if (weight_ == 0 || value > range_.max) {
      range_.max = value;
      range_.max_at = at;
      range_.max_line = line;
    }
    sum_ += weight * value;
    weight_ += weight;
  }
  ProgramPathReport::Range range() const {
    ProgramPathReport::Range r = range_;
    r.mean = sum_ / weight_;
    return r;
  }

 private:
  ProgramPathReport::Range range_;
  double sum_ = 0, weight_ = 0;
};

}  // namespace

std::optional<ProgramPathReport> report_program_path(const std::vector<ProgramMotion>& program,
                                                     std::uint32_t bit, double cutting_radius,
                                                     const Contour& contour, Keep keep, double spacing) {
  ProgramPathReport report;
  report.length = contour.length();
  const auto wanted = static_cast<std::size_t>(std::ceil(report.length / spacing));
  const std::size_t count = std::clamp<std::size_t>(wanted, 1, kMostStations);
  const double weight = report.length / static_cast<double>(count);

  const bool part_left = part_on_left(contour, keep, -1);
  std::vector<Station> stations(count);
  std::vector<Box2> places(count);
  for (std::size_t i = 0; i < count; ++i) {
    const double s = (static_cast<double>(i) + 0.5) * weight;
    const Vec2 normal = perp(contour.tangent(s));
    stations[i] = {contour.point(s), part_left ? -normal : normal};
    places[i].add(stations[i].point);
  }
  const BoxTree tree(std::move(places));

  std::vector<Passed> passed(count);
  bool any = false;
  std::size_t tests = 0;
  for (const ProgramMotion& m : program) {
    if (m.rapid || m.bit != bit || std::min(m.z0, m.z1) >= -kFace) continue;
    if (tests > kMostTests) {
      report.examined_to_line = m.line;
      break;
    }
    const double length = m.path.length();
    tree.any(m.path.box().grown(cutting_radius), [&](std::uint32_t i) {
      ++tests;
      const Station& station = stations[i];
      Passed& held = passed[i];
      double parts[2];
      const int found = meetings(m.path, station.point, station.outward, parts);
      for (int k = 0; k < found; ++k) {
        const double depth = -(m.z0 + parts[k] * (m.z1 - m.z0));
        const double offset = dot(m.path.point(parts[k] * length) - station.point, station.outward);
        if (depth <= kFace || std::abs(offset) > cutting_radius) continue;
        if (!any || offset < report.nearest) {
          any = true;
          report.nearest = offset;
          report.nearest_line = m.line;
        }
        if (depth > held.depth + kSameDepth) ++held.passes;
        // Of the crossings at the greatest depth, the one nearest to the line shapes the edge.
        const bool same = std::abs(depth - held.depth) < kTie;
        if (held.depth == 0 || (same ? offset < held.offset : depth > held.depth))
          held = {std::max(depth, held.depth), offset, m.line, held.passes};
      }
      return false;
    });
  }
  if (!any) return {};

  Gather offsets, depths;
  std::map<int, std::size_t> by_passes;
  for (std::size_t i = 0; i < count; ++i) {
    const Passed& held = passed[i];
    if (held.depth == 0) continue;
    report.reached += weight;
    ++by_passes[std::max(held.passes, 1)];
    offsets.add(held.offset, weight, stations[i].point, held.line);
    depths.add(held.depth, weight, stations[i].point, held.line);
  }
  report.passes = std::max_element(by_passes.begin(), by_passes.end(), [](const auto& a, const auto& b) {
                    return a.second < b.second;
                  })->first;
  report.offset = offsets.range();
  report.depth = depths.range();
  return report;
}

}  // namespace ovolo
