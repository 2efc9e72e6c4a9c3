#include "tests/bench/bench_jobs.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/bit/forms.hpp"

namespace ovolo::bench {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;

Move move_along(const Segment& path, double z0, double z1) {
  Move move;
  move.path = path;
  move.z0 = z0;
  move.z1 = z1;
  return move;
}

Contour part(int i) {
  return Contour::rectangle({122 + 244.0 * (i % 10), 61 + 122.0 * (i / 10)}, {216, 98}, 15);
}

BenchJob parts_job(int parts, const std::string& name) {
  BenchJob out{name, sheet_job(roundover5()), {}};
  out.job.stock.height = std::max(1220.0, 122.0 * std::ceil(parts / 10.0));
  return out;
}

}  // namespace

Profile roundover5() {
  Roundover bit;
  bit.radius = bit.cutting_radius = 5;
  bit.working_depth = 3.62;
  bit.tip_radius = 5 - std::sqrt(25 - 1.38 * 1.38);
  return point_roundover(bit, 5);
}

Job sheet_job(const Profile& profile) {
  Job job;
  job.stock.width = 2440;
  job.stock.height = 1220;
  job.stock.layers = {{"cap", 1.3, {}}, {"core", 10.1, {}}, {"back", 1.3, {}}};
  Bit bit;
  bit.profile = profile;
  job.bits.push_back(bit);
  return job;
}

BenchJob rounded_parts(int parts) {
  BenchJob out = parts_job(parts, std::to_string(parts) + " rounded parts");
  for (int i = 0; i < parts; ++i) {
    const Contour contour = part(i);
    for (const Segment& s : contour.segments()) out.plan.moves.push_back(move_along(s, -3.55, -3.55));
  }
  return out;
}

BenchJob broken_parts(int parts, double piece) {
  BenchJob out = parts_job(
      parts, std::to_string(parts) + " parts in pieces of " + std::to_string(piece).substr(0, 3) + " mm");
  for (int i = 0; i < parts; ++i) {
    const Contour contour = part(i);
    for (const Segment& s : contour.segments()) {
      const int n = static_cast<int>(std::lround(s.length() / piece));
      for (int k = 0; k < n; ++k)
        out.plan.moves.push_back(move_along(
            Segment::line(s.point(s.length() * k / n), s.point(s.length() * (k + 1) / n)), -3.55, -3.55));
    }
  }
  return out;
}

BenchJob passed_parts(int parts, int passes) {
  BenchJob out = parts_job(parts, std::to_string(parts) + " parts in " + std::to_string(passes) + " passes");
  for (int i = 0; i < parts; ++i) {
    const Contour contour = part(i);
    for (int k = 1; k <= passes; ++k) {
      const double z = -3.55 * k / passes, before = -3.55 * (k - 1) / passes;
      const Segment& first = contour.segments()[0];
      out.plan.moves.push_back(move_along(first.part(40, 60), before, z));
      for (const Segment& s : contour.segments()) out.plan.moves.push_back(move_along(s, z, z));
    }
  }
  return out;
}

BenchJob slanting_lines(const Profile& bit, const std::string& name) {
  BenchJob out{name, sheet_job(bit), {}};
  for (int i = 0; i < 90; ++i)
    out.plan.moves.push_back(move_along(Segment::line({20.0 + 25 * i, 20}, {100.0 + 25 * i, 1200}), -3, -3));
  return out;
}

BenchJob lines_along(bool x) {
  BenchJob out{x ? "lines along x" : "lines along y", sheet_job(roundover5()), {}};
  for (int i = 0; i < 45; ++i) {
    const double at = 20.02 + 25 * i;
    out.plan.moves.push_back(move_along(
        x ? Segment::line({20, at}, {2400, at}) : Segment::line({2 * at, 20}, {2 * at, 1200}), -3, -3));
  }
  return out;
}

BenchJob circles(double radius) {
  BenchJob out{"circles of " + std::to_string(static_cast<int>(radius)) + " mm", sheet_job(roundover5()), {}};
  const double step = 2 * radius + 12;
  for (double y = step; y + step < 1220; y += step)
    for (double x = step; x + step < 2440; x += step)
      out.plan.moves.push_back(move_along(Segment::arc({x, y}, radius, 0, kTurn), -3, -3));
  return out;
}

BenchJob wide_arcs() {
  BenchJob out{"arcs of 1000 to 3200 mm", sheet_job(roundover5()), {}};
  for (int i = 0; i < 90; ++i)
    out.plan.moves.push_back(move_along(Segment::arc({-1000, 610}, 1010 + 24.0 * i, -0.17, 0.34), -3, -3));
  return out;
}

BenchJob ramps(double length) {
  BenchJob out{"ramps of " + std::to_string(static_cast<int>(length)) + " mm", sheet_job(roundover5()), {}};
  const Vec2 along = length * unit(0.5);
  for (double y = 20; y + along.y < 1200; y += along.y + 14)
    for (double x = 20; x + along.x < 2420; x += along.x + 14)
      out.plan.moves.push_back(
          move_along(Segment::line({x, y}, Vec2{x, y} + along), -3.55 + length * 1.15 / 20, -3.55));
  for (Move& move : out.plan.moves) {  // no higher than the face
    if (move.z0 > -1) {
      move.z1 -= move.z0 + 1;
      move.z0 = -1;
    }
  }
  return out;
}

BenchJob helices(double radius) {
  BenchJob out = circles(radius);
  out.name = "helices of " + std::to_string(static_cast<int>(radius)) + " mm";
  for (Move& move : out.plan.moves) {
    move.path = Segment::arc(move.path.centre, radius, 0.3, 3);
    move.z1 = move.z0 - 0.05 * move.path.length();
  }
  return out;
}

BenchJob regions() {
  BenchJob out{"cleared regions", sheet_job(straight(6, 20)), {}};
  for (int i = 0; i < 100; ++i) {
    Region region;
    region.loops.push_back(part(i));
    Move move = move_along({}, -5, -5);
    move.region = i;
    out.plan.regions.push_back(region);
    out.plan.moves.push_back(move);
  }
  return out;
}

std::vector<std::pair<std::string, Profile>> families() {
  return {{"roundover", roundover5()},
          {"straight", straight(6, 20)},
          {"ball", ball(10, 20)},
          {"chamfer", chamfer(std::numbers::pi / 4, 0.5, 10, 5)},
          {"cove", cove(4.5, 1, 5)},
          {"ovolo", ovolo_form(4, 0.5, 0.7, 0.8, 5)},
          {"ogee", ogee(2.5, 2, 0.4, 0.4, 0.5, 5)}};
}

}  // namespace ovolo::bench
