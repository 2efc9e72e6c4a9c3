// The live page's answers and what it refuses.
#include <httplib.h>
#include <catch2/catch.hpp>

#include <atomic>
#include <chrono>
#include <future>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>

#include "io/report/shop.hpp"
#include "io/scene/scene.hpp"
#include "io/try/answer.hpp"
#include "io/try/files.hpp"
#include "io/try/server.hpp"
#include "sim/advise/dial.hpp"
#include "sim/shop/estimate.hpp"
#include "tests/support/command.hpp"
#include "tests/support/sign_rim.hpp"

using namespace ovolo::io;
using ovolo::tests::TemporaryFolder;
using Json = nlohmann::json;

namespace {

const std::string kScene = R"(title = "Sign"
[stock]
size = [400, 250]
layers = [ { name = "cap", thickness = 3.1, color = "#1f4e3d" }, { name = "core", thickness = 9, color = "#f2ead7" } ]
[bits.round5]
form = "point_roundover"
radius = 5
working_depth = 3.62
)" + ovolo::test::sign_rim() +
                           R"(offset = 0   # on the line
depth = 5
[wishes]
hidden = ["core"]
)";

const Sample kSample{kScene, "scene.toml", "."};

Json cut(const Json& request) { return Json::parse(answer_cut(kSample, request.dump())); }

Json edits(const std::string& depth, const std::string& offset) {
  return {{"edits",
           {{{"path", "operations/0/depth"}, {"value", depth}},
            {{"path", "operations/0/offset"}, {"value", offset}}}}};
}

// A server for one test, on a free port.
class Served {
 public:
  explicit Served(const std::filesystem::path& scene, CloseUpMaker close_up = {})
      : server_(scene, std::move(close_up), {}), port_(server_.bind(0)), thread_([this] { server_.run(); }) {}
  ~Served() {
    server_.stop();
    thread_.join();
  }
  int port() const { return port_; }

 private:
  TryServer server_;
  int port_;
  std::thread thread_;
};

}  // namespace

// Closed forms for R 5, W 3.62 (a 0.1942): D 5, o 0: lip 1.3800, band 0.1942; D 3.55, o 0.40: lip 0, band 0,
// face break 9.60 deg, wall break 23.07 deg, foot at 2.9704, curve length 5.0028.
TEST_CASE("a straight cut answers with the closed forms", "[try]") {
  const Json bad = cut(Json::object());
  REQUIRE(bad.at("ok") == true);
  CHECK(bad.at("station").at("lip").get<double>() == Approx(1.38).margin(1e-4));
  CHECK(bad.at("station").at("band").get<double>() == Approx(0.1942).margin(1e-4));
  CHECK(bad.at("verdict").at("good") == false);

  const Json good = cut(edits("3.55", "0.4"));
  REQUIRE(good.at("ok") == true);
  const Json& s = good.at("station");
  CHECK(s.at("lip").get<double>() == Approx(0).margin(1e-4));
  CHECK(s.at("band").get<double>() == Approx(0).margin(1e-4));
  CHECK(s.at("face_break").get<double>() == Approx(9.60).margin(5e-3));
  CHECK(s.at("wall_break").get<double>() == Approx(23.07).margin(5e-3));
  CHECK(s.at("foot_depth").get<double>() == Approx(2.9704).margin(1e-4));
  CHECK(s.at("curve_length").get<double>() == Approx(5.0028).margin(1e-4));
  CHECK(good.at("verdict").at("good") == true);
  CHECK(good.at("warnings").empty());

  Json lower = edits("3.55", "0.4");
  lower["z_error"] = 0.1;  // 3.65 deep: 0.03 beyond the working depth
  CHECK(cut(lower).at("station").at("lip").get<double>() == Approx(0.03).margin(1e-4));
  // The error is no setting: the depth stays the one that is set.
  CHECK(cut(lower).at("settings").at("operations").at(0).at("depth") == 3.55);
}

