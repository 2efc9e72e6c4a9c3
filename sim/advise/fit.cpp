#include "sim/advise/fit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/advise/chi_square.hpp"
#include "sim/advise/least_squares.hpp"
#include "sim/bit/forms.hpp"
#include "sim/error.hpp"
#include "sim/measure/edge.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr double kDoubtful = 0.01;  // a chance below which readings contradict each other
constexpr double kAgree = 0.05;     // and above which they agree
constexpr double kAlike = 0.8;      // a correlation above which two unknowns are not told apart
constexpr double kUseful = 0.75;    // a further reading must shrink an error to this part of it

// Where each unknown stands among the unknowns: W, a, then Z and the axis of each set-up, then the colour
// line.
struct Layout {
  std::vector<int> set_ups;
  bool line = false;
  std::size_t z(std::size_t set_up) const { return 2 + 2 * set_up; }
  std::size_t axis(std::size_t set_up) const { return 3 + 2 * set_up; }
  std::size_t line_at() const { return 2 + 2 * set_ups.size(); }
  std::size_t size() const { return line_at() + (line ? 1 : 0); }
  std::size_t index_of(int set_up) const {
    return static_cast<std::size_t>(std::find(set_ups.begin(), set_ups.end(), set_up) - set_ups.begin());
  }
};

// One row of the fit: a reading of a cut, a reading of the bit, or what is known beforehand.
struct Row {
  int cut = -1;
  CutRead what = CutRead::lip;
  enum class Kind { cut, depth, tip, diameter, z, axis, line, guess } kind = Kind::cut;
  std::size_t unknown = 0;
  double value = 0, error = 1;
};

class Model {
 public:
  Model(const FitKnown& known, const Layout& layout) : known_(known), layout_(layout) {
    stock_.layers = {{"all", 1e3, {}}};
  }

  double run(double W) const {
    const double h0 = known_.bit.radius - W;
    return std::sqrt(std::max(0.0, known_.bit.radius * known_.bit.radius - h0 * h0));
  }
  Roundover bit(const std::vector<double>& x) const {
    Roundover b;
    b.radius = known_.bit.radius;
    b.working_depth = x[0];
    b.tip_radius = x[1];
    b.cutting_radius = x[1] + run(x[0]);
    b.readings.radius = b.radius;
    return b;
  }

  // What a cut would show, by CutRead. Where a lip or band ends the value goes on below 0, so that the search
  // knows which way to go.
  std::array<double, kCutReads> shown(const std::vector<double>& x, const TestCut& cut) const {
    const std::size_t s = layout_.index_of(cut.set_up);
    const Roundover b = bit(x);
    const double depth = std::max(1e-3, cut.depth + x[layout_.z(s)]),
                 offset = cut.offset + x[layout_.axis(s)];
    const double line = layout_.line ? x[layout_.line_at()] : 0;
    const Profile profile = point_roundover(b, depth + 1);
    const Section section =
        SectionMaker::straight(profile, depth, offset, b.cutting_radius + std::abs(offset) + 1);
    SectionContext context;
    context.stock = &stock_;
    context.wanted = &no_form_;
    context.wishes = &wishes_;
    const SectionMeasures m = measure_section(section, context);
    const double lip = m.lip.value_or(0), band = m.band.value_or(0);
    return {lip > 0 ? lip : depth - b.working_depth,
            band > 0 ? band : b.tip_radius - offset,
            m.foot_depth.value_or(depth),
            m.round_width,
            line,
            width_at(section, -line)};
  }

 private:
  // Plan distance from the wall at which the surface is `z` high; below the foot as if the wall went on.
  static double width_at(const Section& section, double z) {
    for (const SectionPiece& piece : section.pieces) {
      const Vec2 a = piece.start(), b = piece.end();
      if (z > std::max(a.y, b.y) || z < std::min(a.y, b.y)) continue;
      if (piece.kind == SectionPiece::Kind::arc) {
        const double d = z - piece.shape.centre.y;
        return piece.shape.centre.x -
               std::sqrt(std::max(0.0, piece.shape.radius * piece.shape.radius - d * d));
      }
      const double t = b.y == a.y ? 0 : (z - a.y) / (b.y - a.y);
      return a.x + t * (b.x - a.x);
    }
    return section.pieces.empty() ? 0 : z - section.pieces.front().start().y;
  }

