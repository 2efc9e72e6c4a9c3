#pragma once
#include <filesystem>
#include <string_view>
#include <vector>

#include "io/error.hpp"
#include "sim/job.hpp"

namespace ovolo::io {

struct BitsFile {
  std::vector<Bit> bits;
  bool inch = false;  ///< what the file's bare numbers are in
};

/// A shop's bits, kept in a TOML file of their own: `units`, and a table [bits.ID] for each, with the keys
/// that it would have in a scene. `stock` gives the height of a cutting wall whose length is not told. Throws
/// SceneError.
BitsFile read_bits_file(const std::filesystem::path& path, const Stock& stock);
/// The same for a text; drawings that it names are looked for from `folder`.
BitsFile parse_bits(std::string_view text, const std::string& name, const std::filesystem::path& folder,
                    const Stock& stock);

}  // namespace ovolo::io
