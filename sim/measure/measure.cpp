#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <memory>

#include "sim/bit/forms.hpp"
#include "sim/geometry/medial.hpp"
#include "sim/measure/edge.hpp"
#include "sim/measure/idle_contact.hpp"
#include "sim/measure/quick_look.hpp"
#include "sim/measure/stations.hpp"
#include "sim/measure/verdict.hpp"
#include "sim/parallel.hpp"
#include "sim/path/turned_sheet.hpp"
#include "sim/stock/stock_kind.hpp"

namespace ovolo {
namespace {

constexpr double kTie = 1e-4;  // mm or radians: reports are written to 0.1 um, ties go to the first station
constexpr double kOnPath = 1e-3;    // mm: an axis this near its place counts as there
constexpr std::size_t kChunk = 32;  // stations per task

// One copy of one edge operation while it is measured.
struct Work {
  std::uint32_t operation = 0;
  Contour contour;  // placed
  Vec2 shift;
  double side = 1;  // +1: the part lies left of the contour's travel
  WantedForm wanted;
  double reach = 0;    // how far sections go at most
  bool both = false;   // the form works on both faces
  PlaneMotion placed;  // from where a path is planned to where a turned sheet has it
  EdgeMeasures edge;
};

bool part_is_left(const Operation& op, const Contour& contour) {
  if (!contour.closed()) return op.keep == Keep::left;
  const bool left_is_inside = contour.signed_area() > 0;
  return left_is_inside == (op.keep == Keep::inside);
}

// Arc lengths where this operation's moves begin and end, so that stations gather there.
std::vector<double> move_marks(const Plan& plan, const Work& work, double near) {
  std::vector<double> marks;
  const Box2 around = work.contour.box().grown(near);
  for (const Move& m : plan.moves) {
    if (m.operation != work.operation || m.role == MoveRole::rapid || m.region >= 0) continue;
    if (!around.contains(m.path.a) && !around.contains(m.path.b)) continue;
    const Contour::Nearest hit = work.contour.nearest(m.path.a);
    if (hit.distance <= near) marks.push_back(hit.s);
    if (m.role != MoveRole::ramp) continue;
    const Contour::Nearest end = work.contour.nearest(m.path.b);
    if (end.distance <= near) marks.push_back(end.s);
  }
  return marks;
}

// Does the axis really pass where the operation would have it beside this station?
StationKind kind_of(const Job& job, const Plan& plan, const MoveIndex& index, const Work& work,
                    const Station& s, std::vector<std::uint32_t>& found) {
  const Operation& op = job.operations[work.operation];
  if (!work.contour.closed()) {
    const double end =
        std::min(job.bits[op.bit].profile.cutting_radius(), work.contour.length() / 4) - op.overrun;
    if (s.s < end || s.s > work.contour.length() - end) return StationKind::end;
  }
  if (op.kind == OperationKind::program) return StationKind::edge;
  const Vec2 axis = work.placed(s.point - op.offset * s.normal);
  Box2 box;
  box.add(axis);
  index.query(box, found);
  bool sloped = false;
  for (const std::uint32_t i : found) {
    const Move& m = plan.moves[i];
    if (m.operation != work.operation || m.region >= 0 || m.path.distance(axis) > kOnPath) continue;
    if (m.level() && m.z0 <= -op.depth + kOnPath) return StationKind::edge;
    sloped = sloped || !m.level();
  }
  return sloped ? StationKind::end : StationKind::unreached;
}

// A section that ends at the medial axis beside a sharp convex corner is no narrow web: the corner cuts it
// short.
bool beside_corner(const Work& work, const Station& s, double u_max) {
  const Contour& c = work.contour;
  const auto& segments = c.segments();
  const std::size_t n = segments.size();
  for (std::size_t i = 0; i < n; ++i) {
    if (!c.closed() && i == 0) continue;
    const Segment &before = segments[(i + n - 1) % n], &after = segments[i];
    const Vec2 t0 = before.tangent(before.length()), t1 = after.tangent(0);
    const double turn = work.side * std::atan2(cross(t0, t1), dot(t0, t1));
    if (turn < 1e-6) continue;
    double along = std::abs(s.s - c.start_of(i));
    if (c.closed()) along = std::min(along, c.length() - along);
    // The bisector of a corner that turns by t is u = along / tan(t / 2) away.
    if (along <= 1.05 * u_max * std::tan(turn / 2) + 1e-3) return true;
  }
  return false;
}

// The greatest ball that touches the contour at a place on the edge. Where all else it touches faces that
// place at less than this, it sits in a convex corner, sharp or rounded; opposite sides of a narrow web face
// each other.
constexpr double kAcross = 5 * std::numbers::pi / 6;

// A section that ends at the medial axis within a rounded convex corner is no narrow web either.
bool in_rounded_corner(const Work& work, const Station& s, double u_max) {
  const Vec2 ball = s.point + u_max * s.normal;
  const double touches = u_max * (1 + 1e-3) + 1e-3;
  bool any = false;
  for (const Segment& piece : work.contour.segments()) {
    // Every place of an arc about the ball's middle is touched; its ends and quarters stand for all.
    const bool round = piece.is_arc() && distance(piece.centre, ball) <= 1e-3 * (1 + piece.radius);
    const double length = piece.length(), nearest = piece.nearest(ball);
    if (!round && distance(piece.point(nearest), ball) > touches) continue;
    for (int i = 0; i <= (round ? 8 : 0); ++i) {
      const Vec2 from = piece.point(round ? length * i / 8 : nearest) - ball;
      const double cosine = dot(from, s.point - ball) / (ovolo::length(from) * u_max);
      if (cosine < std::cos(kAcross)) return false;
      any = any || cosine < 1 - 1e-6 || round;
    }
  }
  return any;
}

void measure_stations(const Job& job, const Plan& plan, const MoveIndex& index, Work& work, std::size_t first,
                      std::size_t last) {
  SectionMaker maker(job, plan, index);
  SectionContext context;
  context.stock = &job.stock;
  context.wanted = &work.wanted;
  context.wishes = &job.wishes;
  for (const Operation& op : job.operations)
    context.makes_face.push_back(op.kind == OperationKind::pocket || op.kind == OperationKind::cut_out);
  context.face = work.edge.face;
  context.both = work.both;
  context.operation = static_cast<std::int32_t>(work.operation);
  std::vector<std::uint32_t> found;
  for (std::size_t i = first; i < last; ++i) {
    Station& s = work.edge.stations[i];
    s.kind = kind_of(job, plan, index, work, s, found);
    SectionLine line;
    line.origin = s.point;
    line.normal = s.normal;
    const double border = to_border(job.stock, s.point, s.normal, work.reach);
    line.u_max = medial_reach(work.contour, s.point, s.normal, border);
    if (line.u_max < 2e-3) {  // on a corner's very tip
      s.kind = StationKind::unreached;
      s.weight = 0;
      continue;
    }
    s.reach = line.u_max;
    s.measures = measure_section(maker.make(line), context);
    if (!s.measures.meets_face && !s.measures.meets_wall && s.measures.cut &&
        (beside_corner(work, s, line.u_max) || in_rounded_corner(work, s, line.u_max)))
      s.measures.near_corner = true;
  }
}

template <class Get>
std::optional<Stat> stat_of(const EdgeMeasures& edge, Get get) {
  Stat out;
  double sum = 0, weight = 0;
  bool any = false;
  for (const Station& s : edge.stations) {
    if (s.kind != StationKind::edge || s.weight == 0) continue;
    const std::optional<double> value = get(s.measures);
    if (!value) continue;
    if (!any) {
      out.min = out.max = *value;
      out.worst_at = s.point;
      any = true;
    }
    out.min = std::min(out.min, *value);
    if (*value > out.max + kTie) out.worst_at = s.point;
    out.max = std::max(out.max, *value);
    sum += s.weight * *value;
    weight += s.weight;
  }
  if (!any) return std::nullopt;
  out.mean = sum / weight;
  return out;
}

// Only stations whose section runs from wall to face tell a whole length.
template <class Get>
auto whole(Get get) {
  return [get](const SectionMeasures& m) -> std::optional<double> {
    if (!m.cut || !(m.meets_face || m.meets_wall)) return std::nullopt;
    return get(m);
  };
}

double area_factor(const Station& s, double section, double moment) {
  return s.weight * (section - s.curvature * moment);
}

void list_apart(const EdgeMeasures& edge, StationKind kind, const std::string& reason, bool closed,
                std::vector<Unreached>& out) {
  const auto& stations = edge.stations;
  std::vector<std::pair<std::size_t, std::size_t>> runs;
  for (std::size_t i = 0; i < stations.size();) {
    if (stations[i].kind != kind || stations[i].weight == 0) {
      ++i;
      continue;
    }
    std::size_t k = i;
    while (k + 1 < stations.size() && stations[k + 1].kind == kind) ++k;
    runs.emplace_back(i, k);
    i = k + 1;
  }
  const bool joins =
      closed && runs.size() > 1 && runs.front().first == 0 && runs.back().second + 1 == stations.size();
  for (std::size_t r = 0; r < runs.size(); ++r) {
    if (joins && r == 0) continue;
    double length = 0;
    for (std::size_t i = runs[r].first; i <= runs[r].second; ++i) length += stations[i].weight;
    Vec2 at = stations[(runs[r].first + runs[r].second) / 2].point;
    if (joins && r + 1 == runs.size()) {
      for (std::size_t i = runs[0].first; i <= runs[0].second; ++i) length += stations[i].weight;
      at = stations[0].point;
    }
    out.push_back({at, length, reason});
  }
}

// Corners where the part is re-entrant and sharp: no bit leaves a mitre there.
void list_sharp_corners(const Work& work, std::vector<Unreached>& out) {
  const Contour& c = work.contour;
  const auto& segments = c.segments();
  const std::size_t n = segments.size();
  for (std::size_t i = c.closed() ? 0 : 1; i < n; ++i) {
    const Segment &before = segments[(i + n - 1) % n], &after = segments[i];
    const Vec2 t0 = before.tangent(before.length()), t1 = after.tangent(0);
    if (work.side * std::atan2(cross(t0, t1), dot(t0, t1)) > -0.01) continue;
    const Vec2 corner = after.a;
    const bool listed = std::any_of(out.begin(), out.end(), [&](const Unreached& u) {
      return distance(u.at, corner) <= u.length / 2 + 0.5;
    });
    if (!listed) out.push_back({corner, 0, "sharp re-entrant corner"});
  }
}

OtherFaceStats other_face(const EdgeMeasures& e) {
  const auto of = [&](std::optional<double> OtherFace::*value) {
    return stat_of(e,
                   [value](const SectionMeasures& m) { return m.other ? (*m.other).*value : std::nullopt; });
  };
  OtherFaceStats out{of(&OtherFace::lip),        of(&OtherFace::band),       of(&OtherFace::face_break),
                     of(&OtherFace::wall_break), of(&OtherFace::foot_depth), {}};
  out.round_width = stat_of(e, [](const SectionMeasures& m) {
    return m.other && m.other->meets_face ? std::optional<double>(m.other->round_width) : std::nullopt;
  });
  return out;
}

void summarize(const Job& job, Work& work) {
  EdgeMeasures& e = work.edge;
  e.lip = stat_of(e, [](const SectionMeasures& m) { return m.lip; });
  e.band = stat_of(e, [](const SectionMeasures& m) { return m.band; });
  e.face_break = stat_of(e, [](const SectionMeasures& m) { return m.face_break; });
  e.wall_break = stat_of(e, [](const SectionMeasures& m) { return m.wall_break; });
  e.foot_depth = stat_of(e, [](const SectionMeasures& m) { return m.foot_depth; });
  e.curve_length = stat_of(e, whole([](const SectionMeasures& m) { return m.curve_length; }));
  e.round_width = stat_of(e, whole([](const SectionMeasures& m) { return m.round_width; }));
  e.wall_left = stat_of(e, [](const SectionMeasures& m) { return m.wall_left; });
  e.mismatch = stat_of(e, [](const SectionMeasures& m) { return m.mismatch; });
  // Beside a sharp corner it is the other side's edge that tapers.
  e.thinnest = stat_of(
      e, [](const SectionMeasures& m) { return m.near_corner ? std::optional<double>() : m.thinnest; });
  if (e.wall_left)
    e.overcut = stat_of(e, [](const SectionMeasures& m) { return std::optional<double>(m.overcut); });
  if (work.both) e.other = other_face(e);
  const auto excess = stat_of(e, whole([](const SectionMeasures& m) { return m.excess; }));
  const auto gouge = stat_of(e, whole([](const SectionMeasures& m) { return m.gouge; }));
  if (excess) e.excess.section = *excess;
  if (gouge) e.gouge.section = *gouge;
  for (std::size_t i = 0; i < job.stock.layers.size(); ++i) {
    Exposure x;
    x.layer = job.stock.layers[i].name;
    const auto stat = stat_of(e, whole([i](const SectionMeasures& m) { return m.exposure[i]; }));
    if (stat) x.length = *stat;
    e.exposure.push_back(x);
  }
  double weight = 0;
  for (const Station& s : e.stations) {
    if (s.kind != StationKind::edge || s.weight == 0) continue;
    const SectionMeasures& m = s.measures;
    e.excess.volume += area_factor(s, m.excess, m.excess_moment);
    e.gouge.volume += area_factor(s, m.gouge, m.gouge_moment);
    e.excess.max = std::max(e.excess.max, m.excess_max);
    e.gouge.max = std::max(e.gouge.max, m.gouge_max);
    e.blend_volume += area_factor(s, m.blend, m.blend_moment);
    e.blend_mean += s.weight * m.blend;
    weight += s.weight;
    for (std::size_t i = 0; i < m.exposure.size(); ++i)
      e.exposure[i].area += area_factor(s, m.exposure[i], m.exposure_moment[i]);
    if (m.cut && !m.meets_face && !m.meets_wall && !m.near_corner) e.web += s.weight;
  }
  if (weight > 0) e.blend_mean /= weight;
  const bool closed = work.contour.closed();
  list_apart(e, StationKind::unreached, "the bit cannot enter", closed, e.unreached);
  list_sharp_corners(work, e.unreached);
  list_apart(e, StationKind::end, closed ? "ramp" : "end of the contour", closed, e.ends);
}

// Every n-th station from the middle of the first n on, standing for all n.
void thin_stations(std::vector<Station>& stations, std::size_t most) {
  if (stations.size() <= most) return;
  const std::size_t step = (stations.size() + most - 1) / most;
  std::vector<Station> kept;
  for (std::size_t i = 0; i < stations.size(); i += step) {
    const std::size_t end = std::min(i + step, stations.size());
    kept.push_back(stations[(i + end) / 2]);
    kept.back().weight = 0;
    for (std::size_t k = i; k < end; ++k) kept.back().weight += stations[k].weight;
  }
  stations = std::move(kept);
}

bool same(const std::optional<Stat>& a, const std::optional<Stat>& b) {
  if (a.has_value() != b.has_value()) return false;
  return !a || (std::abs(a->min - b->min) <= kTie && std::abs(a->mean - b->mean) <= kTie &&
                std::abs(a->max - b->max) <= kTie);
}

bool same_edges(const EdgeMeasures& a, const EdgeMeasures& b) {
  if (a.operation != b.operation || a.unreached.size() != b.unreached.size() ||
      a.ends.size() != b.ends.size())
    return false;
  for (std::size_t i = 0; i < a.exposure.size(); ++i)
    if (!same(a.exposure[i].length, b.exposure[i].length)) return false;
  return same(a.wall_left, b.wall_left) && same(a.mismatch, b.mismatch) && same(a.thinnest, b.thinnest) &&
         same(a.overcut, b.overcut) && same(a.lip, b.lip) && same(a.band, b.band) &&
         same(a.face_break, b.face_break) && same(a.wall_break, b.wall_break) &&
         same(a.foot_depth, b.foot_depth) && same(a.curve_length, b.curve_length) &&
         std::abs(a.web - b.web) <= kTie && std::abs(a.excess.max - b.excess.max) <= kTie &&
         std::abs(a.gouge.max - b.gouge.max) <= kTie;
}

// Do two operations mould the same face?
bool shares_face(const Job& job, const Operation& a, const Operation& b) {
  const auto faces = [&](const Operation& op) {
    const FormFaces f = job.bits[op.bit].faces;
    if (f == FormFaces::both) return 3;
    const auto index = static_cast<std::size_t>(&op - job.operations.data());
    return turned_over(set_up_of(job, index)) != (f == FormFaces::bottom) ? 2 : 1;
  };
  return (faces(a) & faces(b)) != 0;
}

}  // namespace

namespace {

// A chamfer has no size of its own: it is wanted as deep as its operation runs it, up to all of the flank.
WantedForm chamfer_as_set(const Operation& op, const Bit& bit) {
  WantedForm form = bit.wanted;
  const double tall = std::min(op.depth - bit.profile.height(std::max(0.0, op.offset)), form.depth);
  if (tall <= 0) return form;
  form.width *= tall / form.depth;
  form.depth = tall;
  form.curve = {Segment::line({0, -form.depth}, {form.width, 0})};
  return form;
}

}  // namespace

WantedForm wanted_form(const Operation& op, const Bit& bit) {
  if (op.wanted) return *op.wanted;
  if (bit.form == "chamfer" && !bit.wanted.curve.empty()) return chamfer_as_set(op, bit);
  if (!bit.wanted.curve.empty()) return bit.wanted;
  if (bit.profile.undercut()) return swept_form(bit.profile, op.depth, op.offset);
  // A plain cutter leaves a rebate: as wide as it reaches, as deep as it runs.
  WantedForm form;
  form.width = std::max(1e-6, bit.profile.cutting_radius() - op.offset);
  form.depth = op.depth;
  form.curve = {Segment::line({0, -form.depth}, {form.width, -form.depth}),
                Segment::line({form.width, -form.depth}, {form.width, 0})};
  return form;
}

namespace {

// Of all edges, or of one operation's first copy with so many stations at most.
struct Extent {
  std::optional<std::uint32_t> only = {};
  std::size_t most = std::numeric_limits<std::size_t>::max();
};

Measures measure_some(const Job& job, const Plan& plan, const MoveIndex& index, const MeasureOptions& options,
                      const Extent& extent) {
  double widest = 0;  // the reach of any edge operation into the part
  for (const Operation& op : job.operations)
    if (op.contour >= 0)
      widest = std::max(widest, job.bits[op.bit].profile.cutting_radius() + std::abs(op.offset));

  std::vector<std::unique_ptr<Work>> works;
  for (std::uint32_t i = 0; i < job.operations.size(); ++i) {
    const Operation& op = job.operations[i];
    if (op.contour < 0 || (op.kind != OperationKind::edge && op.kind != OperationKind::program)) continue;
    const NamedContour& named = job.contours[static_cast<std::size_t>(op.contour)];
    if (extent.only && *extent.only != i) continue;
    for (const Vec2 shift : named.at) {
      if (extent.only && shift != named.at.front()) continue;
      auto work = std::make_unique<Work>();
      work->operation = i;
      work->shift = shift;
      work->contour = named.contour.translated(shift);
      work->side = part_is_left(op, work->contour) ? 1 : -1;
      work->wanted = wanted_form(op, job.bits[op.bit]);
      work->reach = work->wanted.width + 2 * widest + 2;
      EdgeMeasures& e = work->edge;
      e.operation = i;
      e.contour = named.id;
      e.length = work->contour.length();
      e.copies = {shift};
      const std::uint32_t set_up = set_up_of(job, i);
      const FormFaces faces = job.bits[op.bit].faces;
      e.face = turned_over(set_up) != (faces == FormFaces::bottom) ? Face::bottom : Face::top;
      work->both = faces == FormFaces::both;
      const SheetPose pose = sheet_pose(job.stock, job.operations, set_up);
      if (!(pose.real == pose.nominal)) work->placed = pose.real.inverse() * pose.nominal;
      const double near = job.bits[op.bit].profile.cutting_radius() + std::abs(op.offset);
      for (const StationPlace& place :
           station_places(work->contour, move_marks(plan, *work, near), options.spacing)) {
        Station s;
        s.s = place.s;
        s.weight = place.weight;
        double within = 0;
        const Segment& segment = work->contour.segments()[work->contour.locate(place.s, within)];
        s.point = segment.point(within);
        s.normal = work->side * perp(segment.tangent(within));
        s.curvature = work->side * segment.curvature();
        e.stations.push_back(s);
      }
      thin_stations(e.stations, extent.most);
      works.push_back(std::move(work));
    }
  }

  struct Task {
    std::size_t work, first, last;
  };
  std::vector<Task> tasks;
  for (std::size_t w = 0; w < works.size(); ++w)
    for (std::size_t i = 0; i < works[w]->edge.stations.size(); i += kChunk)
      tasks.push_back({w, i, std::min(i + kChunk, works[w]->edge.stations.size())});
  // In slices, so that progress can be told and a long job ended between them.
  constexpr std::size_t kSlice = 64;
  for (std::size_t begin = 0; begin < tasks.size(); begin += kSlice) {
    if (options.progress)
      options.progress->report("measuring", static_cast<double>(begin) / static_cast<double>(tasks.size()));
    parallel_for(std::min(kSlice, tasks.size() - begin), [&](std::size_t k) {
      const Task& t = tasks[begin + k];
      measure_stations(job, plan, index, *works[t.work], t.first, t.last);
    });
  }
  if (options.progress) options.progress->report("measuring", 1);

  Measures out;
  for (auto& work : works) {
    summarize(job, *work);
    EdgeMeasures* twin = nullptr;
    for (EdgeMeasures& e : out.edges)
      if (same_edges(e, work->edge)) twin = &e;
    if (twin) {
      twin->copies.push_back(work->shift);
      continue;
    }
    judge_edge(job, work->wanted, work->edge, out.warnings);
    for (const Operation& other : job.operations)
      if (&other != &job.operations[work->operation] && other.kind == OperationKind::edge &&
          other.contour == job.operations[work->operation].contour &&
          shares_face(job, other, job.operations[work->operation]))
        work->edge.shared_with.push_back(other.name);
    out.edges.push_back(std::move(work->edge));
  }
  for (Warning& w : idle_contacts(job, plan, index, out.edges)) out.warnings.push_back(std::move(w));
  out.verdict = judge_all(job, out.edges);
  return out;
}

}  // namespace

Measures measure(const Job& job, const Plan& plan, const MoveIndex& index, const MeasureOptions& options) {
  return measure_some(job, plan, index, options, {});
}

Measures quick_look(const Job& job, const Plan& plan, const MoveIndex& index, std::uint32_t operation,
                    std::size_t most) {
  return measure_some(job, plan, index, {}, {operation, most});
}

}  // namespace ovolo
