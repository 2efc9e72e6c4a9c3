#include "tests/io/program/listing.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "io/error.hpp"

namespace ovolo::test {

std::string shown(double value) {
  std::string text = fmt::format("{:.4f}", value);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

void Listing::motion(const io::TipMotion& m) {
  motions.push_back(m);
  const std::string end = fmt::format("{} {} {}", shown(m.end[0]), shown(m.end[1]), shown(m.end[2]));
  if (m.arc) {
    const char* names[] = {"xy", "xz", "yz"};
    const io::PlaneAxes axes = io::axes_of(m.arc->plane);
    const std::size_t first = std::min(axes.a, axes.b), second = std::max(axes.a, axes.b);
    lines.push_back(fmt::format("arc {} {} @{} about {} {} by {}", names[static_cast<int>(m.arc->plane)], end,
                                shown(m.feed), shown(m.arc->centre[first]), shown(m.arc->centre[second]),
                                shown(m.arc->sweep * 180 / std::numbers::pi)));
  } else if (m.rapid) {
    lines.push_back("rapid " + end);
  } else {
    lines.push_back(fmt::format("feed {} @{}", end, shown(m.feed)));
  }
}

void Listing::tool_change(int tool, io::LineColumn) { lines.push_back(fmt::format("tool {}", tool)); }
void Listing::dwell(double seconds, io::LineColumn) { lines.push_back("dwell " + shown(seconds)); }
void Listing::message(std::string_view text, io::LineColumn) {
  lines.push_back(fmt::format("message {}", text));
}

void Listing::stop(io::ProgramStop kind, io::LineColumn) {
  const char* names[] = {"stop", "optional stop", "pallet", "end", "end and rewind", "hand retract"};
  lines.push_back(names[static_cast<int>(kind)]);
}

io::ProgramOptions plain_machine() {
  io::ProgramOptions options;
  for (auto& system : options.systems) system = io::Point3{};
  options.start = io::Point3{};
  options.tools[1] = {};
  options.first_tool = 1;
  return options;
}

Run run_whole(const std::string& text, const io::ProgramOptions& options) {
  Listing sink;
  Run out;
  out.notes = io::read_program(text, "test.ngc", options, sink);
  out.motions = std::move(sink.motions);
  out.lines = std::move(sink.lines);
  return out;
}

Run run(const std::string& text, const io::ProgramOptions& options) {
  Run out = run_whole(text + "\nM2\n", options);
  out.lines.pop_back();  // "end"
  return out;
}

std::string error_of(const std::string& text, const io::ProgramOptions& options) {
  Listing sink;
  try {
    io::read_program(text, "test.ngc", options, sink);
  } catch (const io::SceneError& e) {
    const std::string what = e.what();
    return what.substr(what.find(':') + 1);
  }
  return {};
}

}  // namespace ovolo::test
