// DXF files against ezdxf (MIT, Debian's python3-ezdxf): what it draws is read here, what is written here it
// reads. Its scripts stand in tests/io/drawing/ezdxf.
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <numbers>

#include "io/drawing/drawing.hpp"
#include "io/drawing/write.hpp"
#include "sim/bit/forms.hpp"
#include "sim/geometry/offset.hpp"
#include "tests/support/command.hpp"

using namespace ovolo;
using namespace ovolo::io;
using Json = nlohmann::json;

namespace {

const std::string kPython = "/usr/bin/python3";

bool no_ezdxf() {
  if (std::system((kPython + " -c 'import ezdxf' > /dev/null 2>&1").c_str()) == 0) return false;
  WARN("SKIPPED: drawings by ezdxf, for want of it (apt-get install python3-ezdxf)");
  return true;
}

std::string run_script(const std::string& script, const std::string& arguments,
                       const std::filesystem::path& folder) {
  const auto out = folder / "output.txt";
  const std::string command = kPython + " '" + OVOLO_SOURCE_DIR + "/tests/io/drawing/ezdxf/" + script + "' " +
                              arguments + " > '" + out.string() + "' 2>&1";
  const int status = std::system(command.c_str());
  const std::string text = tests::read_text(out);
  INFO(text);
  REQUIRE(status == 0);
  return text;
}

DrawingChoice choice_of(const Json& wanted) {
  DrawingChoice choice;
  if (wanted.contains("layer")) choice.layer = wanted["layer"].get<std::string>();
  if (wanted.contains("units")) choice.units = wanted["units"].get<std::string>();
  return choice;
}

}  // namespace

TEST_CASE("DXF: odd drawings of every version that ezdxf writes have the geometry they were drawn with") {
  if (no_ezdxf()) return;
  const tests::TemporaryFolder folder;
  run_script("draw.py", folder.path().string(), folder.path());
  const Json expected = Json::parse(tests::read_text(folder.path() / "expected.json"));
  REQUIRE(expected.size() > 100);
  for (const Json& wanted : expected) {
    CAPTURE(wanted.dump());
    const std::string file = (folder.path() / wanted["file"].get<std::string>()).string();
    std::string error;
    std::optional<DrawnContour> drawn;
    try {
      drawn = read_contour(file, choice_of(wanted));
    } catch (const DrawingError& e) {
      error = e.what();
    }
    if (wanted.contains("error")) {
      CHECK(error.find(wanted["error"].get<std::string>()) != std::string::npos);
      continue;
    }
    INFO(error);
    REQUIRE(drawn);
    const Contour& contour = drawn->contour;
    // Curves lie within 1 um of what was drawn.
    const double length = contour.length();
    CHECK(contour.closed());
    CHECK(contour.signed_area() == Approx(wanted["area"].get<double>()).margin(0.001 * length).epsilon(0));
    if (wanted.contains("length")) CHECK(length == Approx(wanted["length"].get<double>()).epsilon(1e-9));
    if (wanted.contains("box")) {
      const Box2 box = contour.box();
      const double sides[] = {box.lo.x, box.lo.y, box.hi.x, box.hi.y};
      for (std::size_t i = 0; i < 4; ++i)
        CHECK(sides[i] == Approx(wanted["box"][i].get<double>()).margin(0.00101).epsilon(0));
    }
  }
}

TEST_CASE("DXF: ezdxf reads offset contours and half profiles as they are, with nothing to repair") {
  if (no_ezdxf()) return;
  const Profile bit = point_roundover(
      derive_roundover({.radius = 5, .working_depth = 3.62, .tip_flat = {}, .cutting_diameter = {}}), 8);
  const Contour rim = Contour::rectangle({200, 125}, {300, 180}, 15);
  const std::vector<DrawnLine> lines[] = {
      {line_of(offset_outward(rim, 0.4).at(0), "axis of rim")},
      {line_of(bit, "round5"), line_of(cove(6, 3, 10), "cove6")},
      {line_of(Contour::circle({-40, 50}, 12.5), "hole")},
      {line_of(Contour({Segment::line({0, 0}, {30, 0}), Segment::arc({30, 10}, 10, -1.5707963267948966, 3)},
                       false),
               "open")}};
  const tests::TemporaryFolder folder;
  std::string files;
  for (const auto& drawing : lines) {
    files += " '" + (folder.path() / (drawing[0].name + ".dxf")).string() + "'";
    tests::write_text(folder.path() / (drawing[0].name + ".dxf"), write_dxf(drawing));
  }
  const Json found = Json::parse(run_script("read_back.py", files, folder.path()));
  REQUIRE(found.size() == std::size(lines));
  for (std::size_t f = 0; f < found.size(); ++f) {
    CHECK(found[f]["errors"] == Json::array());
    CHECK(found[f]["units"] == 4);  // mm
    REQUIRE(found[f]["entities"].size() == lines[f].size());
    for (std::size_t e = 0; e < lines[f].size(); ++e) {
      const DrawnLine& ours = lines[f][e];
      const Json& theirs = found[f]["entities"][e];
      CAPTURE(ours.name);
      const Contour contour(ours.pieces, ours.closed);
      CHECK(theirs["closed"] == ours.closed);
      CHECK(theirs["length"].get<double>() == Approx(contour.length()).margin(1e-6).epsilon(0));
      if (ours.closed)
        CHECK(std::abs(theirs["area"].get<double>()) ==
              Approx(std::abs(contour.signed_area())).margin(1e-6 * contour.length()).epsilon(0));
      CHECK(theirs["points"].size() >= ours.pieces.size());
      for (const Json& p : theirs["points"])
        CHECK(contour.nearest({p[0].get<double>(), p[1].get<double>()}).distance < 1e-6);
    }
  }
}