  const FitKnown& known_;
  const Layout& layout_;
  Stock stock_;
  WantedForm no_form_;
  Wishes wishes_;
};

std::string cut_text(const TestCut& cut, CutRead what) {
  return fmt::format("the {} of {}", name_of(what), cut.name.empty() ? "the cut" : cut.name);
}

void check(const FitKnown& known, const std::vector<TestCut>& cuts) {
  if (!(known.bit.radius > 0)) throw JobError("a fit needs the round's radius");
  std::size_t readings = 0;
  for (const TestCut& cut : cuts) {
    if (!(cut.depth > 0 && std::isfinite(cut.offset)))
      throw JobError(fmt::format("{} needs the depth and the offset it was cut with", cut.name));
    for (const CutReading& r : cut.readings) {
      ++readings;
      if (!(std::isfinite(r.value) && r.value >= 0 && r.error > 0))
        throw JobError(fmt::format("{} must be 0 or more, with an error above 0", cut_text(cut, r.what)));
    }
  }
  if (readings == 0)
    throw JobError("there is no reading of a test cut; give its lip, band, foot, width or line");
}

std::string unknown_name(const Layout& layout, std::size_t i) {
  if (i == 0) return "the working depth";
  if (i == 1) return "the tip flat";
  if (layout.line && i == layout.line_at()) return "the depth of the colour line";
  const std::size_t s = (i - 2) / 2;
  const std::string where = layout.set_ups.size() > 1 ? fmt::format(" of set-up {}", layout.set_ups[s]) : "";
  return ((i - 2) % 2 == 0 ? "the Z error" : "the axis's place") + where;
}

}  // namespace

const char* name_of(CutRead what) {
  switch (what) {
    case CutRead::lip:
      return "lip";
    case CutRead::band:
      return "band";
    case CutRead::foot_depth:
      return "foot";
    case CutRead::width:
      return "width";
    case CutRead::line_depth:
      return "line depth";
    case CutRead::line_width:
      return "line width";
  }
  return "";
}