TEST_CASE("a dropped program is placed, and told what to aim at", "[try]") {
  const TemporaryFolder folder;
  std::filesystem::copy(std::filesystem::path(OVOLO_SOURCE_DIR) / "scenes" / "programs" / "trailhead-rim.ngc",
                        folder.path() / "rim.nc");
  const Sample sample{kScene, "scene.toml", folder.path()};
  Json request{{"edits", {{{"path", "operations/0/posted"}, {"value", "rim.nc, 1"}}}}};
  const Json lost = Json::parse(answer_cut(sample, request.dump()));
  CHECK(lost.at("ok") == false);
  CHECK(lost.at("faults").at(0).at("path") == "operations/0/place/0");
  CHECK(lost.at("settings").at("operations").at(0).at("place") == Json{0.0, 0.0});
  for (const auto& [axis, value] : {std::pair{"0", "50"}, {"1", "35 mm"}})
    request["edits"].push_back({{"path", std::string("operations/0/place/") + axis}, {"value", value}});
  const Json found = Json::parse(answer_cut(sample, request.dump()));
  REQUIRE(found.at("ok") == true);
  CHECK(found.at("verdict").at("good") == true);
  CHECK(Json::parse(answer_best(sample, request.dump())).at("dial").at("depth").get<double>() ==
        Approx(3.54).margin(0.05));
}

// Each figure as `cut` has it: the same code on the whole job's measures.
TEST_CASE("feed and speed answer with the report's loads, marks and time", "[try]") {
  const std::string file = std::string(OVOLO_SOURCE_DIR) + "/scenes/trailhead-sign.toml";
  const Sample sample{ovolo::tests::read_text(file), file, std::string(OVOLO_SOURCE_DIR) + "/scenes"};
  const Json request{{"edits", Json::array({{{"path", "operations/1/feed"}, {"value", "2100 mm/min"}},
                                            {{"path", "operations/1/spindle"}, {"value", "12000"}}})}};
  const Json answer = Json::parse(answer_shop(sample, request.dump()));
  REQUIRE(answer.at("ok") == true);
  const ovolo::Job job = parse_scene(edited_scene(sample, request.dump()).text, sample.file, sample.folder);
  const ovolo::Plan plan = make_plan(job);
  const ovolo::MoveIndex index(plan, job);
  Json whole =
      Json::parse(shop_json(job, estimate(job, plan, index, ovolo::measure(job, plan, index, {}))).dump());
  CHECK(answer.at("time") == whole.at("time"));
  CHECK(answer.at("marks") == whole.at("finish").at(0).at("marks"));
  Json passes = Json::array();
  for (Json& p : whole.at("passes"))
    if (p.at("operation") == "round the rim") {
      p["volume_mm3"] = 0;
      passes.push_back(p);
    }
  CHECK(passes.size() == 2);
  CHECK(answer.at("passes") == passes);
  CHECK(answer.at("passes").at(0).at("chip_load_mm") == 0.0875);

  // Nothing is made up where the scene does not tell feed and speed.
  const Json bare = Json::parse(answer_shop(kSample, "{}"));
  REQUIRE(bare.at("ok") == true);
  CHECK(bare.at("marks").is_null());
  CHECK(bare.at("time").is_null());
  CHECK(bare.at("passes").at(0).at("chip_load_mm") == 0);
}

TEST_CASE("bad values come back with their field and reason", "[try]") {
  const auto first_fault = [](const Json& answer) {
    REQUIRE(answer.at("ok") == false);
    return answer.at("faults").at(0);
  };
  CHECK(first_fault(cut(edits("deep", "0"))).at("path") == "operations/0/depth");
  CHECK(first_fault(cut(edits("-1", "0"))).at("path") == "operations/0/depth");
  CHECK(first_fault(cut(edits("", "0"))).at("path") == "operations/0/depth");
  // Of a list, wherever in it.
  for (const char* passes : {"2, 3", "2, x"})
    CHECK(first_fault(cut({{"edits", Json::array({{{"path", "operations/0/passes"}, {"value", passes}}})}}))
              .at("path") == "operations/0/passes");
  CHECK(first_fault(cut({{"edge", 3}})).at("text").get<std::string>().find("no such edge") !=
        std::string::npos);
  CHECK_THROWS_AS(answer_cut(kSample, "[1]"), std::invalid_argument);
  CHECK_THROWS_AS(answer_cut(kSample, "{\"z_error\": 1e9}"), std::invalid_argument);
  CHECK_THROWS_AS(answer_cut(kSample, "{\"edits\": [{\"path\": 1}]}"), std::invalid_argument);
}

