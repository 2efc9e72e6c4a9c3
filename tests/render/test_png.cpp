#include <stb_image.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <memory>

#include "render/image.hpp"
#include "render/png.hpp"

using namespace ovolo::render;
namespace fs = std::filesystem;

namespace {

Image read_back(const std::string& png) {
  int width = 0, height = 0, channels = 0;
  const std::unique_ptr<stbi_uc, void (*)(void*)> data(
      stbi_load_from_memory(reinterpret_cast<const stbi_uc*>(png.data()), static_cast<int>(png.size()),
                            &width, &height, &channels, 4),
      stbi_image_free);
  REQUIRE(data != nullptr);
  Image image(width, height);
  std::copy(data.get(), data.get() + image.rgba.size(), image.rgba.begin());
  return image;
}

Image sample(bool opaque) {
  Image image(37, 23);
  for (int y = 0; y < image.height; ++y) {
    for (int x = 0; x < image.width; ++x) {
      std::uint8_t* p = image.pixel(x, y);
      p[0] = static_cast<std::uint8_t>(7 * x);
      p[1] = static_cast<std::uint8_t>(11 * y);
      p[2] = static_cast<std::uint8_t>(x * y);
      p[3] = static_cast<std::uint8_t>(opaque ? 255 : 5 * x);
    }
  }
  return image;
}

struct Folder {
  fs::path path = fs::temp_directory_path() / ("pictures" + std::to_string(getpid()));
  Folder() { fs::create_directory(path); }
  ~Folder() { fs::remove_all(path); }
};

}  // namespace

TEST_CASE("a PNG reads back as it was", "[render]") {
  for (const bool opaque : {true, false}) {
    const Image image = sample(opaque);
    const Image back = read_back(encode_png(image));
    CHECK(back.width == image.width);
    CHECK(back.height == image.height);
    CHECK(back.rgba == image.rgba);
  }
  CHECK_THROWS_AS(encode_png(Image()), std::runtime_error);
}

TEST_CASE("pictures are written whole or not at all", "[render]") {
  const Folder folder;
  const std::string path = (folder.path / "edge.png").string();
  write_png(path, sample(true));
  std::ifstream file(path, std::ios::binary);
  const std::string bytes((std::istreambuf_iterator<char>(file)), {});
  CHECK(read_back(bytes).rgba == sample(true).rgba);

  // A folder stands where the file should go: the message names it, and nothing else is left beside it.
  const std::string taken = (folder.path / "taken").string();
  fs::create_directory(taken);
  CHECK_THROWS_WITH(write_whole(taken, "x"), Catch::Contains(taken) && Catch::Contains("directory"));
  const std::string missing = (folder.path / "none" / "edge.png").string();
  CHECK_THROWS_WITH(write_whole(missing, "x"), Catch::Contains(missing) && Catch::Contains("No such file"));
  std::size_t entries = 0;
  for ([[maybe_unused]] const auto& entry : fs::directory_iterator(folder.path)) ++entries;
  CHECK(entries == 2);
}

TEST_CASE("pictures are laid over one another by their alpha", "[render]") {
  Image base(2, 1), over(2, 1);
  base.rgba = {200, 100, 0, 255, 10, 10, 10, 255};
  over.rgba = {0, 0, 100, 128, 50, 60, 70, 255};
  lay_over(base, over);
  CHECK(base.pixel(0, 0)[0] == Approx(100).margin(1));
  CHECK(base.pixel(0, 0)[2] == Approx(50).margin(1));
  CHECK(base.pixel(0, 0)[3] == 255);
  CHECK(base.pixel(1, 0)[1] == 60);
  Image clear(2, 1);
  lay_over(clear, over, 1, 0);  // shifted: only one pixel lands
  CHECK(clear.pixel(1, 0)[2] == 100);
  CHECK(clear.pixel(1, 0)[3] == 128);
  CHECK(clear.pixel(0, 0)[3] == 0);
}

TEST_CASE("the difference of pictures runs from 0 to 1", "[render]") {
  Image black(9, 9), white(9, 9);
  std::fill(white.rgba.begin(), white.rgba.end(), std::uint8_t{255});
  CHECK(difference(black, black) == 0);
  CHECK(difference(black, white) == Approx(1));
  CHECK_THROWS_AS(difference(black, Image(3, 3)), std::invalid_argument);
}
