#include "render/png.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <libdeflate.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <stdexcept>

namespace {

// What stb_image_write calls to pack a picture: its own packer takes three times as long and packs less well.
// The memory is freed by stb_image_write.
unsigned char* pack(unsigned char* data, int size, int* packed, int) {
  constexpr int kLevel = 6;
  struct Release {
    void operator()(libdeflate_compressor* p) const { libdeflate_free_compressor(p); }
  };
  const std::unique_ptr<libdeflate_compressor, Release> packer(libdeflate_alloc_compressor(kLevel));
  if (!packer) return nullptr;
  const auto given = static_cast<std::size_t>(size);
  const std::size_t most = libdeflate_zlib_compress_bound(packer.get(), given);
  auto* out = static_cast<unsigned char*>(std::malloc(most));
  if (out == nullptr) return nullptr;
  *packed = static_cast<int>(libdeflate_zlib_compress(packer.get(), data, given, out, most));
  return out;
}

}  // namespace

#define STBIW_ZLIB_COMPRESS pack
#define STB_IMAGE_WRITE_STATIC
#define STB_IMAGE_WRITE_IMPLEMENTATION
#include <stb_image_write.h>

namespace ovolo::render {

namespace {

// Rows as they are: trying all of PNG's filters costs more than the packing and gains nothing on drawings.
[[maybe_unused]] const int kFilter = stbi_write_force_png_filter = 0;

void append(void* to, void* data, int size) {
  static_cast<std::string*>(to)->append(static_cast<const char*>(data), static_cast<std::size_t>(size));
}

bool opaque(const Image& image) {
  for (std::size_t i = 3; i < image.rgba.size(); i += 4) {
    if (image.rgba[i] != 255) return false;
  }
  return true;
}

[[noreturn]] void fail(const std::string& path, int reason) {
  throw std::runtime_error(fmt::format("cannot write {}: {}", path, std::strerror(reason)));
}

}  // namespace

std::string encode_png(const Image& image) {
  if (image.width <= 0 || image.height <= 0) throw std::runtime_error("an empty picture cannot be written");
  std::string out;
  int done = 0;
  if (opaque(image)) {
    PageVector<std::uint8_t> rgb(image.rgba.size() / 4 * 3);
    for (std::size_t i = 0; i < image.rgba.size() / 4; ++i) std::memcpy(&rgb[3 * i], &image.rgba[4 * i], 3);
    done = stbi_write_png_to_func(append, &out, image.width, image.height, 3, rgb.data(), 3 * image.width);
  } else {
    done = stbi_write_png_to_func(append, &out, image.width, image.height, 4, image.rgba.data(),
                                  4 * image.width);
  }
  if (done == 0) throw std::runtime_error("the picture could not be packed as PNG: out of memory");
  return out;
}

void write_whole(const std::string& path, std::string_view bytes) {
  const std::string part = fmt::format("{}.part{}", path, getpid());
  const int file = open(part.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
  if (file < 0) fail(path, errno);
  int reason = 0;
  for (std::size_t done = 0; done < bytes.size() && reason == 0;) {
    const ssize_t n = write(file, bytes.data() + done, bytes.size() - done);
    if (n >= 0) {
      done += static_cast<std::size_t>(n);
    } else if (errno != EINTR) {
      reason = errno;
    }
  }
  if (close(file) != 0 && reason == 0) reason = errno;
  if (reason == 0 && rename(part.c_str(), path.c_str()) != 0) reason = errno;
  if (reason != 0) {
    unlink(part.c_str());
    fail(path, reason);
  }
}

}  // namespace ovolo::render
