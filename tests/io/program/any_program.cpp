#include "tests/io/program/any_program.hpp"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <numbers>
#include <optional>

#include "io/error.hpp"
#include "io/program/path_builder.hpp"
#include "io/program/read.hpp"
#include "io/text.hpp"

namespace ovolo::test {
namespace {

void require(bool kept, const char* promise) {
  if (kept) return;
  std::fprintf(stderr, "broken promise: %s\n", promise);
  std::abort();
}

/// Checks motions on their way to a path builder.
class Watch : public io::PathBuilder {
 public:
  using PathBuilder::PathBuilder;

  void motion(const io::TipMotion& m) override {
    for (const double v : m.end) require(std::isfinite(v) && std::abs(v) < 2e5, "places are finite and near");
    require(std::isfinite(m.feed) && m.feed >= 0, "feeds are finite");
    require(m.rapid == (m.feed == 0), "feed moves have a feed");
    if (last_ && last_->tool == m.tool) require(last_->end == m.start, "motions join");
    if (m.arc) {
      const io::PlaneAxes axes = io::axes_of(m.arc->plane);
      const Vec2 c = axes.in_plane(m.arc->centre);
      const double r0 = distance(axes.in_plane(m.start), c), r1 = distance(axes.in_plane(m.end), c);
      require(std::abs(m.arc->sweep) <= 2 * std::numbers::pi + 0.1, "arcs turn once at most");
      require(std::abs(r0 - r1) < 0.01 + 0.002 * r0, "arcs fit their ends");
    }
    last_ = m;
    PathBuilder::motion(m);
  }

 private:
  std::optional<io::TipMotion> last_;
};

}  // namespace

void check_any_program(std::string_view bytes) {
  const auto choice = static_cast<unsigned char>(bytes.empty() ? 0 : bytes[0]);
  if (!bytes.empty()) bytes.remove_prefix(1);
  io::ProgramOptions options;
  options.limits = {1u << 16, 3000};
  options.tools[1] = {};
  options.tools[2] = {30.0, 6.0};
  options.tools[3] = {45.0, -0.5};
  options.inch = choice & 1;
  options.skip_deleted = choice & 2;
  if (choice & 4) options.start = io::Point3{0, 0, 10};
  if (choice & 8)
    for (auto& system : options.systems) system = io::Point3{10, 20, -30};
  options.first_tool = (choice >> 4) & 3;
  io::ProgramPlacement placement;
  placement.bits = {{1, 0}, {2, 1}, {3, 2}};
  Watch watch(placement, options.limits);
  try {
    for (const auto& message : io::read_program(bytes, "fuzz", options, watch).messages)
      require(io::shown(message.text, message.text.size()) == message.text, "messages can be printed");
  } catch (const io::SceneError& e) {
    require(e.faults().size() == 1, "one fault at a time");
    const std::string& text = e.faults()[0].text;
    require(!text.empty() && io::shown(text, text.size()) == text, "a fault says printably what is wrong");
  }
}

}  // namespace ovolo::test
