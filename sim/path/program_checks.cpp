#include "sim/path/program_checks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/geometry/box_tree.hpp"
#include "sim/shop/tip_load.hpp"
#include "sim/text.hpp"

namespace ovolo {
namespace {

constexpr double kFace = 0.01;      // mm; less below the face is on it
constexpr double kMaterial = 0.02;  // mm of material that counts as meeting it
constexpr double kSpacing = 0.5;    // mm between samples along a path
constexpr int kMostSamples = 400;   // on one motion
constexpr std::size_t kMostPoints = 400'000;
constexpr std::size_t kMostTests = 10'000'000;  // of a point against a move: a few seconds
constexpr int kRings = 3, kSpokes = 8;

/// Lines where one kind of trouble happens.
struct Lines {
  int first = 0, last = 0;
  std::size_t count = 0;
  double worst = 0;
  void add(int line, double how_bad) {
    if (count == 0) first = line;
    if (count == 0 || line != last) ++count;
    last = line;
    worst = std::max(worst, how_bad);
  }
  std::string str() const {
    if (count == 1) return fmt::format("line {}", first);
    return fmt::format("{} lines, from {} to {}", count, first, last);
  }
};

Move move_of(const ProgramMotion& m) {
  Move move;
  move.path = m.path;
  move.z0 = m.z0;
  move.z1 = m.z1;
  move.bit = m.bit;
  move.line = m.line;
  return move;
}

/// A motion that would be wrong in solid material.
struct Suspect {
  std::size_t motion = 0;
  bool rapid = false;
};

/// A place under a suspect's bit: how low the bit gets there, and how high the material still stands.
struct TestPoint {
  Vec2 at;
  double bit = 0;
  double material = 0;
  std::size_t suspect = 0;
};

class Checker {
 public:
  Checker(const std::vector<ProgramMotion>& program, const Stock& stock, const std::vector<Bit>& bits,
          const ProgramContext& context)
      : program_(program), stock_(stock), bits_(bits), context_(context) {}

  std::vector<Warning> run() {
    check_places();
    find_suspects();
    place_points();
    cut_points();
    if (rapid_.count)
      warn("rapid-through-material", rapid_,
           fmt::format("a rapid runs through material, up to {} deep ({}): raise Z before it, or feed",
                       both_units(rapid_.worst), rapid_.str()));
    if (plunge_.count)
      warn("slender-plunge", plunge_,
           fmt::format("a slender tip is plunged {} into material ({}): ramp it in, or plunge outside the "
                       "sheet (common "
                       "practice, no published source)",
                       both_units(plunge_.worst), plunge_.str()));
    if (unexamined_line_)
      warnings_.push_back(
          {"not-fully-examined",
           fmt::format("rapids and plunges below the face were examined up to line {} only: the program "
                       "is very long",
                       unexamined_line_),
           context_.operation,
           {context_.file, unexamined_line_, 0}});
    return std::move(warnings_);
  }

 private:
  void warn(const char* code, const Lines& lines, std::string text) {
    warnings_.push_back({code, std::move(text), context_.operation, {context_.file, lines.first, 0}});
  }

  bool on_sheet(Vec2 p) const { return p.x >= 0 && p.x <= stock_.width && p.y >= 0 && p.y <= stock_.height; }

  /// How far the axis gets outside the sheet's outline while the tip is below the face, mm.
  double outside(const ProgramMotion& m) const {
    Box2 box;
    if (m.path.is_arc() || (m.z0 < -kFace && m.z1 < -kFace)) {
      box = m.path.box();
    } else {
      // The part of a line that lies below the face.
      const double cross = (m.z0 + kFace) / (m.z0 - m.z1);
      const Vec2 there = m.path.a + cross * (m.path.b - m.path.a);
      box.add(there);
      box.add(m.z0 < -kFace ? m.path.a : m.path.b);
    }
    return std::max({-box.lo.x, -box.lo.y, box.hi.x - stock_.width, box.hi.y - stock_.height});
  }

