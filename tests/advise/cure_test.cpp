// The one setting that is named for an edge that is not good, put into its scene.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <string>
#include <vector>

#include "io/file.hpp"
#include "io/scene/rewrite.hpp"
#include "io/scene/scene.hpp"
#include "sim/advise/cure.hpp"
#include "sim/measure/edge.hpp"
#include "sim/path/move_index.hpp"
#include "sim/path/plan.hpp"
#include "sim/stock/stock_kind.hpp"
#include "sim/text.hpp"
#include "tests/support/command.hpp"

using namespace ovolo;
using ovolo::tests::holds;
namespace fs = std::filesystem;

namespace {

Measures measured(const Job& job) {
  const Plan plan = make_plan(job);
  const MoveIndex index(plan, job);
  return measure(job, plan, index);
}

Cure cure_of(const Job& job, const EdgeMeasures& edge) {
  std::optional<DialedEdge> dialed;
  if (!needs_voxels(job)) dialed = dial_edge(job, edge.operation, job.errors);
  return find_cure(job, edge, dialed);
}

// A sign on sheet with a core that must not show, edges wished as the scene's text says.
Job sign(const std::string& text) {
  return io::parse_scene(R"([stock]
size = [400, 250]
layers = [{ name = "cap", thickness = 3.1 }, { name = "core", thickness = 9 }]
[contours.outline]
rectangle = { center = [200, 125], size = [300, 180], corner_radius = 15 }
[bits.round]
form = "point_roundover"
radius = 5
)" + text,
                         "test.toml", fs::temp_directory_path());
}

const std::string kRim = R"(
[[operations]]
name = "rim"
kind = "edge"
bit = "round"
contour = "outline"
keep = "inside"
)";

}  // namespace

TEST_CASE("what is said to set makes every scene good that settings can make good", "[advise][cure]") {
  int cured = 0;
  for (const auto& entry : fs::directory_iterator(OVOLO_SOURCE_DIR "/scenes")) {
    if (entry.path().extension() != ".toml") continue;
    const Job job = io::read_scene(entry.path());
    const Measures before = measured(job);
    for (std::size_t i = 0; i < before.edges.size(); ++i) {
      const EdgeMeasures& edge = before.edges[i];
      if (edge.verdict.good || job.operations[edge.operation].kind != OperationKind::edge) continue;
      CAPTURE(entry.path().filename().string(), edge.verdict.text);
      const Cure cure = cure_of(job, edge);
      CAPTURE(cure.text);
      if (!cure.setting) {
        CHECK(entry.path().filename() == "warped-door.toml");
        CHECK(holds(cure.text, "no depth and offset make this edge good"));
        CHECK(holds(cure.text, "hold the sheet flat"));
        continue;
      }
      ++cured;
      CHECK(holds(cure.text, "set depth to " + fine_units(cure.setting->depth)));
      const std::string text =
          io::with_settings(io::read_file(entry.path()), entry.path().string(),
                            {{edge.operation, cure.setting->depth, cure.setting->offset}});
      const Job then = io::parse_scene(text, entry.path().string(), entry.path().parent_path());
      CHECK(measured(then).edges.at(i).verdict.good);
    }
  }
  CHECK(cured >= 2);
}

TEST_CASE("where no setting does, the verdict says so and what else would", "[advise][cure]") {
  const Job job =
      sign("working_depth = 2\n" + kRim + "depth = 5\noffset = 0\n[wishes]\nhidden = [\"core\"]\n");
  const Measures m = measured(job);
  const EdgeMeasures& edge = m.edges.front();
  REQUIRE_FALSE(edge.verdict.good);
  const Cure cure = cure_of(job, edge);
  CHECK_FALSE(cure.setting);
  CHECK(holds(cure.text, "no depth and offset make this edge good"));
  CHECK(holds(cure.text, "take a bit of the same radius that works"));
}

TEST_CASE("a form too large for its part is not sent from setting to setting", "[advise][cure]") {
  // Two edges 7 mm apart with a round of 5 mm each leave no face between them.
  Job job = sign("working_depth = 3.62\n" + kRim + "depth = 3.543\noffset = 0.418\n");
  job.contours.front().contour = Contour::rectangle({200, 125}, {7, 100}, 0);
  const Measures m = measured(job);
  REQUIRE_FALSE(m.edges.front().verdict.good);
  const Cure cure = cure_of(job, m.edges.front());
  CHECK_FALSE(cure.setting);
  CHECK(holds(cure.text, "no depth and offset cure all of it"));
  CHECK(holds(cure.text, "make the part wider there"));
}

TEST_CASE("a good edge needs no cure", "[advise][cure]") {
  const Job job = sign("working_depth = 3.62\n" + kRim + "depth = 3.543\noffset = 0.418\n");
  const Measures m = measured(job);
  REQUIRE(m.edges.front().verdict.good);
  CHECK(cure_of(job, m.edges.front()).text.empty());
}

TEST_CASE("what cannot be set is a sentence of its own", "[cure]") {
  const Job job = sign("working_depth = 2\n" + kRim + "depth = 5\noffset = 0\n");
  const Verdict v = measured(job).edges.front().verdict;
  CHECK(v.text == v.wrong + "; " + v.mend);
  CHECK(holds(v.mend, "; this bit's curve ends"));
  CHECK_FALSE(holds(v.mend, "and this bit's curve"));
}