namespace {

std::vector<Row> rows_of(const FitKnown& known, const std::vector<TestCut>& cuts, const Layout& layout) {
  std::vector<Row> rows;
  for (std::size_t i = 0; i < cuts.size(); ++i)
    for (const CutReading& r : cuts[i].readings)
      rows.push_back({static_cast<int>(i), r.what, Row::Kind::cut, 0, r.value, r.error});
  const double R = known.bit.radius;
  const auto e = [&](const std::optional<double>& own) {
    return std::max(own.value_or(known.bit.error), 1e-6);
  };
  if (known.bit.working_depth)
    rows.push_back({-1, {}, Row::Kind::depth, 0, *known.bit.working_depth, e(known.bit.working_depth_error)});
  else
    rows.push_back({-1, {}, Row::Kind::guess, 0, 0.7 * R, 0.25 * R});  // half to all of it, loosely
  if (known.bit.tip_flat)
    rows.push_back({-1, {}, Row::Kind::tip, 1, *known.bit.tip_flat / 2, e(known.bit.tip_flat_error) / 2});
  if (known.bit.cutting_diameter)
    rows.push_back({-1,
                    {},
                    Row::Kind::diameter,
                    0,
                    *known.bit.cutting_diameter / 2,
                    e(known.bit.cutting_diameter_error) / 2});
  else
    rows.push_back({-1, {}, Row::Kind::diameter, 0, R, std::max(known.centres, 1e-6) / 2});
  for (std::size_t s = 0; s < layout.set_ups.size(); ++s) {
    rows.push_back({-1, {}, Row::Kind::z, layout.z(s), 0, std::max(known.z, 1e-7)});
    rows.push_back({-1, {}, Row::Kind::axis, layout.axis(s), 0, std::max(known.xy, 1e-7)});
  }
  if (layout.line)
    rows.push_back({-1, {}, Row::Kind::line, layout.line_at(), known.line, std::max(known.line_error, 1e-7)});
  return rows;
}

// What each row would read.
std::vector<double> fitted(const std::vector<Row>& rows, const Model& model, const std::vector<TestCut>& cuts,
                           const std::vector<double>& x) {
  std::vector<std::array<double, kCutReads>> shown;
  for (const TestCut& cut : cuts) shown.push_back(model.shown(x, cut));
  std::vector<double> out;
  for (const Row& row : rows) {
    double value = x[row.unknown];
    if (row.kind == Row::Kind::diameter) value = x[1] + model.run(x[0]);
    if (row.kind == Row::Kind::cut) {
      value = shown[static_cast<std::size_t>(row.cut)][static_cast<std::size_t>(row.what)];
      // Nothing felt says only that there is nothing to feel.
      if (row.value <= 0) value = std::max(0.0, value);
    }
    out.push_back(value);
  }
  return out;
}

struct Solved {
  LeastSquares fit;
  std::vector<Row> rows;
  int freedom = 0;
  double chance = 1;
};

Solved solve(const FitKnown& known, const std::vector<TestCut>& cuts, const Layout& layout) {
  const Model model(known, layout);
  Solved out;
  out.rows = rows_of(known, cuts, layout);
  const double R = known.bit.radius;
  std::vector<double> start(layout.size(), 0);
  start[0] = known.bit.working_depth.value_or(0.7 * R);
  // A lip says at once how deep the bit works.
  if (!known.bit.working_depth)
    for (const TestCut& cut : cuts)
      for (const CutReading& r : cut.readings)
        if (r.what == CutRead::lip && r.value > 0) start[0] = std::clamp(cut.depth - r.value, 0.05 * R, R);
  start[1] = known.bit.tip_flat
                 ? *known.bit.tip_flat / 2
                 : std::max(0.0, (known.bit.cutting_diameter ? *known.bit.cutting_diameter / 2 : R) -
                                     model.run(start[0]));
  if (layout.line) start[layout.line_at()] = known.line;
  const auto bounded = [R](std::vector<double>& x) {
    x[0] = std::clamp(x[0], 1e-3 * R, R * (1 - 1e-9));
    x[1] = std::clamp(x[1], 0.0, R);
  };
  const auto residuals = [&](const std::vector<double>& x) {
    std::vector<double> r = fitted(out.rows, model, cuts, x);
    for (std::size_t i = 0; i < r.size(); ++i) r[i] = (r[i] - out.rows[i].value) / out.rows[i].error;
    return r;
  };
  out.fit = least_squares(residuals, start, 1e-5, bounded);
  out.freedom = static_cast<int>(out.rows.size()) - static_cast<int>(layout.size());
  for (const Row& row : out.rows)
    if (row.kind == Row::Kind::guess) --out.freedom;  // no reading, so no evidence
  out.chance = chi_square_tail(out.fit.sum, out.freedom);
  return out;
}

// Standard deviation of unknown `u` when one more reading with these slopes (per its error) is taken.
double error_with(const Matrix& covariance, std::size_t n, std::size_t u, const std::vector<double>& slopes) {
  double cu = 0, cc = 0;
  for (std::size_t a = 0; a < n; ++a) {
    cu += covariance[u * n + a] * slopes[a];
    for (std::size_t b = 0; b < n; ++b) cc += slopes[a] * covariance[a * n + b] * slopes[b];
  }
  return std::sqrt(std::max(0.0, covariance[u * n + u] - cu * cu / (1 + cc)));
}

// The further reading that would pin down an unknown best; empty when none helps.
std::string better_reading(const FitKnown& known, const std::vector<TestCut>& cuts, const Layout& layout,
                           const Solved& solved, std::size_t u) {
  const std::size_t n = layout.size();
  const Model model(known, layout);
  const std::vector<double>& x = solved.fit.at;
  const double now = std::sqrt(solved.fit.covariance[u * n + u]);
  double best = kUseful * now;
  std::string text;
  const auto consider = [&](const std::vector<double>& slopes, const std::string& what) {
    const double then = error_with(solved.fit.covariance, n, u, slopes);
    if (then >= best) return;
    best = then;
    text = fmt::format("{} read to {} would bring it from +-{} to +-{}", what, both_units(known.bit.error),
                       fine_units(1.96 * now), fine_units(1.96 * then));
  };
  const double e = std::max(known.bit.error, 1e-3);
  std::vector<double> slopes(n, 0);
  if (!known.bit.working_depth) {
    slopes.assign(n, 0);
    slopes[0] = 1 / e;
    consider(slopes, "the working depth on the bit itself");
  }
  if (!known.bit.tip_flat) {
    slopes.assign(n, 0);
    slopes[1] = 2 / e;
    consider(slopes, "the tip flat on the bit itself");
  }
  const auto slopes_of = [&](const TestCut& cut, CutRead what) {
    std::vector<double> out(n, 0);
    for (std::size_t a = 0; a < n; ++a) {
      std::vector<double> up = x, down = x;
      up[a] += 1e-5;
      down[a] -= 1e-5;
      up[0] = std::min(up[0], known.bit.radius);
      down[1] = std::max(down[1], 0.0);
      const double run = up[a] - down[a];
      const auto k = static_cast<std::size_t>(what);
      if (run > 0)
        out[a] =
            (std::max(0.0, model.shown(up, cut)[k]) - std::max(0.0, model.shown(down, cut)[k])) / run / e;
    }
    return out;
  };
  const auto readable = [&](CutRead what) {
    return (what != CutRead::line_depth && what != CutRead::line_width) || layout.line;
  };
  for (const TestCut& cut : cuts)
    for (int k = 0; k < kCutReads; ++k) {
      const auto what = static_cast<CutRead>(k);
      const bool read = std::any_of(cut.readings.begin(), cut.readings.end(),
                                    [what](const CutReading& r) { return r.what == what; });
      if (!read && readable(what)) consider(slopes_of(cut, what), cut_text(cut, what));
    }
  // A cut on purpose too deep and on the line shows lip and band at their plainest.
  TestCut deep;
  deep.name =
      fmt::format("a further cut in the same set-up, {} deep on the line", both_units(known.bit.radius));
  deep.depth = known.bit.radius;
  deep.offset = 0;
  deep.set_up = layout.set_ups.front();
  for (const CutRead what : {CutRead::lip, CutRead::band, CutRead::foot_depth})
    consider(slopes_of(deep, what), cut_text(deep, what));
  return text;
}

}  // namespace