  void check_places() {
    Lines beyond, below, long_bit;
    bool cuts = false;
    const double floor = -stock_.thickness() - stock_.spoilboard;
    const Box2 sheet{{0, 0}, {stock_.width, stock_.height}};
    for (const ProgramMotion& m : program_) {
      const double lowest = std::min(m.z0, m.z1);
      if (lowest >= -kFace) continue;
      const Bit& bit = bits_[m.bit];
      if (!m.rapid && !cuts) cuts = sheet.overlaps(m.path.box().grown(bit.profile.cutting_radius()));
      if (bit.cutting_length && -lowest > *bit.cutting_length + 1e-6)
        long_bit.add(m.line, -lowest - *bit.cutting_length);
      if (lowest < floor - 1e-6) below.add(m.line, floor - lowest);
      if (const double far = outside(m); far > 1e-6) beyond.add(m.line, far);
    }
    if (below.count)
      warn("below-spoilboard", below,
           fmt::format("the tip runs {} below the spoilboard allowance ({}): raise Z, or check where Z0 lies",
                       both_units(below.worst), below.str()));
    if (beyond.count)
      warn(
          "beyond-sheet", beyond,
          fmt::format("the axis leaves the sheet by up to {} while the tip is below the face ({}): check the "
                      "program's "
                      "place on the sheet, and what holds the sheet there",
                      both_units(beyond.worst), beyond.str()));
    if (long_bit.count)
      warn("beyond-cutting-length", long_bit,
           fmt::format("the bit runs {} deeper than its cutting length ({}): raise Z or take a longer bit",
                       both_units(long_bit.worst), long_bit.str()));
    if (!cuts)
      warnings_.push_back({"misses-sheet",
                           "the program never cuts the sheet: check its place, its units and where Z0 lies",
                           context_.operation,
                           {context_.file, program_.empty() ? 0 : program_.front().line, 0}});
  }

  void find_suspects() {
    for (std::size_t i = 0; i < program_.size(); ++i) {
      const ProgramMotion& m = program_[i];
      const double lowest = std::min(m.z0, m.z1);
      if (lowest >= -kFace) continue;
      if (m.rapid) {
        suspects_.push_back({i, true});
      } else if (m.z1 < m.z0 && m.path.length() < m.z0 - m.z1 && slender_tip(bits_[m.bit].profile)) {
        suspects_.push_back({i, false});
      }
    }
  }

  void sample(std::size_t suspect, const Profile& profile, Vec2 p, double z) {
    if (z >= -kFace) return;
    const auto add = [&](Vec2 q, double height) {
      if (height < -kMaterial && on_sheet(q)) points_.push_back({q, height, 0, suspect});
    };
    add(p, z);
    // Rings out to where the bit leaves the face, or to its rim.
    double lo = 0, hi = profile.cutting_radius();
    if (z + profile.height(hi) > 0) {
      for (int i = 0; i < 30; ++i) {
        const double middle = 0.5 * (lo + hi);
        (z + profile.height(middle) > 0 ? hi : lo) = middle;
      }
    }
    for (int ring = 1; ring <= kRings; ++ring) {
      const double r = 0.98 * hi * ring / kRings;
      const double height = z + profile.height(r);
      for (int k = 0; k < kSpokes; ++k) add(p + r * unit(2 * std::numbers::pi * k / kSpokes), height);
    }
  }

