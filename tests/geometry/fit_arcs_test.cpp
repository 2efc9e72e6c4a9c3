#include "sim/geometry/fit_arcs.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <numbers>
#include <random>

using namespace ovolo;

namespace {

constexpr double kTolerance = 0.001;
constexpr double kPi = std::numbers::pi;

double to_chain(const std::vector<Segment>& chain, Vec2 p) {
  double best = 1e300;
  for (const Segment& s : chain) best = std::min(best, s.distance(p));
  return best;
}

/// Largest distance of the curve's points from the chain and of the chain's points from the curve's polyline.
template <class Point>
double apart(const std::vector<Segment>& chain, const Point& point, int samples) {
  double worst = 0;
  std::vector<Segment> polyline;
  for (int i = 0; i <= samples; ++i) {
    const Vec2 p = point(static_cast<double>(i) / samples);
    worst = std::max(worst, to_chain(chain, p));
    if (i > 0) polyline.push_back(Segment::line(point(static_cast<double>(i - 1) / samples), p));
  }
  for (const Segment& s : chain)
    for (int i = 0; i <= 5; ++i) worst = std::max(worst, to_chain(polyline, s.point(s.length() * i / 5)));
  return worst;
}

Vec2 cubic(const std::vector<Vec2>& p, double t) {
  const double u = 1 - t;
  return u * u * u * p[0] + 3 * u * u * t * p[1] + 3 * u * t * t * p[2] + t * t * t * p[3];
}

void check_joined(const std::vector<Segment>& chain) {
  for (std::size_t i = 1; i < chain.size(); ++i) REQUIRE(chain[i - 1].b == chain[i].a);
}

double worst_corner(const std::vector<Segment>& chain) {
  double worst = 0;
  for (std::size_t i = 1; i < chain.size(); ++i) {
    const Vec2 a = chain[i - 1].tangent(chain[i - 1].length()), b = chain[i].tangent(0);
    worst = std::max(worst, std::abs(std::atan2(cross(a, b), dot(a, b))));
  }
  return worst;
}

}  // namespace

TEST_CASE("Beziers become arcs within the tolerance, joined and smooth") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> at(0, 100);
  std::size_t pieces = 0;
  for (int i = 0; i < 100; ++i) {
    std::vector<Vec2> p(4);
    for (Vec2& q : p) q = {at(random), at(random)};
    const std::vector<Segment> chain = fit_arcs(BezierCurve{p, {}}, kTolerance);
    CAPTURE(i, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y, p[3].x, p[3].y);
    check_joined(chain);
    REQUIRE(chain.front().a == p[0]);
    REQUIRE(chain.back().b == p[3]);
    REQUIRE(apart(
                chain, [&](double t) { return cubic(p, t); }, 4000) < kTolerance);
    pieces += chain.size();
  }
  // Pieces stay few: the error falls with the third power of a piece's length.
  CHECK(pieces / 100 < 150);
}

TEST_CASE("the joints of a fitted Bezier keep its direction") {
  const std::vector<Segment> chain =
      fit_arcs(BezierCurve{{{0, 0}, {40, 10}, {60, 50}, {100, 40}}, {}}, kTolerance);
  CHECK(worst_corner(chain) < 1e-4);
}

TEST_CASE("a straight Bezier is one line, a cusp and a fold keep their point") {
  const std::vector<Segment> line =
      fit_arcs(BezierCurve{{{0, 0}, {10, 5}, {20, 10}, {40, 20}}, {}}, kTolerance);
  REQUIRE(line.size() == 1);
  CHECK_FALSE(line[0].is_arc());

  const std::vector<Vec2> cusp{{0, 0}, {100, 100}, {0, 100}, {100, 0}};  // its point at (50, 75), t 1/2
  const std::vector<Segment> chain = fit_arcs(BezierCurve{cusp, {}}, kTolerance);
  check_joined(chain);
  CHECK(apart(
            chain, [&](double t) { return cubic(cusp, t); }, 4000) < kTolerance);
  CHECK(to_chain(chain, {50, 75}) < kTolerance);

  // Out to x = 30 and back along the same line: 3 * 80 * t (1 - t)^2 ... has its turning point off the ends.
  const std::vector<Vec2> fold{{0, 0}, {40, 0}, {40, 0}, {0, 0}};
  const std::vector<Segment> there_and_back = fit_arcs(BezierCurve{fold, {}}, kTolerance);
  double reach = 0;
  for (const Segment& s : there_and_back) reach = std::max(reach, s.b.x);
  CHECK(reach == Approx(30).margin(kTolerance));
}

