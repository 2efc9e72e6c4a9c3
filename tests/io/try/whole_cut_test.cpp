// The live page's answer for jobs that a heightfield cannot hold is what measuring the whole job gives.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "io/file.hpp"
#include "io/scene/scene.hpp"
#include "io/try/answer.hpp"
#include "sim/advise/dial.hpp"
#include "sim/measure/edge.hpp"
#include "sim/path/plan.hpp"

using namespace ovolo;
using namespace ovolo::io;
using Json = nlohmann::json;

namespace {

const std::filesystem::path kScenes = OVOLO_SOURCE_DIR "/scenes";

Sample sample_of(const std::string& scene) {
  return {read_file(kScenes / scene), (kScenes / scene).string(), kScenes};
}

Measures measured(const Sample& sample, const Json& request) {
  const Job job = parse_scene(edited_scene(sample, request.dump()).text, sample.file, sample.folder);
  const Plan plan = make_plan(job);
  return measure(job, plan, MoveIndex(plan, job));
}

void check_same(const Json& value, const std::optional<double>& expected, double scale = 1) {
  CHECK(value.is_null() == !expected.has_value());
  if (expected && !value.is_null()) CHECK(value.get<double>() == Approx(*expected * scale).margin(1e-4));
}

void check_edge(const std::string& scene, unsigned edge, const Json& edits) {
  INFO(scene << " " << edge << " " << edits.dump());
  const Sample sample = sample_of(scene);
  const Json request = {{"edits", edits}, {"edge", edge}};
  const Json answer = Json::parse(answer_cut(sample, request.dump()));
  REQUIRE(answer.at("ok") == true);
  const Measures all = measured(sample, request);
  const EdgeMeasures& e = all.edges.at(edge);
  const Json& s = answer.at("station");
  // One of the stations that `cut` measures, and the one with the tallest lip.
  const auto at = std::find_if(e.stations.begin(), e.stations.end(), [&](const Station& station) {
    return std::abs(station.s - s.at("s").get<double>()) < 1e-4;
  });
  REQUIRE(at != e.stations.end());
  const SectionMeasures& m = at->measures;
  const double degree = 180 / std::acos(-1.0);
  check_same(s.at("lip"), m.lip);
  check_same(s.at("lip"), e.lip ? std::optional<double>(e.lip->max) : std::nullopt);
  check_same(s.at("band"), m.band);
  check_same(s.at("face_break"), m.face_break, degree);
  check_same(s.at("wall_break"), m.wall_break, degree);
  check_same(s.at("foot_depth"), m.foot_depth);
  if (m.wall_left) check_same(s.at("other").at("mismatch"), m.mismatch);
  if (m.other) check_same(s.at("other").at("lip"), m.other->lip);
  CHECK(answer.at("verdict").at("good") == e.verdict.good);
  CHECK(answer.at("verdict").at("text") == e.verdict.text);
  CHECK(answer.at("folded") == (scene != "warped-door.toml"));
  CHECK(answer.at("both") == e.other.has_value());
  CHECK(answer.at("pieces").size() > 2);
}

Json edit(const std::string& path, const std::string& value) {
  return Json::array({{{"path", path}, {"value", value}}});
}

}  // namespace

TEST_CASE("undercut bits are tried as the whole job cuts them", "[try]") {
  check_edge("shelf-bullnose.toml", 0, Json::array());
  check_edge("shelf-bullnose.toml", 0, edit("operations/1/depth", "19.3"));
  check_edge("shelf-bullnose.toml", 0, edit("operations/1/offset", "6.4"));
  check_edge("dovetail-slot.toml", 0, edit("operations/1/depth", "8.2"));
}

TEST_CASE("edges of a turned sheet are tried from the face they are worked from", "[try]") {
  for (const unsigned edge : {0u, 1u}) {
    const std::string at = edge == 0 ? "operations/0/" : "operations/2/";
    check_edge("panel-both-faces.toml", edge, Json::array());
    check_edge("panel-both-faces.toml", edge,
               Json::array({{{"path", at + "depth"}, {"value", "5.5"}},
                            {{"path", at + "passes"}, {"value", "3, 5.5"}}}));
  }
}

TEST_CASE("a sheet that is not flat is tried at the worst place of its edge", "[try]") {
  check_edge("warped-door.toml", 0, Json::array());
  check_edge("warped-door.toml", 0, edit("operations/0/offset", "0.3"));
}

TEST_CASE("an undercut bit has no map of depth against offset, and the page is told why", "[try]") {
  const Json none = Json::parse(answer_window(sample_of("dovetail-slot.toml"), "{}"));
  CHECK(none.at("ok") == true);
  CHECK(none.at("none").get<std::string>().find("'tail' is undercut") != std::string::npos);
  CHECK(!none.contains("rows"));
  CHECK(Json::parse(answer_window(sample_of("panel-both-faces.toml"), "{\"edge\": 1}")).at("rows").size() >
        10);
  CHECK(
      Json::parse(answer_best(sample_of("panel-both-faces.toml"), "{\"edge\": 1}")).at("dial").at("chance") >
      0.9);
}

TEST_CASE("the best setting on the sheet's other face counts the layers from there", "[try]") {
  // From the top the dark layer lies 2 mm down, from the other face 12 mm: only on top does it show.
  Sample sample = sample_of("panel-both-faces.toml");
  const std::size_t from = sample.text.find("layers = [");
  REQUIRE(from != std::string::npos);
  const std::size_t to = sample.text.find("]\n", from);
  REQUIRE(to != std::string::npos);
  sample.text.replace(from, to + 1 - from,
                      "layers = [ { name = \"veneer\", thickness = 2 }, { name = \"dark\", thickness = 4 }, "
                      "{ name = \"core\", thickness = 12 } ]");
  sample.text += "\n[wishes]\nhidden = [\"dark\"]\n";
  const Job job = parse_scene(sample.text, sample.file, sample.folder);
  for (const unsigned edge : {0u, 1u}) {
    const std::uint32_t operation = edge == 0 ? 0 : 2;
    const DialedEdge dialed = dial_edge(job, operation, job.errors);
    const Json request = {{"edge", edge}};
    const Json best = Json::parse(answer_best(sample, request.dump())).at("dial");
    CHECK(best.at("depth").get<double>() == Approx(dialed.depth).margin(1e-6));
    CHECK(best.at("chance").get<double>() == Approx(1 - dialed.failure).margin(1e-6));
    CHECK((best.at("chance").get<double>() > 0.9) == (edge == 1));
    const Json rows = Json::parse(answer_window(sample, request.dump())).at("rows");
    CHECK((rows.dump().find('h') != std::string::npos) == (edge == 0));
  }
}

TEST_CASE("a depth at which the bit cannot be run is refused with the reason", "[try]") {
  const Json answer = Json::parse(
      answer_cut(sample_of("shelf-bullnose.toml"), Json{{"edits", edit("operations/1/depth", "30")}}.dump()));
  CHECK(answer.at("ok") == false);
  CHECK(answer.at("faults").at(0).at("path") == "operations/1/depth");
}