  void place_points() {
    for (std::size_t s = 0; s < suspects_.size(); ++s) {
      const ProgramMotion& m = program_[suspects_[s].motion];
      if (points_.size() > kMostPoints) {
        unexamined_line_ = m.line;
        suspects_.resize(s);
        break;
      }
      const Profile& profile = bits_[m.bit].profile;
      const double length = m.path.length();
      const int steps = std::clamp(static_cast<int>(std::ceil(length / kSpacing)), 1, kMostSamples);
      for (int i = 0; i <= steps; ++i) {
        const double part = static_cast<double>(i) / steps;
        // A vertical motion is its lowest place.
        if (length == 0 && i > 0) break;
        const double z = length == 0 ? std::min(m.z0, m.z1) : m.z0 + part * (m.z1 - m.z0);
        sample(s, profile, m.path.point(part * length), z);
      }
    }
    std::vector<Box2> boxes(points_.size());
    for (std::size_t i = 0; i < points_.size(); ++i) boxes[i].add(points_[i].at);
    tree_ = BoxTree(std::move(boxes));
  }

  /// Lowers the material at the points of suspects from `from` on by one move.
  void lower(const Move& move, const std::vector<Region>& regions, std::size_t from) {
    const Profile& profile = bits_[move.bit].profile;
    const Box2 box =
        (move.region >= 0 ? regions[static_cast<std::size_t>(move.region)].box() : move.path.box())
            .grown(profile.cutting_radius());
    tree_.any(box, [&](std::uint32_t i) {
      TestPoint& point = points_[i];
      ++tested_;
      if (point.suspect >= from && point.material > point.bit) {
        point.material = std::min(point.material, swept_height(move, profile, regions, point.at));
      }
      return false;
    });
  }

  void cut_points() {
    if (context_.plan) {
      // Only of the same set-up: what was cut from the other face is left out.
      std::uint32_t set_up = 0;
      for (const Move& move : context_.plan->moves)
        if (static_cast<int>(move.operation) == context_.operation) set_up = move.set_up;
      for (const Move& move : context_.plan->moves)
        if (move.set_up == set_up && static_cast<int>(move.operation) < context_.operation &&
            move.role != MoveRole::rapid)
          lower(move, context_.plan->regions, 0);
    }
    const std::vector<Region> none;
    std::size_t next = 0, first_point = 0;
    for (std::size_t i = 0; i < program_.size() && next < suspects_.size(); ++i) {
      if (suspects_[next].motion == i) {
        double deepest = 0;
        for (; first_point < points_.size() && points_[first_point].suspect == next; ++first_point) {
          const TestPoint& point = points_[first_point];
          deepest = std::max(deepest, point.material - point.bit);
        }
        if (deepest > kMaterial) (suspects_[next].rapid ? rapid_ : plunge_).add(program_[i].line, deepest);
        ++next;
      }
      // What a rapid tears away is gone for those that follow.
      lower(move_of(program_[i]), none, next);
      if (tested_ > kMostTests) {
        unexamined_line_ = program_[i].line;
        break;
      }
    }
  }

  const std::vector<ProgramMotion>& program_;
  const Stock& stock_;
  const std::vector<Bit>& bits_;
  const ProgramContext& context_;
  std::vector<Warning> warnings_;
  std::vector<Suspect> suspects_;
  std::vector<TestPoint> points_;
  BoxTree tree_;
  Lines rapid_, plunge_;
  int unexamined_line_ = 0;
  std::size_t tested_ = 0;
};

}  // namespace

std::vector<Warning> check_program(const std::vector<ProgramMotion>& program, const Stock& stock,
                                   const std::vector<Bit>& bits, const ProgramContext& context) {
  return Checker(program, stock, bits, context).run();
}

std::vector<Warning> program_warnings(const Job& job, const Plan& plan) {
  std::vector<Warning> out;
  for (std::size_t i = 0; i < job.operations.size(); ++i) {
    const Operation& op = job.operations[i];
    if (op.kind != OperationKind::program) continue;
    const int index = static_cast<int>(i);
    for (const ProgramRemark& r : op.remarks) out.push_back({r.code, r.text, index, r.source});
    for (Warning& w : check_program(op.program, job.stock, job.bits, {op.program_file, index, &plan}))
      out.push_back(std::move(w));
  }
  return out;
}

}  // namespace ovolo
