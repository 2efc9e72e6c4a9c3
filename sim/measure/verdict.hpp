#pragma once
#include "sim/measure/edge.hpp"

namespace ovolo {

/// Angles that a wanted form has of its own at the face and at the wall; only what is beyond them counts as a
/// break.
double own_face_break(const WantedForm& wanted);
/// Whether a form of such a break leaves a corner at the face, its flank leaning under it: an arris, told by
/// the angle of the material and not as a break. Radians.
bool leaves_arris(double own_face_break);
double own_wall_break(const WantedForm& wanted);

/// Holds an edge's measures against the wishes: sets its verdict and appends warnings that say what to
/// change.
void judge_edge(const Job& job, const WantedForm& wanted, EdgeMeasures& edge, std::vector<Warning>& warnings);

/// Adds what checking the programs found. An edge whose program drives a rapid through material is not good:
/// the sheet is measured without rapids.
void judge_programs(const Job& job, std::vector<Warning> found, Measures& measures);

/// The depth at which a half round sits in the middle of the sheet, or a lower round on the lower face;
/// nothing for other forms.
std::optional<double> depth_of_undercut(const Bit& bit, const Stock& stock);

/// Says otherwise what to change about an edge that is not good, and so in the job's verdict.
void set_mend(const Job& job, std::size_t edge, const std::string& mend, Measures& measures);

/// The whole job's verdict from its edges'.
Verdict judge_all(const Job& job, const std::vector<EdgeMeasures>& edges);

}  // namespace ovolo
