#include "sim/measure/verdict.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr double kShows = 1e-3;  // mm: less of a layer on the surface than this does not show
constexpr double kNoise = 1e-6;  // mm and radians

// The numbers of a point-cutting roundover, when the operation runs one against a round.
struct RoundoverSetting {
  bool is = false;
  double R = 0, W = 0, a = 0, c = 0, h0 = 0;
};

RoundoverSetting roundover_of(const Bit& bit) {
  RoundoverSetting s;
  s.is = bit.form == "point_roundover";
  s.R = bit.nominal_radius;
  s.W = bit.working_depth;
  s.a = bit.profile.tip_flat_radius();
  s.c = bit.profile.cutting_radius();
  s.h0 = s.R - s.W;
  return s;
}

// The texts of an edge's verdict as one.
void compose(Verdict& v) {
  v.text.clear();
  for (const std::string* part : {&v.wrong, &v.mend, &v.also})
    if (!part->empty()) v.text += (v.text.empty() ? "" : "; ") + *part;
}

class Judge {
 public:
  Judge(const Job& job, const WantedForm& wanted, EdgeMeasures& edge, std::vector<Warning>& warnings)
      : job_(job),
        wanted_(wanted),
        edge_(edge),
        warnings_(warnings),
        op_(job.operations[edge.operation]),
        bit_(job.bits[op_.bit]),
        r_(roundover_of(bit_)),
        at_face_(edge.other                  ? edge.face == Face::top ? "the top face" : "the lower face"
                 : edge.face == Face::bottom ? "the lower face"
                                             : "the face") {}

  void run() {
    lip();
    band();
    face();
    wall();
    foot();
    size();
    layers();
    reach();
    if (edge_.other) other_face(*edge_.other);
    folded();
    Verdict& v = edge_.verdict;
    v = {faults_.empty(), ""};
    if (v.good) {
      v.text = "within every wish";
      return;
    }
    v.wrong = list_text(faults_);
    v.mend = list_text(cures_);
    for (const std::string& remark : remarks_) v.mend += (v.mend.empty() ? "" : "; ") + remark;
    compose(v);
  }

 private:
  void warn(const char* code, const std::string& text) {
    warnings_.push_back(
        {code, fmt::format("{}: {}", op_.name, text), static_cast<int>(edge_.operation), op_.source});
  }

  /// Where the axis is to run: a program's path is its own, there is no offset to set.
  std::string axis_at(const std::string& wanted) const {
    return op_.kind == OperationKind::program ? fmt::format("run the program's path {} off the line", wanted)
                                              : fmt::format("set offset to {}", wanted);
  }

  void lip() {
    if (!edge_.lip || edge_.lip->max <= job_.wishes.lip + kNoise) return;
    const double lip = edge_.lip->max;
    faults_.push_back(fmt::format("a lip of {} at {}", both_units(lip), at_face_));
    std::string cure;
    if (op_.kind == OperationKind::program)
      cure = fmt::format("raise the program's cut by {}", both_units(lip));
    else if (const auto best = depth_for_undercut())
      cure = fmt::format("set depth to {}", both_units(*best));
    else if (const auto uneven = uneven_face())
      cure = depth_on_uneven(*uneven);
    else if (r_.is)
      cure = fmt::format("set depth to {} or less", at_most(r_.W));
    else
      cure = fmt::format("set depth to {} or less", at_most(op_.depth - lip));
    add_cure(cure);
    if (const auto uneven = uneven_face(); uneven && uneven->up > kShows)
      warn("lip", fmt::format("the bit works {} deep, the pass runs at {} and up to {} deeper where the face "
                              "stands high ({:.1f}, {:.1f}): {} lip; {}",
                              both_units(r_.W), both_units(op_.depth), both_units(uneven->up),
                              edge_.lip->worst_at.x, edge_.lip->worst_at.y, both_units(lip), cure));
    else if (r_.is && op_.kind == OperationKind::edge)
      warn("lip", fmt::format("the bit works {} deep, the pass runs at {}: {} lip; {}", both_units(r_.W),
                              both_units(op_.depth), both_units(lip), cure));
    else if (depth_for_undercut())
      warn("lip", fmt::format("the form ends {} short of {} and leaves a lip as high; {}", both_units(lip),
                              at_face_, cure));
    else
      warn("lip", fmt::format("the cut runs {} deeper than the form reaches: a lip as high; {}",
                              both_units(lip), cure));
  }

