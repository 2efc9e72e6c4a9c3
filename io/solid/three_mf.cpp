#include <fmt/format.h>
#include <minizip/zip.h>

#include <iterator>
#include <memory>

#include "io/solid/files.hpp"
#include "sim/text.hpp"

namespace ovolo::io {
namespace {

constexpr const char* kContentTypes =
    R"(<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
)";
constexpr const char* kRelations =
    R"(<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
)";

// XML carries no control characters.
std::string escaped(std::string text) {
  std::erase_if(text, [](char c) { return static_cast<unsigned char>(c) < 32; });
  return markup_text(text);
}

// Writes one member of the package piece by piece: a model's text is far larger than the model.
class Package {
 public:
  explicit Package(const std::filesystem::path& path) : path_(path), zip_(zipOpen64(path.c_str(), 0)) {
    check(zip_ != nullptr);
  }
  Package(const Package&) = delete;
  Package& operator=(const Package&) = delete;
  ~Package() {
    if (zip_) zipClose(zip_, nullptr);
  }
  // `large`: of 4 GiB or more. Readers find the fields for that inconsistent where they are not needed.
  void begin(const char* name, bool large = false) {
    zip_fileinfo day{};  // always the first that a zip can tell: equal jobs make equal files
    day.tmz_date.tm_year = 1980;
    day.tmz_date.tm_mday = 1;
    check(zipOpenNewFileInZip64(zip_, name, &day, nullptr, 0, nullptr, 0, nullptr, Z_DEFLATED, 4,
                                large ? 1 : 0) == ZIP_OK);
  }
  void write(std::string& text) {
    check(zipWriteInFileInZip(zip_, text.data(), static_cast<unsigned>(text.size())) == ZIP_OK);
    text.clear();
  }
  void end() { check(zipCloseFileInZip(zip_) == ZIP_OK); }
  void close() {
    const int result = zipClose(zip_, nullptr);
    zip_ = nullptr;
    check(result == ZIP_OK);
  }

 private:
  void check(bool good) const {
    if (!good)
      throw WriteError(fmt::format("{}: cannot be written: choose another folder with --out, or make room",
                                   path_.string()));
  }
  std::filesystem::path path_;
  zipFile zip_;
};

}  // namespace

void write_three_mf(const std::filesystem::path& path, const LayeredSolid& solid) {
  constexpr std::size_t kPiece = 1 << 20;
  const SolidMesh& mesh = solid.mesh;
  Package package(path);
  std::string text = kContentTypes;
  package.begin("[Content_Types].xml");
  package.write(text);
  package.end();
  text = kRelations;
  package.begin("_rels/.rels");
  package.write(text);
  package.end();
  constexpr std::size_t kVertex = 100, kTriangle = 80;  // bytes of text at most
  package.begin("3D/3dmodel.model",
                kVertex * mesh.vertices.size() + kTriangle * mesh.triangles.size() > 4'000'000'000U);
  text =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"en-US\" "
      "xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n";
  auto to = std::back_inserter(text);
  fmt::format_to(to, "<metadata name=\"Title\">{}</metadata>\n<resources>\n<basematerials id=\"1\">\n",
                 escaped(solid.title));
  for (const Layer& layer : solid.stock.layers)
    fmt::format_to(to, "<base name=\"{}\" displaycolor=\"#{:02X}{:02X}{:02X}\"/>\n", escaped(layer.name),
                   layer.color[0], layer.color[1], layer.color[2]);
  fmt::format_to(
      to, "</basematerials>\n<object id=\"2\" type=\"model\" pid=\"1\" pindex=\"0\">\n<mesh>\n<vertices>\n");
  for (const Point3& p : mesh.vertices) {
    fmt::format_to(to, "<vertex x=\"{:.9g}\" y=\"{:.9g}\" z=\"{:.9g}\"/>\n", p.x, p.y, p.z);
    if (text.size() > kPiece) package.write(text);
  }
  text += "</vertices>\n<triangles>\n";
  for (const auto& t : mesh.triangles) {
    fmt::format_to(to, "<triangle v1=\"{}\" v2=\"{}\" v3=\"{}\" pid=\"1\" p1=\"{}\"/>\n", t[0], t[1], t[2],
                   layer_of(solid, t));
    if (text.size() > kPiece) package.write(text);
  }
  text +=
      "</triangles>\n</mesh>\n</object>\n</resources>\n<build>\n<item objectid=\"2\"/>\n</build>\n</model>\n";
  package.write(text);
  package.end();
  package.close();
}

}  // namespace ovolo::io