TEST_CASE("the best setting is the dial's, and asks no more of what cannot be dialled", "[try]") {
  const Json best = Json::parse(answer_best(kSample, "{}"));
  REQUIRE(best.at("ok") == true);
  const double depth = best["dial"]["depth"], offset = best["dial"]["offset"];
  const ovolo::Job job = parse_scene(kSample.text, kSample.file, kSample.folder);
  const ovolo::DialedEdge dialed = ovolo::dial_edge(job, 0, job.errors);
  CHECK(depth == Approx(dialed.depth).margin(1e-6));
  CHECK(offset == Approx(dialed.offset).margin(1e-6));
  CHECK(cut(edits(std::to_string(depth), std::to_string(offset))).at("verdict").at("good") == true);
}

TEST_CASE("the window's places agree with the cut there", "[try]") {
  const Json map = Json::parse(answer_window(kSample, "{}"));
  REQUIRE(map.at("ok") == true);
  const auto& rows = map.at("rows");
  const double d0 = map["depth"][0], d1 = map["depth"][1], o0 = map["offset"][0], o1 = map["offset"][1];
  int good = 0;
  for (std::size_t k = 0; k < rows.size(); k += 5)
    for (std::size_t i = 0; i < rows[k].get<std::string>().size(); i += 6) {
      const double depth = d0 + (d1 - d0) * static_cast<double>(k) / static_cast<double>(rows.size() - 1);
      const double offset = o0 + (o1 - o0) * static_cast<double>(i) /
                                     static_cast<double>(rows[k].get<std::string>().size() - 1);
      const Json there = cut(edits(std::to_string(depth), std::to_string(offset)));
      REQUIRE(there.at("ok") == true);
      const bool inside = rows[k].get<std::string>()[i] == '.';
      INFO(depth << " " << offset);
      CHECK(there.at("verdict").at("good").get<bool>() == inside);
      good += inside;
    }
  int all = 0;
  for (const Json& row : rows)
    for (const char c : row.get<std::string>()) all += c == '.';
  CHECK(all > 0);
}

TEST_CASE("scenes are saved beside the tried one, never over another unasked", "[try]") {
  const TemporaryFolder folder;
  const Sample sample{kScene, "scene.toml", folder.path()};
  Json request = edits("3.55", "0.4");
  request["name"] = "new.toml";
  CHECK(Json::parse(save_scene(sample, request.dump())).at("ok") == true);
  const std::string saved = ovolo::tests::read_text(folder.path() / "new.toml");
  CHECK(saved.find("offset = 0.4   # on the line") != std::string::npos);
  ovolo::tests::write_text(folder.path() / "new.toml", "mine");
  CHECK(Json::parse(save_scene(sample, request.dump())).at("exists") == true);
  CHECK(ovolo::tests::read_text(folder.path() / "new.toml") == "mine");
  request["over"] = true;
  CHECK(Json::parse(save_scene(sample, request.dump())).at("ok") == true);
  CHECK(ovolo::tests::read_text(folder.path() / "new.toml") == saved);
  for (const char* name : {"../up.toml", "/tmp/x.toml", "a/b.toml", ".toml", "x.sh", "", "a\\b.toml"}) {
    request["name"] = name;
    CHECK(Json::parse(save_scene(sample, request.dump())).at("ok") == false);
  }
}

TEST_CASE("a dropped drawing is read before it is kept", "[try]") {
  const TemporaryFolder folder;
  const Sample sample{kScene, "scene.toml", folder.path()};
  const std::string svg =
      R"(<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="250mm" viewBox="0 0 400 250"><path d="M50 50H350V200H50Z"/></svg>)";
  const auto keep = [&](const Json& request) { return Json::parse(keep_dropped(sample, request.dump())); };
  CHECK(keep({{"name", "rim.svg"}, {"text", "<svg"}}).at("ok") == false);
  CHECK(!std::filesystem::exists(folder.path() / "rim.svg"));
  CHECK(keep({{"name", "rim.svg"}, {"text", svg}}).at("ok") == true);
  CHECK(keep({{"name", "rim.svg"}, {"text", svg}}).at("ok") == true);
  CHECK(keep({{"name", "rim.svg"}, {"text", svg + " "}}).at("exists") == true);
  CHECK(keep({{"name", "../rim.svg"}, {"text", svg}}).at("ok") == false);
  CHECK(keep({{"name", "rim.exe"}, {"text", svg}}).at("ok") == false);
  Json request = {{"edits", {{{"path", "contours/outline/drawing"}, {"value", "rim.svg"}}}}};
  const Json answer = Json::parse(answer_cut(sample, request.dump()));
  REQUIRE(answer.at("ok") == true);
  CHECK(answer.at("settings").at("contours").at(0).at("segments").size() == 4);
}

