// 3MF files as the format's own library (lib3mf) reads them.
#include <catch2/catch.hpp>

#include <Model/COM/NMR_DLLInterfaces.h>

#include <array>
#include <cstdio>
#include <string>
#include <vector>

#include "io/solid/files.hpp"
#include "sim/solid/mesher.hpp"
#include "tests/support/command.hpp"
#include "tests/support/folded_jobs.hpp"

using namespace ovolo;
using namespace ovolo::test;

namespace {

struct ReadBack {
  unsigned warnings = 0, unit = 0;
  bool closed = false;
  std::size_t vertices = 0;
  double volume = 0;  // mm^3
  std::vector<std::string> materials;
};

void ok(LIB3MFRESULT result) { REQUIRE(result == 0); }

template <class Visit>
void each(NMR::PLib3MFModelResourceIterator* at, const Visit& visit) {
  BOOL more = 0;
  for (ok(NMR::lib3mf_resourceiterator_movenext(at, &more)); more != 0;
       ok(NMR::lib3mf_resourceiterator_movenext(at, &more))) {
    NMR::PLib3MFModelResource* found = nullptr;
    ok(NMR::lib3mf_resourceiterator_getcurrent(at, &found));
    visit(found);
    NMR::lib3mf_release(found);
  }
  NMR::lib3mf_release(at);
}

void read_mesh(NMR::PLib3MFModelResource* mesh, ReadBack& out) {
  DWORD vertices = 0, triangles = 0, got = 0;
  BOOL closed = 0;
  ok(NMR::lib3mf_meshobject_ismanifoldandoriented(mesh, &closed));
  out.closed = closed != 0;
  ok(NMR::lib3mf_meshobject_getvertexcount(mesh, &vertices));
  ok(NMR::lib3mf_meshobject_gettrianglecount(mesh, &triangles));
  std::vector<NMR::MODELMESHVERTEX> v(vertices);
  std::vector<NMR::MODELMESHTRIANGLE> t(triangles);
  ok(NMR::lib3mf_meshobject_getvertices(mesh, v.data(), vertices, &got));
  ok(NMR::lib3mf_meshobject_gettriangleindices(mesh, t.data(), triangles, &got));
  out.vertices = vertices;
  const auto at = [&](DWORD i) {
    const auto& p = v[i].m_fPosition;
    return Point3{static_cast<double>(p[0]), static_cast<double>(p[1]), static_cast<double>(p[2])};
  };
  for (const NMR::MODELMESHTRIANGLE& c : t)
    out.volume += dot(at(c.m_nIndices[0]), cross(at(c.m_nIndices[1]), at(c.m_nIndices[2]))) / 6;
}

ReadBack read_three_mf(const std::string& path) {
  ReadBack out;
  NMR::PLib3MFModel* model = nullptr;
  NMR::PLib3MFModelReader* reader = nullptr;
  NMR::PLib3MFModelResourceIterator* resources = nullptr;
  ok(NMR::lib3mf_createmodel(&model));
  ok(NMR::lib3mf_model_queryreader(model, "3mf", &reader));
  ok(NMR::lib3mf_reader_readfromfileutf8(reader, path.c_str()));
  DWORD warnings = 0, unit = 0;
  ok(NMR::lib3mf_reader_getwarningcount(reader, &warnings));
  ok(NMR::lib3mf_model_getunit(model, &unit));
  out.warnings = warnings;
  out.unit = unit;
  ok(NMR::lib3mf_model_getmeshobjects(model, &resources));
  each(resources, [&](NMR::PLib3MFModelResource* mesh) { read_mesh(mesh, out); });
  ok(NMR::lib3mf_model_getbasematerials(model, &resources));
  each(resources, [&](NMR::PLib3MFModelResource* materials) {
    DWORD count = 0;
    ok(NMR::lib3mf_basematerial_getcount(materials, &count));
    for (DWORD i = 0; i < count; ++i) {
      std::array<char, 100> name{}, color{};
      ULONG length = 0;
      BYTE r = 0, g = 0, b = 0, a = 0;
      ok(NMR::lib3mf_basematerial_getnameutf8(materials, i, name.data(), 100, &length));
      ok(NMR::lib3mf_basematerial_getdisplaycolor(materials, i, &r, &g, &b, &a));
      std::snprintf(color.data(), color.size(), " #%02x%02x%02x", r, g, b);
      out.materials.push_back(std::string(name.data()) + color.data());
    }
  });
  NMR::lib3mf_release(reader);
  NMR::lib3mf_release(model);
  return out;
}

}  // namespace

TEST_CASE("3MF files are whole, in mm, with their layers, to the format's own library", "[io][solid]") {
  Job job = board(18);
  job.title = "Sides & \"backs\" <1>";
  job.stock.width = 60;
  job.stock.height = 50;
  job.stock.layers = {{"cap & face", 3, {0x1f, 0x4e, 0x3d}}, {"core <2>", 15, {0xf2, 0xea, 0xd7}}};
  const Plan plan;
  const MoveIndex index(plan, job);
  MeshOptions options;
  options.tolerance = 0.1;
  SolidMesh mesh = make_mesh(FinishedSheet(job, plan, index, SolidOf::sheet), options);
  split_at_heights(mesh, io::layer_bounds(job.stock));
  const tests::TemporaryFolder folder;
  const auto path = folder.path() / "sheet.3mf";
  io::write_three_mf(path, {mesh, job.stock, job.title});
  const ReadBack read = read_three_mf(path.string());
  CHECK(read.warnings == 0);
  CHECK(read.unit == NMR::MODELUNIT_MILLIMETER);
  CHECK(read.closed);
  CHECK(read.vertices == mesh.vertices.size());
  CHECK(read.volume == Approx(60 * 50 * 18).epsilon(1e-6));
  CHECK(read.materials == std::vector<std::string>{"cap & face #1f4e3d", "core <2> #f2ead7"});
}