  void band() {
    if (!edge_.band || edge_.band->max <= job_.wishes.band + kNoise) return;
    const double band = edge_.band->max;
    faults_.push_back(fmt::format("a flat band of {} at the foot", both_units(band)));
    const std::string cure =
        op_.kind == OperationKind::program
            ? fmt::format("move the program's path {} further off the line", both_units(band))
            : fmt::format("set offset to {} or more", at_least(op_.offset + band));
    add_cure(cure);
    warn("band", fmt::format("the tip flat reaches {} past the wall and leaves a flat band as wide; {}",
                             both_units(band), cure));
  }

  bool face_breaks() const {
    return edge_.face_break && edge_.face_break->max - edge_.own_face_break > job_.wishes.face_break + kNoise;
  }

  void face() {
    if (!face_breaks()) return;
    faults_.push_back(fmt::format("a break of {} at {}", degrees_text(edge_.face_break->max), at_face_));
    std::string cure = (op_.kind == OperationKind::program ? "let the program cut" : "set depth") +
                       (" nearer to the form's own height, " + both_units(wanted_.depth));
    if (const auto best = depth_for_undercut()) cure = break_cure(*best);
    if (r_.is && op_.kind == OperationKind::edge) {
      const double least = r_.R * std::cos(job_.wishes.face_break) - r_.h0;
      cure = fmt::format("set depth between {} and {}", at_least(least), at_most(r_.W));
      if (least <= 0) cure = fmt::format("set depth nearer to {}", both_units(r_.W));
      if (const auto uneven = uneven_face()) cure = depth_on_uneven(*uneven);
    }
    add_cure(cure);
    warn("face-break", fmt::format("the curve meets {} at {}, more than the {} wished for{}; {}", at_face_,
                                   degrees_text(edge_.face_break->max), degrees_text(job_.wishes.face_break),
                                   bit_.profile.undercut() ? "" : ": the cut is too shallow", cure));
  }

  // How far the face along a roundover's edge stands above and below where Z zero takes it to be, read off
  // the edge itself; nothing on a flat sheet.
  struct Uneven {
    double up = 0, down = 0;
  };
  std::optional<Uneven> uneven_face() const {
    if (job_.shape.flat() || !r_.is || op_.kind != OperationKind::edge || !edge_.lip || !edge_.face_break)
      return std::nullopt;
    const auto depth_here = [this](double lip, double angle) {
      return lip > 0 ? r_.W + lip : r_.R * std::cos(angle) - r_.h0;
    };
    Uneven u{depth_here(edge_.lip->max, edge_.face_break->min) - op_.depth,
             op_.depth - depth_here(edge_.lip->min, edge_.face_break->max)};
    if (std::max(u.up, u.down) <= kShows) return std::nullopt;
    return u;
  }

  // The depth that suits all of an uneven face, or that none does.
  std::string depth_on_uneven(const Uneven& u) const {
    const double least = std::max(0.0, r_.R * std::cos(job_.wishes.face_break) - r_.h0) + u.down;
    const double most = r_.W + job_.wishes.lip - u.up;
    const std::string cause = "hold the sheet flat, or set zero where the face stands high";
    if (least > most)
      return fmt::format("no one depth suits a face uneven by {}: {}", both_units(u.up + u.down), cause);
    return fmt::format("set depth between {} and {}, or {}", at_least(least), at_most(most), cause);
  }

  std::optional<double> depth_for_undercut() const { return depth_of_undercut(bit_, job_.stock); }

  std::string break_cure(double best) const {
    if (bit_.faces == FormFaces::both && 2 * bit_.nominal_radius > job_.stock.thickness() + kNoise &&
        std::abs(op_.depth - best) < 1e-3)
      return fmt::format(
          "the half round is wider than the sheet is thick: take a bit of radius {}, or allow the "
          "break",
          both_units(job_.stock.thickness() / 2));
    return fmt::format("set depth to {}", both_units(best));
  }