TEST_CASE("a Bezier whose handles lie on its ends is followed") {
  for (const std::vector<Vec2>& p :
       {std::vector<Vec2>{{0, 0}, {0, 0}, {30, 40}, {80, 0}}, {{0, 0}, {20, 50}, {80, 0}, {80, 0}}}) {
    const std::vector<Segment> chain = fit_arcs(BezierCurve{p, {}}, kTolerance);
    CHECK(apart(
              chain, [&](double t) { return cubic(p, t); }, 4000) < kTolerance);
    CHECK(chain.size() < 100);
  }
  CHECK(fit_arcs(BezierCurve{{{3, 3}, {3, 3}, {3, 3}, {3, 3}}, {}}, kTolerance).empty());
}

TEST_CASE("ellipses are followed, circles stay one true arc") {
  for (const double ratio : {0.9, 0.5, 0.1, 0.01}) {
    const EllipseArc ellipse{{10, 20}, {60, 0}, {0, 60 * ratio}, 0.3, 2 * kPi};
    const std::vector<Segment> chain = fit_arcs(ellipse, kTolerance);
    CAPTURE(ratio, chain.size());
    check_joined(chain);
    CHECK(chain.front().a == chain.back().b);
    CHECK(apart(
              chain, [&](double t) { return ellipse.point(0.3 + t * 2 * kPi); }, 8000) < kTolerance);
    CHECK(chain.size() < 200);
  }
  // A circle seen through a rotation and a mirror: conjugate half diameters of equal length.
  const EllipseArc circle{{5, 5}, {3, 4}, {4, -3}, 0.2, 1.5};
  const std::vector<Segment> arc = fit_arcs(circle, kTolerance);
  REQUIRE(arc.size() == 1);
  CHECK(arc[0].radius == Approx(5).epsilon(1e-14));
  CHECK(arc[0].sweep == Approx(-1.5));
  CHECK(distance(arc[0].point(arc[0].length() / 2), circle.point(0.95)) < 1e-12);
}

TEST_CASE("a conic drawn as a rational spline is a true circle") {
  // The full circle of radius 2 of nine control points (Piegl and Tiller, The NURBS Book, example 7.2).
  const double w = std::sqrt(0.5);
  const SplineCurve circle{2,
                           {0, 0, 0, 0.25, 0.25, 0.5, 0.5, 0.75, 0.75, 1, 1, 1},
                           {{2, 0}, {2, 2}, {0, 2}, {-2, 2}, {-2, 0}, {-2, -2}, {0, -2}, {2, -2}, {2, 0}},
                           {1, w, 1, w, 1, w, 1, w, 1}};
  const std::vector<Segment> chain = fit_arcs(circle, kTolerance);
  REQUIRE(chain.size() == 1);
  CHECK(chain[0].radius == Approx(2).margin(1e-9));
  CHECK(chain[0].sweep == Approx(2 * kPi));
}