Fit fit_cuts(const FitKnown& known, const std::vector<TestCut>& cuts) {
  check(known, cuts);
  Layout layout;
  for (const TestCut& cut : cuts) {
    if (std::find(layout.set_ups.begin(), layout.set_ups.end(), cut.set_up) == layout.set_ups.end())
      layout.set_ups.push_back(cut.set_up);
    for (const CutReading& r : cut.readings)
      layout.line = layout.line || r.what == CutRead::line_depth || r.what == CutRead::line_width;
  }
  if (layout.line && !(known.line > 0))
    throw JobError("a colour line was read, but the sheet has only one layer; give the layers' thicknesses");
  const Solved solved = solve(known, cuts, layout);
  const std::size_t n = layout.size();
  const auto& x = solved.fit.at;
  const Matrix& cov = solved.fit.covariance;
  if (cov.empty())
    throw JobError("these readings do not fix the bit; read its lip, or its working depth with a caliper");
  const auto error = [&](std::size_t i) { return std::sqrt(cov[i * n + i]); };
  const Model model(known, layout);

  Fit out;
  out.bit = model.bit(x);
  out.bit.working_depth_error = error(0);
  out.bit.tip_radius_error = error(1);
  out.working_depth = {x[0], error(0)};
  out.tip_flat = {2 * x[1], 2 * error(1)};
  out.set_ups = layout.set_ups;
  for (std::size_t s = 0; s < layout.set_ups.size(); ++s)
    out.z.push_back({x[layout.z(s)], error(layout.z(s))});
  if (layout.line) out.line = Estimate{x[layout.line_at()], error(layout.line_at())};
  out.depth_and_z = cov[0 * n + layout.z(0)] / (error(0) * error(layout.z(0)));
  out.chi_square = solved.fit.sum;
  out.freedom = solved.freedom;
  out.chance = solved.chance;

  for (std::size_t r = 0; r < solved.rows.size(); ++r) {
    const Row& row = solved.rows[r];
    const bool assumed = row.kind == Row::Kind::diameter && !known.bit.cutting_diameter;
    if (row.kind == Row::Kind::guess || row.kind == Row::Kind::z || row.kind == Row::Kind::axis || assumed)
      continue;
    double leverage = 0;
    for (std::size_t a = 0; a < n; ++a)
      for (std::size_t b = 0; b < n; ++b)
        leverage += solved.fit.slopes[r * n + a] * cov[a * n + b] * solved.fit.slopes[r * n + b];
    FitResidual res;
    res.cut = row.cut;
    const double across = row.kind == Row::Kind::tip || row.kind == Row::Kind::diameter ? 2 : 1;
    res.what = row.cut >= 0                      ? cut_text(cuts[static_cast<std::size_t>(row.cut)], row.what)
               : row.kind == Row::Kind::depth    ? "the working depth on the bit"
               : row.kind == Row::Kind::tip      ? "the tip flat on the bit"
               : row.kind == Row::Kind::diameter ? "the cutting diameter"
                                                 : "the sheet's face layer";
    res.read = across * row.value;
    res.fitted = across * (row.value + solved.fit.residuals[r] * row.error);
    res.off = -solved.fit.residuals[r] / std::sqrt(std::max(1e-6, 1 - leverage));
    out.residuals.push_back(res);
  }

  if (out.chance < kDoubtful) {
    // Which single reading, left out, lets the others agree?
    std::vector<std::string> culprits;
    for (std::size_t c = 0; c < cuts.size(); ++c)
      for (std::size_t r = 0; r < cuts[c].readings.size(); ++r) {
        std::vector<TestCut> fewer = cuts;
        fewer[c].readings.erase(fewer[c].readings.begin() + static_cast<std::ptrdiff_t>(r));
        const Solved without = solve(known, fewer, layout);
        if (without.chance > kAgree)
          culprits.push_back(fmt::format("{}, read as {},", cut_text(cuts[c], cuts[c].readings[r].what),
                                         fine_units(cuts[c].readings[r].value)));
      }
    FitKnown less = known;
    less.bit.working_depth.reset();
    if (known.bit.working_depth && solve(less, cuts, layout).chance > kAgree)
      culprits.push_back("the working depth on the bit");
    less = known;
    less.bit.tip_flat.reset();
    if (known.bit.tip_flat && solve(less, cuts, layout).chance > kAgree)
      culprits.push_back("the tip flat on the bit");
    const std::string head = fmt::format(
        "the readings contradict each other: so much disagreement has a chance {} by their errors",
        out.chance < 5e-4 ? "under 0.1 %" : fmt::format("of {:.1f} %", 100 * out.chance));
    if (culprits.empty())
      out.contradictions.push_back(
          head + "; no single reading explains it: check the settings, the radius and the reading errors");
    else
      out.contradictions.push_back(
          fmt::format("{}; leaving out {} the others agree: read {} again", head,
                      culprits.size() == 1 ? culprits[0] : "one of " + list_text(culprits),
                      culprits.size() == 1 ? "it" : "these"));
  }

  // As good as a caliper on the bit itself would be: then there is no doubt worth telling.
  const auto own_error = [&](std::size_t i) { return i == 0 ? known.bit.error : known.bit.error / 2; };
  for (std::size_t i = 0; i < 2; ++i)
    for (std::size_t k = i + 1; k < n; ++k) {
      const double correlation = cov[i * n + k] / (error(i) * error(k));
      if (std::abs(correlation) < kAlike || error(i) < 0.8 * own_error(i)) continue;
      std::string text = fmt::format(
          "{} and {} cannot be told apart: a larger one with a {} other leaves these readings as they are",
          unknown_name(layout, i), unknown_name(layout, k), correlation > 0 ? "larger" : "smaller");
      const std::string better = better_reading(known, cuts, layout, solved, i);
      if (!better.empty()) text += "; " + better;
      out.doubts.push_back(text);
    }
  for (const std::size_t u : {std::size_t{0}, std::size_t{1}}) {
    const double prior =
        u == 0 ? (known.bit.working_depth ? known.bit.working_depth_error.value_or(known.bit.error)
                                          : 0.25 * known.bit.radius)
               : (known.bit.tip_flat ? known.bit.tip_flat_error.value_or(known.bit.error) / 2
                                     : 0.25 * known.bit.radius);
    if (error(u) < 0.9 * prior || prior <= 0) continue;
    std::string text = fmt::format("these readings say nothing new about {}", unknown_name(layout, u));
    const std::string better = better_reading(known, cuts, layout, solved, u);
    if (!better.empty()) text += "; " + better;
    out.doubts.push_back(text);
  }
  return out;
}

}  // namespace ovolo
