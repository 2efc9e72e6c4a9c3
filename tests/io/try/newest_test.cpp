// What ends an answer that nobody waits for any more.
#include <catch2/catch.hpp>
#include <filesystem>

#include "io/file.hpp"
#include "io/try/answer.hpp"
#include "io/try/newest.hpp"
#include "sim/error.hpp"

using namespace ovolo;
using namespace ovolo::io;

TEST_CASE("a page's older question ends when it asks again, another page's does not", "[try]") {
  Newest newest;
  const StopCheck first = newest.of("a", 1, {}), other = newest.of("b", 1, {}),
                  nameless = newest.of("", 0, {});
  CHECK_NOTHROW(first());
  const StopCheck second = newest.of("a", 2, {});
  CHECK_THROWS_AS(first(), Interrupted);
  CHECK_NOTHROW(second());
  CHECK_NOTHROW(other());
  CHECK_NOTHROW(nameless());
  CHECK_THROWS_AS(newest.of("a", 1, {})(), Interrupted);  // come late
  const StopCheck ending = newest.of("c", 1, [] { throw Interrupted(); });
  CHECK_THROWS_AS(ending(), Interrupted);
  for (int i = 0; i < 3000; ++i) newest.of("page " + std::to_string(i), 1, {});
  CHECK_NOTHROW(second());
}

TEST_CASE("who asks is read from the question", "[try]") {
  CHECK(asker_of(R"({"page": "x", "turn": 7})").page == "x");
  CHECK(asker_of(R"({"page": "x", "turn": 7})").turn == 7);
  CHECK(asker_of(R"({"page": 3, "turn": -1})").page.empty());
  CHECK(asker_of("[").turn == 0);
  CHECK(asker_of("{\"page\": \"" + std::string(200, 'x') + "\"}").page.size() == 64);
}

TEST_CASE("long answers end when they are told to", "[try]") {
  const std::filesystem::path folder = OVOLO_SOURCE_DIR "/scenes", file = folder / "shelf-bullnose.toml";
  const Sample sample{read_file(file), file.string(), folder};
  const CloseUpMaker drawing = [](const Job&, const Plan&, const MoveIndex&, const EdgeMeasures&,
                                  const PictureRoom&, const StopCheck& stop) {
    stop();
    return EdgeView{};
  };
  const StopCheck now = [] { throw Interrupted(); };
  CHECK_THROWS_AS(answer_picture(sample, "{}", drawing, now), Interrupted);
  CHECK_THROWS_AS(answer_whole(sample, "{}", drawing, now), Interrupted);
  CHECK_NOTHROW(answer_picture(sample, "{}", drawing, [] {}));
  const std::filesystem::path sign = folder / "trailhead-sign.toml";
  CHECK_THROWS_AS(answer_best({read_file(sign), sign.string(), folder}, "{}", now), Interrupted);
}
