// Random motions are written as programs in a random hand (units, distance modes, arc forms, offsets,
// expressions, case and blanks) and read back.
#include <fmt/format.h>
#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>
#include <random>

#include "tests/io/program/listing.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

class Writer {
 public:
  explicit Writer(unsigned seed) : random_(seed) {}

  /// A program of n motions; `want` is what it means.
  std::string write(int n, std::vector<io::TipMotion>& want) {
    text_ = chance(0.5) ? "%\n" : "\n";
    const bool percent = text_[0] == '%';
    line("G21 F100 G17 G90 G94 S1000 M3");
    for (int i = 0; i < n; ++i) {
      if (chance(0.1)) change_something();
      want.push_back(motion());
    }
    line(chance(0.5) ? "M2" : "M30");
    return text_ + (percent ? "%\nafter the end\n" : "after the end\n");
  }

 private:
  double within(double lo, double hi) { return std::uniform_real_distribution<double>(lo, hi)(random_); }
  bool chance(double p) { return within(0, 1) < p; }

  double unit() const { return inch_ ? 25.4 : 1.0; }
  double zero(std::size_t i) const { return origin_[i] + offset_[i]; }

  void change_something() {
    switch (static_cast<int>(within(0, 6))) {
      case 0:
        inch_ = !inch_;
        line(inch_ ? "G20" : "G21");
        break;
      case 1:
        incremental_ = !incremental_;
        line(incremental_ ? "G91" : "G90");
        break;
      case 2:
        plane_ = static_cast<io::Plane>(static_cast<int>(within(0, 3)));
        line(fmt::format("G{}", 17 + static_cast<int>(plane_)));
        break;
      case 3: {  // G92: where it stands gets other names
        std::string words = "G92";
        for (std::size_t i = 0; i < 3; ++i) {
          const double name = within(-5, 5);
          words += fmt::format(" {}{}", "XYZ"[i], number(name));
          offset_[i] = at_[i] - origin_[i] - name * unit();
        }
        line(words);
        break;
      }
      case 4: {
        const int system = 1 + static_cast<int>(within(0, 9));
        std::string words = fmt::format("G10 L2 P{}", system);
        for (std::size_t i = 0; i < 3; ++i) {
          const double name = within(-5, 5);
          words += fmt::format(" {}{}", "XYZ"[i], number(name));
          origin_[i] = name * unit();
        }
        line(words);
        const char* codes[] = {"G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"};
        line(codes[system - 1]);
        break;
      }
      default:
        inverse_ = !inverse_;
        line(inverse_ ? "G93" : "G94 F100");
        feed_ = 100 * unit();
    }
  }

  io::TipMotion motion() {
    io::TipMotion m;
    m.start = at_;
    m.rapid = chance(0.2);
    const bool arc = !m.rapid && chance(0.5);
    std::string words;
    double length = 0;
    if (!arc) {
      for (std::size_t i = 0; i < 3; ++i) m.end[i] = chance(0.3) ? at_[i] : within(-200, 200);
      if (m.end == at_) m.end[0] += 1;
      words = m.rapid ? "G0" : "G1";
      axis_words(words, m.end, {0, 1, 2});
      length = std::hypot(m.end[0] - at_[0], m.end[1] - at_[1], m.end[2] - at_[2]);
    } else {
      const io::PlaneAxes axes = io::axes_of(plane_);
      const Vec2 start = axes.in_plane(at_);
      const double radius = within(1, 50), sweep = (chance(0.5) ? 1 : -1) * within(0.05, 6.2);
      const Vec2 centre = start + radius * unit_vector(within(0, 6.28));
      const Vec2 from = start - centre;
      const Vec2 end = centre + Vec2{std::cos(sweep) * from.x - std::sin(sweep) * from.y,
                                     std::sin(sweep) * from.x + std::cos(sweep) * from.y};
      m.end = at_;
      axes.set(m.end, end);
      if (chance(0.3)) m.end[axes.c] += within(-20, 20);
      io::ProgramArc shape;
      shape.plane = plane_;
      shape.sweep = sweep;
      axes.set(shape.centre, centre);
      shape.centre[axes.c] = at_[axes.c];
      m.arc = shape;
      words = sweep < 0 ? "G2" : "G3";
      axis_words(words, m.end, {axes.a, axes.b, axes.c});
      // The radius form is too weak near a half and a whole turn to come back to 1 um.
      const bool steady = std::abs(std::abs(sweep) - std::numbers::pi) > 0.3 && std::abs(sweep) < 5.9;
      if (steady && chance(0.4)) {
        words +=
            fmt::format(" R{}", number((std::abs(sweep) > std::numbers::pi ? -radius : radius) / unit()));
      } else {
        words += fmt::format(" {}{}", "IJK"[axes.a], number((centre.x - start.x) / unit()));
        words += fmt::format(" {}{}", "IJK"[axes.b], number((centre.y - start.y) / unit()));
      }
      length = std::hypot(radius * sweep, m.end[axes.c] - at_[axes.c]);
    }
    if (!m.rapid) {
      if (inverse_) {
        m.feed = length * 3;
        words += " F3";
      } else {
        m.feed = feed_;
      }
    }
    line(words);
    at_ = m.end;
    return m;
  }