  // The other half of a form that works on both faces.
  void other_face(const OtherFaceStats& other) {
    const std::string at = edge_.face == Face::top ? "the lower face" : "the top face";
    const auto best = depth_for_undercut();
    const auto beyond = [](const std::optional<Stat>& value, double wish) {
      return value && value->max > wish + kNoise;
    };
    if (beyond(other.lip, job_.wishes.lip)) {
      faults_.push_back(fmt::format("a lip of {} at {}", both_units(other.lip->max), at));
      const std::string cure = best ? fmt::format("set depth to {}", both_units(*best)) : "change the depth";
      add_cure(cure);
      warn("lip", fmt::format("the form ends {} short of {} and leaves a lip as high; {}",
                              both_units(other.lip->max), at, cure));
    }
    if (beyond(other.face_break, job_.wishes.face_break + edge_.own_face_break)) {
      faults_.push_back(fmt::format("a break of {} at {}", degrees_text(other.face_break->max), at));
      const std::string cure = best ? break_cure(*best) : "change the depth";
      add_cure(cure);
      warn("face-break",
           fmt::format("the curve meets {} at {}, more than the {} wished for; {}", at,
                       degrees_text(other.face_break->max), degrees_text(job_.wishes.face_break), cure));
    }
    if (beyond(other.band, job_.wishes.band)) {
      faults_.push_back(fmt::format("a flat band of {} at the foot below", both_units(other.band->max)));
      const std::string cure = axis_at(at_least(op_.offset + other.band->max) + " or more");
      add_cure(cure);
      warn("band", fmt::format("the form leaves a flat band {} wide at its foot on the side of {}; {}",
                               both_units(other.band->max), at, cure));
    }
    if (beyond(other.wall_break, job_.wishes.wall_break + edge_.own_wall_break)) {
      faults_.push_back(fmt::format("a break of {} at the wall, on the side of {}",
                                    degrees_text(other.wall_break->max), at));
      add_cure("bring the axis nearer to the line");
    }
  }

  void folded() {
    if (edge_.overcut && edge_.overcut->max > kShows) {
      const double by = edge_.overcut->max;
      faults_.push_back(fmt::format("the part ending {} short of its line", both_units(by)));
      const std::string cure = axis_at(at_least(op_.offset + by) + " or more");
      add_cure(cure);
      warn("cuts-past-line",
           fmt::format("the cuts leave the part {} short of the contour's line; {}", both_units(by), cure));
    }
    if (edge_.mismatch && edge_.other && edge_.mismatch->max > 2 * job_.wishes.lip + kNoise) {
      const double by = edge_.mismatch->max;
      const auto best = depth_for_undercut();
      warn("mismatch",
           fmt::format("the nose lies {} off the middle of the sheet: one half is {} higher than the other{}",
                       both_units(by / 2), both_units(by),
                       best ? fmt::format("; set depth to {}", both_units(*best)) : ""));
    }
  }

  void add_cure(const std::string& cure) { add(cure, cures_); }
  // What is more than a thing to set, and makes a sentence of its own.
  void add_remark(const std::string& remark) { add(remark, remarks_); }
  static void add(const std::string& text, std::vector<std::string>& to) {
    if (std::find(to.begin(), to.end(), text) == to.end()) to.push_back(text);
  }

  void wall() {
    if (!edge_.wall_break) return;
    const double over = edge_.wall_break->max - own_wall_break(wanted_);
    if (over <= job_.wishes.wall_break + kNoise) return;
    faults_.push_back(fmt::format("a break of {} at the wall", degrees_text(edge_.wall_break->max)));
    std::string cure = "bring the axis nearer to the line";
    bool settable = true;
    if (r_.is) {
      const double most = r_.c - r_.R * std::cos(job_.wishes.wall_break);
      const double least_break = std::asin(std::clamp(r_.h0 / r_.R, 0.0, 1.0));
      if (most >= r_.a)
        cure = axis_at(at_most(most) + " or less");
      else {
        settable = false;
        cure = fmt::format(
            "this bit's curve ends {} short of upright: take a bit that works {} deep or more, or allow the "
            "break",
            degrees_text(least_break), at_least(r_.R * (1 - std::sin(job_.wishes.wall_break))));
      }
    }
    settable ? add_cure(cure) : add_remark(cure);
    warn("wall-break",
         fmt::format("the curve meets the wall at {}, more than the {} wished for; {}",
                     degrees_text(edge_.wall_break->max), degrees_text(job_.wishes.wall_break), cure));
  }

  void foot() {
    if (edge_.stations.empty()) return;
    bool uncut = false, no_foot = false;
    for (const Station& s : edge_.stations) {
      if (s.kind != StationKind::edge) continue;
      uncut = uncut || !s.measures.cut;
      no_foot = no_foot || (s.measures.cut && !s.measures.foot_depth && s.measures.overcut == 0);
    }
    if (uncut) {
      faults_.push_back("places the bit does not cut at all");
      const std::string cure = "bring the axis nearer to the line or set a larger depth";
      add_cure(cure);
      warn("not-cut", fmt::format("along part of the contour the bit does not reach the part; {}", cure));
    }
    if (no_foot) {
      faults_.push_back("no foot on the wall");
      const std::string cure =
          r_.is ? axis_at(at_least(-r_.a) + " or more") : "move the axis out to the wall";
      add_cure(cure);
      warn("no-foot", fmt::format("the axis runs so far inside the part that the surface rises again toward "
                                  "the wall: there is no "
                                  "foot to measure; {}",
                                  cure));
    }
  }