TEST_CASE("a dropped file that the scene cannot do with is refused and not written", "[try]") {
  const TemporaryFolder folder;
  const Sample sample{kScene, (folder.path() / "scene.toml").string(), folder.path()};
  const auto refusal = [&](Json request) {
    const Json answer = Json::parse(keep_dropped(sample, request.dump()));
    INFO(answer.dump());
    REQUIRE(answer.at("ok") == false);
    CHECK(std::filesystem::is_empty(folder.path()));
    return answer.at("faults").at(0).at("text").get<std::string>();
  };
  // Wrong in itself: told at its own line, by its name alone.
  CHECK(refusal({{"name", "bad.nc"}, {"text", "G21 G90\nT1 M6\nG1 X10 Q\nM2\n"}}).starts_with("bad.nc:3:"));
  CHECK(refusal({{"name", "short.nc"}, {"text", "G21 G90\nT1 M6\n"}}).find("M2") != std::string::npos);
  // A drawing can be read but not be cut: a curve that does not close, a contour the bit cannot follow.
  const auto svg = [](const std::string& path) {
    return R"(<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="250mm" viewBox="0 0 400 250"><path d=")" +
           path + R"("/></svg>)";
  };
  CHECK(refusal({{"name", "open.svg"}, {"text", svg("M50 50H350V200")}}).starts_with("scene.toml") == false);
  CHECK_FALSE(refusal({{"name", "far.svg"}, {"text", svg("M500 500H900V700H500Z")}}).empty());
  CHECK_FALSE(refusal({{"name", "no.dxf"}, {"text", "0\nSECTION\n"}}).empty());
  // Nor while the page holds a value that is refused.
  Json request = edits("deep", "0");
  request["name"] = "rim.svg";
  request["text"] = svg("M50 50H350V200H50Z");
  CHECK(refusal(request).find("not a length") != std::string::npos);
}

TEST_CASE("a dropped program makes the edge, bit and contour kept", "[try]") {
  const TemporaryFolder folder;
  const Sample sample{kScene, "scene.toml", folder.path()};
  // Climb round the rectangle 0.4 mm outside it, 3.55 deep (counter-clockwise on the way out; no corners
  // rounded).
  const std::string program =
      "(T9 in a comment)\nG21 G90 G17\nT3 M6\nS18000 M3\nG0 Z10\nG0 X200 Y34.6\nG1 Z-3.55 F600\n"
      "G1 X335 F1500\nG3 X350.4 Y50 I0 J15.4\nG1 Y200\nG3 X335 Y215.4 I-15.4 J0\nG1 X65\nG3 X49.6 Y200 I0 "
      "J-15.4\n"
      "G1 Y50\nG3 X65 Y34.6 I15.4 J0\nG1 X200\nG0 Z10\nM2\n";
  const Json kept = Json::parse(keep_dropped(sample, Json{{"name", "rim.ngc"}, {"text", program}}.dump()));
  REQUIRE(kept.at("ok") == true);
  CHECK(kept.at("tool") == 3);
  CHECK(Json::parse(keep_dropped(sample, Json{{"name", "no.ngc"}, {"text", std::string("a\0b", 3)}}.dump()))
            .at("ok") == false);
  const auto posted = [&](const std::string& value) {
    const Json request = {{"edits", {{{"path", "operations/0/posted"}, {"value", value}}}}};
    return Json::parse(answer_cut(sample, request.dump()));
  };
  const Json answer = posted("rim.ngc, 3");
  INFO(answer.dump());
  REQUIRE(answer.at("ok") == true);
  const Json& op = answer.at("settings").at("operations").at(0);
  CHECK(op.at("kind") == "program");
  CHECK(op.at("depth").get<double>() == Approx(3.55).margin(1e-3));
  CHECK(op.at("offset").get<double>() == Approx(0.4).margin(1e-3));
  // As the closed forms say of depth 3.55, offset 0.40.
  CHECK(answer.at("station").at("foot_depth").get<double>() == Approx(2.9704).margin(1e-3));
  CHECK(answer.at("verdict").at("good") == true);
  CHECK(posted("missing.ngc, 3").at("ok") == false);
  CHECK(posted("rim.ngc, x").at("faults").at(0).at("path") == "operations/0/posted");
  CHECK(posted("rim.ngc, 4").at("ok") == false);
  CHECK(posted("../rim.ngc, 3").at("ok") == false);
}