  static Vec2 unit_vector(double angle) { return {std::cos(angle), std::sin(angle)}; }

  void axis_words(std::string& words, const io::Point3& end, std::array<std::size_t, 3> order) {
    bool any = false;
    for (const std::size_t i : order) {
      if (any && end[i] == at_[i] && chance(0.7)) continue;
      any = true;
      words += fmt::format(" {}{}", "XYZ"[i],
                           number((incremental_ ? end[i] - at_[i] : end[i] - zero(i)) / unit()));
    }
  }

  // A number in one of several ways of writing it.
  std::string number(double v) {
    const std::string plain = fmt::format("{:.12f}", v);
    switch (static_cast<int>(within(0, 8))) {
      case 0:
        return fmt::format("[{:.12f} + 1]", v - 1);
      case 1:
        return fmt::format("[{:.13f} * 2]", v / 2);
      case 2: {
        line(fmt::format("#{} = {}", 31 + (last_parameter_ - 30) % 20, plain));
        return fmt::format("#{}", last_parameter_);
      }
      default:
        return plain;
    }
  }

  void line(const std::string& words) {
    if (words[0] == '#') last_parameter_ = std::stoi(words.substr(1));
    std::string out;
    if (chance(0.3)) out += fmt::format("N{} ", static_cast<int>(within(0, 99999)));
    for (const char c : words) {
      out += chance(0.3) ? static_cast<char>(std::tolower(c)) : c;
      if (chance(0.03)) out += ' ';
    }
    if (chance(0.1)) out += " (a comment)";
    text_ += out + (chance(0.2) ? "\r\n" : "\n");
  }

  std::mt19937 random_;
  std::string text_;
  bool inch_ = false, incremental_ = false, inverse_ = false;
  io::Plane plane_ = io::Plane::xy;
  io::Point3 at_{}, origin_{}, offset_{};
  double feed_ = 100;
  int last_parameter_ = 31;
};

}  // namespace

TEST_CASE("programs: random programs mean what was written", "[program]") {
  for (unsigned seed = 1; seed <= 200; ++seed) {
    INFO("seed " << seed);
    std::vector<io::TipMotion> want;
    const std::string text = Writer(seed).write(60, want);
    const Run r = run_whole(text);
    REQUIRE(r.motions.size() == want.size());
    double worst = 0;
    for (std::size_t i = 0; i < want.size(); ++i) {
      const io::TipMotion &got = r.motions[i], &wanted = want[i];
      REQUIRE(got.rapid == wanted.rapid);
      REQUIRE(got.arc.has_value() == wanted.arc.has_value());
      for (std::size_t k = 0; k < 3; ++k) worst = std::max(worst, std::abs(got.end[k] - wanted.end[k]));
      CHECK(got.feed == Approx(wanted.feed).epsilon(1e-6));
      if (!got.arc) continue;
      CHECK(got.arc->sweep == Approx(wanted.arc->sweep).margin(1e-6));
      for (std::size_t k = 0; k < 3; ++k)
        CHECK(got.arc->centre[k] == Approx(wanted.arc->centre[k]).margin(1e-6));
    }
    CHECK(worst < 1e-7);
  }
}
