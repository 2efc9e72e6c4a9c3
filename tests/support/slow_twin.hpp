#pragma once
#include <cstdint>
#include <random>
#include <vector>

#include "sim/path/plan.hpp"

// The slow twins: the same answers without any of the cleverness.
namespace ovolo::test {

/// Height of the finished surface at p: every move, one by one.
double slow_height(const Job& job, const Plan& plan, Vec2 p);

/// One move by dense stamping: the bit set down at `stamps` places, the best place looked at again more
/// closely `rounds` times. Never below the true sweep.
double stamped_height(const Move& move, const Profile& profile, Vec2 p, int stamps, int rounds);

/// Small bits of every kind of piece: level, cone (flatter and steeper than usual ramps), hollow and round
/// arcs, upright steps, tips with and without a flat, a hollow tip.
std::vector<Profile> sample_profiles();

Move line_move(Vec2 a, Vec2 b, double z0, double z1, std::uint32_t bit = 0);
Move arc_move(Vec2 centre, double radius, double from, double sweep, double z0, double z1,
              std::uint32_t bit = 0);

/// A job with one bit per profile on a sheet of this size (mm), three layers.
Job sample_job(double width, double height, const std::vector<Profile>& profiles);

/// Seeded moves of all kinds over the sheet: lines, arcs, full circles, ramps, helices, plunges, regions,
/// rapids.
Plan random_plan(const Job& job, std::uint32_t seed, int moves);

}  // namespace ovolo::test
