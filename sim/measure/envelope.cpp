#include "sim/measure/envelope.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/measure/curve_points.hpp"

namespace ovolo {
namespace {

constexpr double kPoint = 1e-9;   // mm, places nearer than this are one
constexpr double kEqual = 1e-10;  // mm, heights nearer than this are one
constexpr double kDip = 8;  // how many bends of its samples a gap may be wide and still close between them
constexpr double kWall = 1e-3;  // mm, what stands nearer to the wall is the wall's

}  // namespace

double Envelope::height(const Atom& atom, double u) const {
  if (atom.piece == -2) return 0;
  const Feature& f = (*features_)[atom.feature];
  if (atom.piece == -1) return heights_->sloped(f.move, u);
  const Profile::Piece& piece = f.profile->pieces()[static_cast<std::size_t>(atom.piece)];
  const double r = std::clamp(f.distance(u), piece.r0, piece.r1);
  return f.z + piece.height(r) + (atom.exact ? 0 : heights_->shift(f.move, u));
}

void Envelope::split(const Feature& f, std::uint32_t id, double u_max) {
  cuts_.clear();
  cuts_.push_back(f.u0);
  cuts_.push_back(f.u1);
  if (f.kind == Feature::Kind::sloped) {
    constexpr int kParts = 32;  // so that pruning by end heights is safe
    for (int i = 1; i < kParts; ++i) cuts_.push_back(f.u0 + (f.u1 - f.u0) * i / kParts);
  } else {
    f.turns(cuts_);
    for (const Profile::Piece& piece : f.profile->pieces()) f.where(piece.r1, cuts_);
  }
  const double lo = std::max(0.0, f.u0), hi = std::min(u_max, f.u1);
  std::sort(cuts_.begin(), cuts_.end());
  double previous = lo;
  for (double cut : cuts_) {
    cut = std::clamp(cut, lo, hi);
    if (cut - previous <= kPoint) continue;
    Atom atom{previous, cut, 0, 0, id, -1, false};
    previous = cut;
    if (f.kind != Feature::Kind::sloped) {
      atom.piece = f.profile->piece_at(f.distance((atom.u0 + atom.u1) / 2));
      if (atom.piece < 0) continue;
      const Profile::Piece& piece = f.profile->pieces()[static_cast<std::size_t>(atom.piece)];
      const bool level = piece.h0 == piece.h1;
      const bool linear = f.kind == Feature::Kind::linear;
      const bool line = piece.side == 0;
      atom.exact = !heights_->shifted(f.move) &&
                   (level || f.kind == Feature::Kind::zero || (linear && (line || std::abs(f.q) == 1)));
    }
    atom.g0 = height(atom, atom.u0);
    atom.g1 = height(atom, atom.u1);
    if (std::isfinite(atom.g0) && std::isfinite(atom.g1)) atoms_.push_back(atom);
  }
}

void Envelope::add_crossings(const Atom& a, const Atom& b, double u0, double u1) {
  constexpr int kSamples = 12;
  const auto d = [&](double u) { return height(a, u) - height(b, u); };
  double us[kSamples + 1], ds[kSamples + 1];
  for (int i = 0; i <= kSamples; ++i) {
    us[i] = u0 + (u1 - u0) * i / kSamples;
    ds[i] = d(us[i]);
  }
  for (int i = 0; i < kSamples; ++i)
    if ((ds[i] < 0) != (ds[i + 1] < 0)) inner_.push_back(bisect(d, us[i], us[i + 1], ds[i]));
  // Two crossings may hide between samples where the gap is narrowest.
  for (int i = 1; i < kSamples; ++i) {
    const double here = std::abs(ds[i]), before = std::abs(ds[i - 1]), after = std::abs(ds[i + 1]);
    if (here > before || here > after || here < kEqual) continue;
    if ((ds[i] < 0) != (ds[i - 1] < 0) || (ds[i] < 0) != (ds[i + 1] < 0)) continue;
    // A parabola through the three dips below the middle one by an eighth of their bend at most.
    if (here > kDip * (before + after - 2 * here)) continue;
    double lo = us[i - 1], hi = us[i + 1];
    for (int k = 0; k < 60 && hi - lo > kPoint; ++k) {
      const double m1 = lo + (hi - lo) / 3, m2 = hi - (hi - lo) / 3;
      const double f1 = d(m1);
      if ((f1 < 0) != (ds[i] < 0)) {
        inner_.push_back(bisect(d, us[i - 1], m1, ds[i - 1]));
        inner_.push_back(bisect(d, m1, us[i + 1], f1));
        break;
      }
      if (std::abs(f1) < std::abs(d(m2)))
        hi = m2;
      else
        lo = m1;
    }
  }
}

// Runs of the lowest atom between two neighbouring marks; every active atom is smooth and monotone there.
void Envelope::lowest_between(double u0, double u1) {
  double bound = 0;
  for (const Atom* a : active_) bound = std::min(bound, std::max(height(*a, u0), height(*a, u1)));
  kept_.clear();
  for (const Atom* a : active_)
    if (std::min(height(*a, u0), height(*a, u1)) <= bound + kEqual) kept_.push_back(a);
  if (bound >= 0) kept_.push_back(&face_);
  inner_.clear();
  inner_.push_back(u0);
  inner_.push_back(u1);
  if (bound < 0) {
    // The face can still be lowest where all others rise above it.
    double highest = std::numeric_limits<double>::infinity();
    for (const Atom* a : kept_) highest = std::min(highest, std::max(height(*a, u0), height(*a, u1)));
    if (highest > -kEqual) kept_.push_back(&face_);
  }
  for (std::size_t i = 0; i < kept_.size(); ++i)
    for (std::size_t k = i + 1; k < kept_.size(); ++k) add_crossings(*kept_[i], *kept_[k], u0, u1);
  std::sort(inner_.begin(), inner_.end());
  for (std::size_t i = 0; i + 1 < inner_.size(); ++i) {
    if (inner_[i + 1] - inner_[i] <= kPoint) {
      if (i + 2 < inner_.size()) inner_[i + 1] = inner_[i];
      continue;
    }
    const double middle = (inner_[i] + inner_[i + 1]) / 2;
    const Atom* best = nullptr;
    double lowest = std::numeric_limits<double>::infinity();
    for (const Atom* a : kept_) {
      const double h = height(*a, middle);
      if (h < lowest - kEqual || best == nullptr) {
        lowest = h;
        best = a;
      }
    }
    runs_.push_back({inner_[i], inner_[i + 1], best});
  }
}

bool Envelope::same_curve(const Atom& a, const Atom& b, double u0, double u1) const {
  if (&a == &b) return true;
  if (a.piece != b.piece || a.exact != b.exact || a.piece < 0) return false;
  const Feature &fa = (*features_)[a.feature], &fb = (*features_)[b.feature];
  if (fa.profile != fb.profile || !a.exact || fa.kind != fb.kind || std::abs(fa.z - fb.z) > kEqual)
    return false;
  if (fa.kind == Feature::Kind::zero) return true;
  const double r0 = fa.p + fa.q * u0, r1 = fa.p + fa.q * u1, s0 = fb.p + fb.q * u0, s1 = fb.p + fb.q * u1;
  return std::abs(std::abs(r0) - std::abs(s0)) < kPoint && std::abs(std::abs(r1) - std::abs(s1)) < kPoint;
}

SectionPiece Envelope::shape(const Run& run, double u0, double u1) const {
  const Atom& atom = *run.atom;
  SectionPiece out;
  const Vec2 a{u0, height(atom, u0)}, b{u1, height(atom, u1)};
  if (atom.piece == -2) {
    out.shape = Segment::line(a, b);
    return out;
  }
  const Feature& f = (*features_)[atom.feature];
  out.face = SectionFace::cut;
  out.move = static_cast<std::int32_t>(f.move);
  if (atom.piece >= 0) {
    const Profile::Piece& piece = f.profile->pieces()[static_cast<std::size_t>(atom.piece)];
    out.floor = f.kind == Feature::Kind::zero || piece.h0 == piece.h1;
  }
  if (atom.exact) {
    const Profile::Piece& piece = f.profile->pieces()[static_cast<std::size_t>(atom.piece)];
    if (piece.side == 0 || f.kind == Feature::Kind::zero) {
      out.shape = Segment::line(a, b);
      return out;
    }
    const double sign = f.p + f.q * (u0 + u1) / 2 < 0 ? -1 : 1;
    const double alpha = sign * f.p, beta = sign * f.q;  // r = alpha + beta u, beta = +-1
    const Vec2 centre{beta * (piece.curve.centre.x - alpha), f.z + piece.curve.centre.y};
    out.kind = SectionPiece::Kind::arc;
    out.shape = Segment::arc_between(a, b, centre, piece.side < 0);
    out.shape.radius = piece.curve.radius;
    return out;
  }
  out.kind = SectionPiece::Kind::curve;
  out.shape = Segment::line(a, b);
  const auto slope = [&](double at, double step) {  // one-sided, second order
    return (-3 * height(atom, at) + 4 * height(atom, at + step) - height(atom, at + 2 * step)) / (2 * step);
  };
  const double step = std::min(1e-3, (u1 - u0) / 4);
  out.start_slope = slope(u0, step);
  out.end_slope = slope(u1, -step);
  out.points.push_back(a);
  sample([&](double u) { return height(atom, u); }, a, b, 14, out.points);
  return out;
}

std::vector<SectionPiece> Envelope::solve(const std::vector<Feature>& features, const SlopedHeights& heights,
                                          double u_max) {
  features_ = &features;
  heights_ = &heights;
  atoms_.clear();
  runs_.clear();
  face_ = {0, u_max, 0, 0, 0, -2, true};
  for (std::uint32_t i = 0; i < features.size(); ++i) split(features[i], i, u_max);
  std::sort(atoms_.begin(), atoms_.end(),
            [](const Atom& a, const Atom& b) { return a.u0 != b.u0 ? a.u0 < b.u0 : a.feature < b.feature; });

  marks_.clear();
  marks_.push_back(0);
  marks_.push_back(std::min(kWall, u_max));
  marks_.push_back(u_max);
  for (const Atom& a : atoms_)
    for (const double u : {a.u0, a.u1})
      if (u > 0 && u < u_max) marks_.push_back(u);
  std::sort(marks_.begin(), marks_.end());
  marks_.erase(std::unique(marks_.begin(), marks_.end(), [](double a, double b) { return b - a <= kPoint; }),
               marks_.end());

  std::size_t next = 0;
  active_.clear();
  for (std::size_t i = 0; i + 1 < marks_.size(); ++i) {
    const double u0 = marks_[i], u1 = marks_[i + 1];
    while (next < atoms_.size() && atoms_[next].u0 <= u0 + 2 * kPoint) active_.push_back(&atoms_[next++]);
    std::erase_if(active_, [&](const Atom* a) { return a->u1 < u1 - 2 * kPoint; });
    std::sort(active_.begin(), active_.end(),
              [](const Atom* a, const Atom* b) { return a->feature < b->feature; });
    lowest_between(u0, u1);
  }

  const auto profile_of = [&](const Run& run) {
    return run.atom->piece == -2 ? nullptr : features[run.atom->feature].profile;
  };
  // What another bit left within the first micrometre is the wall's own line, a rounding's width off.
  std::size_t begin = 0;
  while (begin + 1 < runs_.size() && runs_[begin].u1 < kWall + kPoint) ++begin;
  const Run at_wall = runs_[begin];
  while (begin > 0 && profile_of(runs_[begin - 1]) == profile_of(at_wall)) --begin;

  std::vector<SectionPiece> pieces;
  for (std::size_t i = begin; i < runs_.size();) {
    std::size_t k = i + 1;
    while (k < runs_.size() && same_curve(*runs_[i].atom, *runs_[k].atom, runs_[k].u0, runs_[k].u1)) ++k;
    SectionPiece piece = shape(runs_[i], runs_[i].u0, runs_[k - 1].u1);
    if (i == begin && runs_[i].u0 > 0) {  // carried on to the wall
      const Vec2 from{0, runs_[i].atom->u0 <= kPoint ? height(*runs_[i].atom, 0) : piece.start().y};
      if (piece.level()) {
        piece.shape.a = from;
      } else {
        SectionPiece rest = piece;
        rest.kind = SectionPiece::Kind::line;
        rest.points.clear();
        rest.shape = Segment::line(from, piece.start());
        pieces.push_back(rest);
      }
    }
    i = k;
    if (!pieces.empty()) {
      const Vec2 from = pieces.back().end(), to = piece.start();
      if (std::abs(from.y - to.y) > kPoint) {
        SectionPiece wall = from.y < to.y ? pieces.back() : piece;  // the wall belongs to the cut below it
        wall.kind = SectionPiece::Kind::line;
        wall.floor = false;
        wall.points.clear();
        wall.shape = Segment::line(from, {from.x, to.y});
        pieces.push_back(wall);
      }
    }
    pieces.push_back(std::move(piece));
  }
  return pieces;
}

}  // namespace ovolo