  // A roundover's breaks hold its size. A form without such breaks meets every other wish even where the bit
  // has hardly touched the edge.
  void size() {
    if (r_.is || bit_.profile.undercut() || op_.kind != OperationKind::edge || !edge_.foot_depth) return;
    if (face_breaks()) return;
    const double deep = edge_.foot_depth->mean, short_by = wanted_.depth - deep;
    if (short_by <= kSizeAllowed * wanted_.depth) return;
    faults_.push_back(
        fmt::format("a form {} deep instead of {}", both_units(deep), both_units(wanted_.depth)));
    const std::string cure = fmt::format("set depth to {}", both_units(op_.depth + short_by));
    add_cure(cure);
    warn("form-small", fmt::format("the cut leaves {} of the form's depth of {}; {}", both_units(deep),
                                   both_units(wanted_.depth), cure));
  }

  void layers() {
    for (const std::string& name : job_.wishes.hidden)
      for (const Exposure& e : edge_.exposure) {
        if (e.layer != name || e.length.max <= kShows) continue;
        faults_.push_back(fmt::format("{} of the layer '{}' showing", both_units(e.length.max), name));
        const double over = edge_.foot_depth ? edge_.foot_depth->max - layer_top(name) : 0;
        const bool program = op_.kind == OperationKind::program;
        std::string cure =
            program ? "a shallower cut or a path further off the line" : "a smaller depth or a larger offset";
        cure = over > 0 ? fmt::format("raise the foot by {} with {}", both_units(over), cure)
                        : (program ? "write " : "set ") + cure;
        add_cure(cure);
        warn("hidden-layer-shows",
             fmt::format("the layer '{}', wished hidden, shows {} along the moulded surface; {}", name,
                         both_units(e.length.max), cure));
      }
  }

  void reach() {
    double off = 0;
    for (const Station& s : edge_.stations)
      if (s.point.x < -kShows || s.point.y < -kShows || s.point.x > job_.stock.width + kShows ||
          s.point.y > job_.stock.height + kShows)
        off += s.weight;
    if (off > 0)
      warn(
          "off-the-sheet",
          fmt::format(
              "{} of the contour lies beyond the sheet, where there is nothing to cut, and is measured as if "
              "there were: check its place, its size and the drawing's units",
              both_units(off)));
    double unreached = 0;
    std::size_t places = 0;
    for (const Unreached& u : edge_.unreached) {
      unreached += u.length;
      places += u.length > 0 ? 1 : 0;
    }
    if (unreached > 0) {
      warn("unreached",
           fmt::format(
               "{} of the contour, in {} place{}, lies in corners too tight for the path {} off the line: "
               "round the corners more than that, or finish them by hand",
               both_units(unreached), places, places == 1 ? "" : "s", both_units(op_.offset)));
    }
    if (edge_.web > 0) {
      faults_.push_back(fmt::format("no flat face left between two edges along {}", both_units(edge_.web)));
      const std::string cure = "set a smaller depth, take a smaller form, or make the part wider there";
      add_cure(cure);
      warn("web", fmt::format("along {} the part is narrower than its edges' forms together: no flat face is "
                              "left between them; {}",
                              both_units(edge_.web), cure));
    }
    if (bit_.cutting_length && op_.kind == OperationKind::edge && op_.depth > *bit_.cutting_length + kNoise)
      warn("cutting-length",
           fmt::format(
               "the pass runs {} deep, the bit cuts {} of its length: the narrower shank clears the wall, "
               "but nothing cuts there; set depth to {} or less",
               both_units(op_.depth), both_units(*bit_.cutting_length), both_units(*bit_.cutting_length)));
    bool beyond = false;
    std::string by;
    for (const Station& s : edge_.stations) {
      const auto owner = s.measures.wall_operation;
      if (s.kind != StationKind::edge || owner < 0 || owner == static_cast<std::int32_t>(edge_.operation))
        continue;
      const OperationKind kind = job_.operations[static_cast<std::size_t>(owner)].kind;
      if (kind == OperationKind::edge) continue;
      beyond = true;
      by = job_.operations[static_cast<std::size_t>(owner)].name;
    }
    if (beyond)
      warn("cuts-into-part",
           fmt::format("'{}' cuts past this contour's line into the part; move its path off the line", by));
  }

