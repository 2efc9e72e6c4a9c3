#pragma once
#include "sim/measure/edge.hpp"

namespace ovolo {

/// Measures of an outline that runs outward from the wall to a face, or back to the wall.
SectionMeasures measure_outline(const std::vector<SectionPiece>& pieces, const SectionContext& context);

/// Measures of a folded section, seen from the context's face: the moulded surface between that face and the
/// wall, or where there is none the place nearest to the contour's line.
SectionMeasures measure_folded(const Section& section, const SectionContext& context);

/// Is an edge moulded on the lower face alone? It is looked at with that face up.
bool from_below(const EdgeMeasures& edge);

/// The same section lying on its other face: z becomes -thickness - z and the way round is reversed.
Section turned_section(const Section& section);

/// The stock lying on its other face.
Stock turned_stock(const Stock& stock);

/// The pieces of a folded section from the wall (or the place nearest to the line) to the context's face, or
/// to the wall again where another stretch of wall follows; seen from that face, as measure_outline takes
/// them.
std::vector<SectionPiece> moulded_run(const Section& section, const SectionContext& context);

/// Excess and gouge between an actual surface and a wanted one of which either folds back over u: chains from
/// the wall outward that bound the material below them, up to `reach`, the section's end.
void measure_folded_deviation(const std::vector<Segment>& surface, const WantedForm& wanted, double reach,
                              bool to_face, SectionMeasures& out);

}  // namespace ovolo