TEST_CASE("a spline's Bezier pieces are the spline") {
  const SplineCurve curve{3,
                          {0, 0, 0, 0, 1, 2.5, 2.5, 4, 4, 4, 4},
                          {{0, 0}, {10, 30}, {25, -10}, {40, 20}, {60, 5}, {70, 30}, {90, 0}},
                          {}};
  const std::vector<BezierCurve> pieces = bezier_pieces(curve);
  REQUIRE(pieces.size() == 3);
  // Cox and de Boor's recursion, from its definition.
  const auto basis = [&](auto&& self, std::size_t i, int p, double t) -> double {
    const std::vector<double>& k = curve.knots;
    if (p == 0) return k[i] <= t && t < k[i + 1] ? 1 : 0;
    const std::size_t q = static_cast<std::size_t>(p);
    double sum = 0;
    if (k[i + q] > k[i]) sum += (t - k[i]) / (k[i + q] - k[i]) * self(self, i, p - 1, t);
    if (k[i + q + 1] > k[i + 1])
      sum += (k[i + q + 1] - t) / (k[i + q + 1] - k[i + 1]) * self(self, i + 1, p - 1, t);
    return sum;
  };
  const double spans[3][2] = {{0, 1}, {1, 2.5}, {2.5, 4}};
  for (std::size_t s = 0; s < 3; ++s)
    for (const double f : {0.0, 0.2, 0.7, 0.999}) {
      const double t = spans[s][0] + f * (spans[s][1] - spans[s][0]);
      Vec2 want;
      for (std::size_t i = 0; i < curve.points.size(); ++i)
        want = want + basis(basis, i, 3, t) * curve.points[i];
      CHECK(distance(cubic(pieces[s].points, f), want) < 1e-10);
    }
  const std::vector<Segment> chain = fit_arcs(curve, kTolerance);
  check_joined(chain);
  CHECK(chain.front().a == Vec2{0, 0});
  CHECK(distance(chain.back().b, {90, 0}) < 1e-12);
  for (std::size_t s = 0; s < 3; ++s)
    for (int i = 0; i <= 500; ++i) REQUIRE(to_chain(chain, cubic(pieces[s].points, i / 500.0)) < kTolerance);
}

TEST_CASE("malformed curves are refused with the reason") {
  CHECK_THROWS_WITH(
      fit_arcs(SplineCurve{3, {0, 0, 0, 1, 1}, {{0, 0}, {1, 1}, {2, 0}, {3, 3}}, {}}, kTolerance),
      Catch::Contains("needs 8 knots, not 5"));
  CHECK_THROWS_WITH(fit_arcs(SplineCurve{1, {0, 0, 2, 1}, {{0, 0}, {1, 1}}, {}}, kTolerance),
                    Catch::Contains("must not fall"));
  CHECK_THROWS_WITH(fit_arcs(SplineCurve{1, {0, 0, 0, 0}, {{0, 0}, {1, 1}}, {}}, kTolerance),
                    Catch::Contains("no length"));
  CHECK_THROWS_WITH(fit_arcs(BezierCurve{{{0, 0}, {std::nan(""), 1}, {2, 2}}, {}}, kTolerance),
                    Catch::Contains("not a number"));
  CHECK_THROWS_WITH(fit_arcs(BezierCurve{{{0, 0}, {1, 1}}, {1, 0}}, kTolerance), Catch::Contains("weight"));
  CHECK_THROWS_AS(fit_arcs(EllipseArc{{0, 0}, {1, 0}, {0, 2}, 0, 7}, kTolerance), std::invalid_argument);
  CHECK_THROWS_AS(fit_arcs(BezierCurve{{{0, 0}, {1, 1}}, {}}, 0), std::invalid_argument);
}

TEST_CASE("neighbours on one line or circle become one piece") {
  std::vector<Segment> chain{Segment::line({0, 0}, {1, 0}), Segment::line({1, 0}, {3, 0}),
                             Segment::arc({3, 2}, 2, -kPi / 2, kPi / 3),
                             Segment::arc({3, 2}, 2, -kPi / 6, kPi / 6)};
  chain[3] = Segment::arc_between(chain[2].b, chain[3].b, {3, 2}, true);
  merge_pieces(chain, 1e-6);
  REQUIRE(chain.size() == 2);
  CHECK(chain[0].b == Vec2{3, 0});
  CHECK(chain[1].sweep == Approx(kPi / 2));
  std::vector<Segment> back{Segment::line({0, 0}, {3, 0}), Segment::line({3, 0}, {1, 0})};
  merge_pieces(back, 1e-6);
  CHECK(back.size() == 2);
}