  double layer_top(const std::string& name) const {
    double z = 0;
    for (const Layer& l : job_.stock.layers) {
      if (l.name == name) return edge_.face == Face::top ? z : job_.stock.thickness() - z - l.thickness;
      z += l.thickness;
    }
    return z;
  }

  const Job& job_;
  const WantedForm& wanted_;
  EdgeMeasures& edge_;
  std::vector<Warning>& warnings_;
  const Operation& op_;
  const Bit& bit_;
  RoundoverSetting r_;
  std::string at_face_;
  std::vector<std::string> faults_, cures_, remarks_;
};

// The job's verdict after its edges'.
void judge_again(const Job& job, Measures& measures) {
  const std::string also = measures.verdict.also;
  measures.verdict = judge_all(job, measures.edges);
  measures.verdict.also = also;
  if (also.empty()) return;
  measures.verdict.text = measures.verdict.good ? also : measures.verdict.text + ". " + also;
  measures.verdict.good = false;
}

}  // namespace

std::optional<double> depth_of_undercut(const Bit& bit, const Stock& stock) {
  const double thickness = stock.thickness();
  if (bit.faces == FormFaces::both) return thickness / 2 + bit.working_depth / 2;
  if (bit.faces == FormFaces::bottom) return thickness + bit.working_depth - bit.nominal_radius;
  return std::nullopt;
}

void set_mend(const Job& job, std::size_t edge, const std::string& mend, Measures& measures) {
  Verdict& v = measures.edges.at(edge).verdict;
  if (v.wrong.empty()) return;
  v.mend = mend;
  compose(v);
  judge_again(job, measures);
}

double own_face_break(const WantedForm& wanted) {
  for (auto it = wanted.curve.rbegin(); it != wanted.curve.rend(); ++it) {
    if (std::abs(it->b.x - it->a.x) < 1e-9) continue;
    const Vec2 t = it->tangent(it->length());
    return std::max(0.0, std::atan2(t.y, t.x));
  }
  return 0;
}
bool leaves_arris(double own_face_break) { return own_face_break > std::numbers::pi / 2 - 1e-3; }

double own_wall_break(const WantedForm& wanted) {
  for (const Segment& s : wanted.curve) {
    const Vec2 t = s.tangent(0);
    if (std::abs(s.b.y - s.a.y) < 1e-9) continue;
    return std::max(0.0, std::numbers::pi / 2 - std::atan2(t.y, t.x));
  }
  return 0;
}

void judge_edge(const Job& job, const WantedForm& wanted, EdgeMeasures& edge,
                std::vector<Warning>& warnings) {
  // A half round that does not fit its sheet has no break of its own: a fitting one would leave none.
  const Operation& op = job.operations[edge.operation];
  edge.own_face_break = edge.other && !op.wanted ? 0 : own_face_break(wanted);
  edge.own_wall_break = own_wall_break(wanted);
  Judge(job, wanted, edge, warnings).run();
}

void judge_programs(const Job& job, std::vector<Warning> found, Measures& measures) {
  std::vector<std::string> spoiled;
  for (const Warning& w : found) {
    if (w.code != "rapid-through-material") continue;
    const std::string text = fmt::format(
        "line {} of '{}' drives a rapid through the material, which is not in "
        "these measures: mend the program",
        w.source.line, job.operations[static_cast<std::size_t>(w.operation)].name);
    bool told = false;
    for (EdgeMeasures& e : measures.edges) {
      if (static_cast<int>(e.operation) != w.operation) continue;
      e.verdict.also += (e.verdict.also.empty() ? "" : "; ") + text;
      e.verdict.good = false;
      compose(e.verdict);
      told = true;
    }
    if (!told) spoiled.push_back(text);
  }
  for (const std::string& text : spoiled)
    measures.verdict.also += (measures.verdict.also.empty() ? "" : ". ") + text;
  judge_again(job, measures);
  for (Warning& w : found) measures.warnings.push_back(std::move(w));
}

Verdict judge_all(const Job& job, const std::vector<EdgeMeasures>& edges) {
  std::vector<std::string> bad;
  for (const EdgeMeasures& e : edges)
    if (!e.verdict.good)
      bad.push_back(fmt::format("{}: {}", job.operations[e.operation].name, e.verdict.text));
  if (edges.empty()) return {true, "no edge operation to judge"};
  if (bad.empty())
    return {true, edges.size() == 1 ? "the edge is within every wish" : "every edge is within every wish"};
  std::string text;
  for (std::size_t i = 0; i < bad.size(); ++i) text += (i > 0 ? ". " : "") + bad[i];
  return {false, text};
}

}  // namespace ovolo
