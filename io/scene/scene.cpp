#include "io/scene/scene.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "io/bits/bits_file.hpp"
#include "io/file.hpp"
#include "io/scene/parts.hpp"
#include "io/scene/table.hpp"
#include "io/scene/toml.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::array<std::string_view, 2> kUnits{"mm", "inch"};

void read_kept_bits(Table& scene, const std::string& file, Job& job, Reading& reading) {
  const std::filesystem::path path = reading.folder / file;
  std::string text;
  try {
    text = read_file(path);
  } catch (const SceneError& error) {
    // A file that cannot be read has no line of its own: it is named wrongly here.
    scene.fault("bits_file", fmt::format("`bits_file` of the scene: {}", error.what()));
    return;
  }
  try {
    job.bits = parse_bits(text, path.string(), path.parent_path(), job.stock).bits;
  } catch (const SceneError& error) {
    reading.adopt(error.faults());
  }
}

// The scene's own bits behind those of its bits file, or in the place of one where they say so.
void add_bits(const Node& node, Job& job, Reading& reading) {
  std::vector<std::string> stand_ins;
  std::vector<Bit> own = read_bits(node, job.stock, reading, &stand_ins);
  std::vector<Bit>& bits = job.bits;
  const auto kept = static_cast<std::ptrdiff_t>(bits.size());
  for (Bit& bit : own) {
    const bool stands_in = std::find(stand_ins.begin(), stand_ins.end(), bit.id) != stand_ins.end();
    const Place place{bit.source.line, bit.source.column};
    const auto twin =
        std::find_if(bits.begin(), bits.begin() + kept, [&](const Bit& b) { return b.id == bit.id; });
    if (twin != bits.begin() + kept) {
      if (stands_in) {
        *twin = std::move(bit);
        continue;
      }
      reading.fault(place, fmt::format("bit `{}` stands in {} too (line {}); rename or remove one, or write "
                                       "`instead_of_kept = true` into it to use it in place of that one",
                                       shown(bit.id), twin->source.file, twin->source.line));
    } else if (stands_in) {
      reading.fault(place, fmt::format("bit `{}` has `instead_of_kept`, but no bits file has a bit of this "
                                       "name; remove the key, or see to `bits_file`",
                                       shown(bit.id)));
    }
    bits.push_back(std::move(bit));
  }
}

}  // namespace

Job read_scene(const std::filesystem::path& path) {
  return parse_scene(read_file(path), path.string(), path.parent_path());
}

Job parse_scene(std::string_view text, const std::string& name, const std::filesystem::path& folder,
                const FileInHand* in_hand) {
  return read_job(parse_toml(text, name), name, folder, in_hand);
}

Job read_job(const Node& root, const std::string& name, const std::filesystem::path& folder,
             const FileInHand* in_hand) {
  Reading reading(name, folder, in_hand);
  Table scene(root, "the scene", reading);
  Job job;
  job.file = name;
  job.title = scene.text("title").value_or(std::filesystem::path(name).stem().string());
  const auto units = scene.choice("units", kUnits);
  job.inch = units.value_or(0) == 1;
  reading.units = job.inch ? Units::inch : Units::mm;
  if (const Node* stock = scene.table("stock", "a table [stock] with size and layers", Need::yes))
    job.stock = read_stock(*stock, reading);
  if (const auto name_of_file = scene.text("bits_file")) read_kept_bits(scene, *name_of_file, job, reading);
  if (const Node* bits = scene.table("bits", "a table such as [bits.round6], or a bits_file",
                                     scene.has("bits_file") ? Need::no : Need::yes))
    add_bits(*bits, job, reading);
  if (const Node* contours = scene.table("contours", "a table such as [contours.outline]", Need::yes))
    job.contours = read_contours(*contours, job.stock, reading);
  if (const Node* operations = scene.any("operations", "one under [[operations]]", Need::yes))
    job.operations = read_operations(*operations, job, reading);
  if (const Node* wishes = scene.table("wishes", "a table [wishes]"))
    job.wishes = read_wishes(*wishes, job.stock, reading);
  if (const Node* machine = scene.table("machine", "a table [machine]"))
    job.shop.machine = read_machine(*machine, reading);
  if (const Node* material = scene.table("material", "a table [material]"))
    job.shop.material = read_material(*material, reading);
  if (const Node* sanding = scene.table("sanding", "a table [sanding]"))
    read_sanding(*sanding, job.shop.sand_rates, job.shop.sand_limits, reading);
  job.shop.rates.parts_per_sheet = parts_of(job);
  if (const Node* shop = scene.table("shop", "a table [shop]"))
    job.shop.rates = read_shop(*shop, job, reading);
  scene.any("strategies", "", Need::no);  // other ways to do the job, for `compare`
  job.errors.runout = job.shop.machine.runout;
  if (const Node* errors = scene.table("errors", "a table [errors]"))
    job.errors = read_errors(*errors, job.errors, reading);
  if (const Node* surface = scene.table("surface", "a table [surface]"))
    job.shape = read_surface(*surface, job, reading);
  for (const Operation& op : job.operations)
    if (op.kind == OperationKind::turn && !job.shape.flat())
      reading.fault({op.source.line, op.source.column},
                    "a sheet that is turned over is taken as flat; remove [surface], or the turn");
  if (const Node* batch = scene.table("batch", "a table [batch]"))
    job.variation = read_variation(*batch, reading);
  scene.finish();
  reading.raise();
  job.units_assumed = !units && reading.bare_lengths;
  return job;
}

}  // namespace ovolo::io