TEST_CASE("only this machine's own page is answered", "[try]") {
  const TemporaryFolder folder;
  ovolo::tests::write_text(folder.path() / "scene.toml", kScene);
  const Served served(folder.path() / "scene.toml");
  REQUIRE(served.port() > 0);
  httplib::Client client("127.0.0.1", served.port());
  const std::string own = "127.0.0.1:" + std::to_string(served.port());
  const auto get = [&](const httplib::Headers& headers, const char* path = "/") {
    const auto r = client.Get(path, headers);
    return r ? r->status : 0;
  };
  const auto post = [&](const httplib::Headers& headers, const std::string& body,
                        const char* type = "application/json") {
    const auto r = client.Post("/cut", headers, body, type);
    return r ? r->status : 0;
  };
  CHECK(get({}) == 200);
  CHECK(get({{"Host", "127.0.0.1"}}) == 403);
  CHECK(get({{"Host", "somewhere.example:" + std::to_string(served.port())}}) == 403);
  CHECK(get({}, "/../scene.toml") == 404);
  CHECK(get({}, "/scene.toml") == 404);
  CHECK(post({}, "{}") == 200);
  CHECK(post({{"Origin", "http://" + own}}, "{}") == 200);
  CHECK(post({{"Origin", "http://somewhere.example"}}, "{}") == 403);
  CHECK(post({{"Origin", "null"}}, "{}") == 403);
  CHECK(post({}, "{}", "text/plain") == 415);
  CHECK(post({}, "nonsense") == 400);
  CHECK(post({}, std::string(9u << 20, ' ')) == 413);
  const auto page = client.Get("/");
  REQUIRE(page);
  CHECK(page->get_header_value("Content-Security-Policy").find("default-src 'none'") != std::string::npos);
}

TEST_CASE("a page's long work ends for its next turn, not for a feed or another page's turn", "[try]") {
  const TemporaryFolder folder;
  ovolo::tests::write_text(folder.path() / "scene.toml", kScene);
  std::atomic<bool> drawing = false;
  // Draws until it is stopped, and for ten seconds at most.
  const auto draw = [&](const auto&, const auto&, const auto&, const auto&, const auto&,
                        const ovolo::StopCheck& stop) {
    drawing = true;
    for (int i = 0; i < 1000; ++i) {
      stop();
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return EdgeView{};
  };
  const Served served(folder.path() / "scene.toml", draw);
  const auto post = [&](const char* path, const std::string& body) {
    const auto r = httplib::Client("127.0.0.1", served.port()).Post(path, body, "application/json");
    return r ? r->status : 0;
  };
  auto picture =
      std::async(std::launch::async, [&] { return post("/picture", R"({"page": "a", "turn": 1})"); });
  while (!drawing) std::this_thread::sleep_for(std::chrono::milliseconds(5));
  CHECK(post("/cut", "{}") == 200);
  CHECK(post("/cut", R"({"page": "b", "turn": 9})") == 200);
  CHECK(picture.wait_for(std::chrono::milliseconds(100)) == std::future_status::timeout);
  CHECK(post("/cut", R"({"page": "a", "turn": 2})") == 200);
  CHECK(picture.get() == 409);
}

TEST_CASE("a port that is taken is not shared", "[try]") {
  const std::filesystem::path scene = OVOLO_SOURCE_DIR "/scenes/trailhead-sign.toml";
  const Served first(scene);
  CHECK(httplib::Client("127.0.0.1", first.port()).Get("/"));  // it listens
  TryServer second(scene, {});
  CHECK(second.bind(first.port()) == 0);
}
