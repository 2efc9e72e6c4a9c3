#pragma once
#include <string>
#include <vector>

#include "sim/path/plan.hpp"

// Jobs to time: a 2440 x 1220 mm sheet, one bit, made-up parts.
namespace ovolo::bench {

struct BenchJob {
  std::string name;
  Job job;
  Plan plan;
};

Profile roundover5();  ///< R 5, working depth 3.62, a shortened full point

Job sheet_job(const Profile& bit);

/// `parts` rounded rectangles, ten to a row, run once at full depth; above 100 the sheet grows.
BenchJob rounded_parts(int parts);
/// The same contours broken into pieces of this length, mm, chords in place of arcs.
BenchJob broken_parts(int parts, double piece);
/// The same contours in `passes` passes, each with its ramp.
BenchJob passed_parts(int parts, int passes);

BenchJob slanting_lines(const Profile& bit, const std::string& name);
BenchJob lines_along(bool x);
BenchJob circles(double radius);
BenchJob wide_arcs();
/// Ramps of this plan length at the slope of 1.15 mm in 20.
BenchJob ramps(double length);
BenchJob helices(double radius);
BenchJob regions();

/// A name and a bit for each family of forms.
std::vector<std::pair<std::string, Profile>> families();

}  // namespace ovolo::bench
