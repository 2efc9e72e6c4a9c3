// Reads the entities of a DXF file from its groups. The codes are those of the format's published reference.
// Groups are read here and not by a library: one that turns a broken number into 0 and allocates what a count
// says cannot name the line that has to be mended.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <numbers>
#include <utility>

#include "io/drawing/chain_builder.hpp"
#include "io/drawing/drawing.hpp"
#include "io/drawing/dxf_groups.hpp"
#include "io/drawing/dxf_text.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr int kDeepest = 16;                 // nested blocks
constexpr std::size_t kMostVisits = 200000;  // entities drawn, block copies counted each time

std::string upper(std::string_view s) {
  std::string out(s);
  for (char& c : out) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return out;
}

/// One entity: its groups [first, last) after the one that names it.
struct Entity {
  std::string_view type;
  std::size_t first = 0, last = 0;
  int line = 0;
  std::vector<Entity> vertices;  // of a POLYLINE
};

struct Block {
  Vec2 base;
  std::vector<Entity> entities;
};

class DxfReader {
 public:
  DxfReader(std::string_view text, const std::string& file, const DrawingChoice& choice)
      : file_(file), choice_(choice), groups_(dxf_groups(text, file)), builder_(choice.tolerance) {
    if (choice.layer) layer_ = upper(*choice.layer);
  }

  Drawing run() {
    if (choice_.id) throw DrawingError({file_, 0, 0}, "a DXF's pieces are chosen by layer, not by id");
    sections();
    if (!found_entities_)
      throw DrawingError({file_, 0, 0},
                         "the file has no ENTITIES section: this is no DXF drawing, or it was cut short");
    const double scale = unit_in_mm();
    draw(entities_, Affine::scaling(scale, scale), "0", 0);
    if (layer_ && !layer_seen_)
      throw DrawingError({file_, 0, 0}, fmt::format("nothing stands on layer '{}'; there is: {}",
                                                    *choice_.layer, layers_seen()));
    Drawing out;
    out.chains = builder_.take();
    out.notes = std::move(notes_);
    for (const auto& [what, count] : left_out_)
      out.notes.push_back(fmt::format("left out: {} {}", count, what));
    return out;
  }

 private:
  [[noreturn]] void fail(const DxfGroup& group, const std::string& what) const {
    throw DrawingError({file_, group.line, group.column}, what);
  }
  [[noreturn]] void fail(const Entity& e, const std::string& what) const {
    throw DrawingError({file_, e.line, 1}, fmt::format("{}: {}", shown(e.type, 40), what));
  }

  // ---- the file's parts

  void sections() {
    std::size_t i = 0;
    while (i < groups_.size()) {
      const DxfGroup& g = groups_[i++];
      if (g.code != 0) fail(g, fmt::format("a section is wanted here (group 0), not group {}", g.code));
      if (g.value == "EOF") return;
      if (g.value != "SECTION")
        fail(g, fmt::format("a section is wanted here, not '{}'", std::string(g.value.substr(0, 40))));
      if (i >= groups_.size() || groups_[i].code != 2)
        fail(g, "a section must begin with its name (group 2)");
      const std::string_view name = groups_[i++].value;
      std::size_t end = i;
      while (end < groups_.size() && !(groups_[end].code == 0 && groups_[end].value == "ENDSEC")) ++end;
      if (end == groups_.size())
        fail(g, fmt::format("the section {} is never ended: the file was cut short",
                            std::string(name.substr(0, 40))));
      if (name == "HEADER") header(i, end);
      if (name == "TABLES") tables(i, end);
      if (name == "BLOCKS") blocks(i, end);
      if (name == "ENTITIES") {
        found_entities_ = true;
        entities_ = entities(i, end);
      }
      i = end + 1;
    }
  }

  void header(std::size_t i, std::size_t end) {
    for (; i + 1 < end; ++i)
      if (groups_[i].code == 9 && groups_[i].value == "$INSUNITS")
        header_units_ = dxf_whole(groups_[i + 1], file_);
  }

  void tables(std::size_t i, std::size_t end) {
    bool layer = false;
    std::string name;
    for (; i < end; ++i) {
      const DxfGroup& g = groups_[i];
      if (g.code == 0) {
        layer = g.value == "LAYER";
        name.clear();
      } else if (layer && g.code == 2) {
        name = upper(g.value);
      } else if (layer && ((g.code == 70 && (dxf_whole(g, file_) & 1) != 0) ||
                           (g.code == 62 && dxf_whole(g, file_) < 0))) {
        off_.push_back(name);
      }
    }
    std::sort(off_.begin(), off_.end());
  }

  std::vector<Entity> entities(std::size_t i, std::size_t end) const {
    std::vector<Entity> out;
    bool in_polyline = false;
    while (i < end) {
      if (groups_[i].code != 0) {
        ++i;
        continue;
      }
      Entity e;
      e.type = groups_[i].value;
      e.line = groups_[i].line;
      e.first = ++i;
      while (i < end && groups_[i].code != 0) ++i;
      e.last = i;
      if (e.type == "SEQEND") {
        in_polyline = false;
      } else if (e.type == "VERTEX") {
        if (!in_polyline) fail(e, "a vertex stands outside a POLYLINE");
        out.back().vertices.push_back(std::move(e));
      } else {
        if (in_polyline) fail(e, "the POLYLINE before it is never ended (SEQEND)");
        in_polyline = e.type == "POLYLINE";
        out.push_back(std::move(e));
      }
    }
    if (in_polyline) fail(out.back(), "it is never ended (SEQEND)");
    return out;
  }

  void blocks(std::size_t i, std::size_t end) {
    while (i < end) {
      if (groups_[i].code != 0 || groups_[i].value != "BLOCK") {
        ++i;
        continue;
      }
      const std::size_t head = ++i;
      while (i < end && groups_[i].code != 0) ++i;
      const Entity e{"BLOCK", head, i, groups_[head - 1].line, {}};
      Block block;
      block.base = {number(e, 10, 0), number(e, 20, 0)};
      const std::string name = upper(text(e, 2));
      const std::size_t body = i;
      while (i < end && !(groups_[i].code == 0 && groups_[i].value == "ENDBLK")) ++i;
      if (i == end) fail(e, "it is never ended (ENDBLK)");
      block.entities = entities(body, i);
      blocks_.emplace(name, std::move(block));
    }
  }

  double unit_in_mm() {
    struct Unit {
      int code;
      const char* name;
      double mm;
    };
    static constexpr std::array<Unit, 10> kUnits{{{1, "in", 25.4},
                                                  {2, "ft", 304.8},
                                                  {4, "mm", 1},
                                                  {5, "cm", 10},
                                                  {6, "m", 1000},
                                                  {8, "millionths of an inch", 25.4e-6},
                                                  {9, "thou", 0.0254},
                                                  {10, "yd", 914.4},
                                                  {13, "um", 0.001},
                                                  {14, "dm", 100}}};
    const Unit* header = nullptr;
    for (const Unit& u : kUnits)
      if (header_units_ == u.code) header = &u;
    if (choice_.units) {
      for (const Unit& u : kUnits) {
        if (*choice_.units != u.name) continue;
        if (header != nullptr && header->code != u.code)
          notes_.push_back(fmt::format("read in {} as the scene says, although the drawing's header says {}",
                                       u.name, header->name));
        else
          notes_.push_back(fmt::format("read in {} as the scene says", u.name));
        return u.mm;
      }
      throw DrawingError(
          {file_, 0, 0},
          fmt::format("the unit '{}' is not known here: say mm, cm, m, in, ft or thou", *choice_.units));
    }
    if (header != nullptr) {
      notes_.push_back(fmt::format("read in {} as its header says", header->name));
      return header->mm;
    }
    if (header_units_ > 0)
      throw DrawingError(
          {file_, 0, 0},
          fmt::format("the header's unit ($INSUNITS {}) is not used in a shop: say units = \"mm\" or \"in\" "
                      "beside the drawing's name",
                      header_units_));
    throw DrawingError(
        {file_, 0, 0},
        "the header does not say in which unit it is drawn ($INSUNITS): say units = \"mm\" or \"in\" "
        "beside the drawing's name" +
            extent());
  }

  /// The size of what stands in the drawing, in its own units, to help choose them.
  std::string extent() const {
    Box2 box;
    const auto add = [&](const Entity& e) {
      // A circle's or an arc's centre stands for its whole circle.
      const Vec2 reach = Vec2{1, 1} * (e.type == "CIRCLE" || e.type == "ARC" ? number(e, 40, 0) : 0);
      for (std::size_t i = e.first; i + 1 < e.last; ++i) {
        if ((groups_[i].code != 10 && groups_[i].code != 11) || groups_[i + 1].code != groups_[i].code + 10)
          continue;
        const Vec2 p{dxf_number(groups_[i], file_), dxf_number(groups_[i + 1], file_)};
        box.add(p - reach);
        box.add(p + reach);
      }
    };
    for (const Entity& e : entities_) {
      if (on_paper(e)) continue;
      if (e.type != "POLYLINE") add(e);  // its own point says only how high it lies
      for (const Entity& v : e.vertices) add(v);
    }
    if (box.empty()) return "";
    return fmt::format(" (its points span {:.6g} x {:.6g})", box.hi.x - box.lo.x, box.hi.y - box.lo.y);
  }

  // ---- values of an entity

  const DxfGroup* find(const Entity& e, int code) const {
    for (std::size_t i = e.first; i < e.last; ++i)
      if (groups_[i].code == code) return &groups_[i];
    return nullptr;
  }
  double number(const Entity& e, int code) const {
    const DxfGroup* g = find(e, code);
    if (g == nullptr) fail(e, fmt::format("its group {} is missing", code));
    return dxf_number(*g, file_);
  }
  double number(const Entity& e, int code, double otherwise) const {
    const DxfGroup* g = find(e, code);
    return g == nullptr ? otherwise : dxf_number(*g, file_);
  }
  int whole(const Entity& e, int code, int otherwise) const {
    const DxfGroup* g = find(e, code);
    return g == nullptr ? otherwise : dxf_whole(*g, file_);
  }
  std::string_view text(const Entity& e, int code) const {
    const DxfGroup* g = find(e, code);
    return g == nullptr ? std::string_view() : g->value;
  }
  Vec2 point(const Entity& e, int x) const { return {number(e, x), number(e, x + 10)}; }

  /// From the entity's own plane to the drawing's: upright, or seen from below (mirrored in X).
  Affine plane(const Entity& e) const {
    const double x = number(e, 210, 0), y = number(e, 220, 0), z = number(e, 230, 1);
    if (std::abs(x) > 1e-6 || std::abs(y) > 1e-6 || z == 0)
      fail(e, "it is drawn in a tilted plane: flatten the drawing to the XY plane");
    return z > 0 ? Affine{} : Affine::scaling(-1, 1);
  }

  /// On a sheet of the printed layout, not in the drawing.
  bool on_paper(const Entity& e) const { return whole(e, 67, 0) == 1; }

  // ---- drawing

  std::string layers_seen() const {
    std::string out;
    int count = 0;
    for (const auto& [name, n] : on_layers_)
      if (++count <= 12) out += fmt::format("{}{} ({})", out.empty() ? "" : ", ", shown(name), n);
    if (count > 12) out += ", ...";
    return out.empty() ? "nothing at all" : out;
  }

  void draw(const std::vector<Entity>& list, const Affine& map, const std::string& parent_layer, int depth) {
    for (const Entity& e : list) {
      if (++visits_ > kMostVisits)
        fail(e, "the drawing comes to more than 200,000 entities: its block copies are too many");
      std::string layer(text(e, 8));
      if (layer.empty() || layer == "0")
        layer = parent_layer;  // pieces on layer 0 of a block follow its copy
      if (e.type == "INSERT") {
        insert(e, map, layer, depth);
        continue;
      }
      if (!wanted(e, layer)) continue;
      try {
        entity(e, map);
      } catch (const std::invalid_argument& error) {
        fail(e, error.what());
      }
    }
  }

  bool wanted(const Entity& e, const std::string& layer) {
    if (on_paper(e)) return false;
    ++on_layers_[layer];
    const std::string name = upper(layer);
    if (layer_) {
      if (name != *layer_) return false;
      layer_seen_ = true;
      return true;
    }
    if (std::binary_search(off_.begin(), off_.end(), name)) {
      ++left_out_[fmt::format("piece(s) on the switched-off layer {}", shown(layer))];
      return false;
    }
    if (whole(e, 60, 0) == 1) {
      ++left_out_["invisible piece(s)"];
      return false;
    }
    return true;
  }

  void insert(const Entity& e, const Affine& map, const std::string& layer, int depth) {
    if (on_paper(e)) return;
    if (!layer_ && whole(e, 60, 0) == 1) {
      ++left_out_["invisible piece(s)"];
      return;
    }
    if (depth >= kDeepest) fail(e, "blocks are nested more than 16 deep: does one hold itself?");
    if (!layer_ && std::binary_search(off_.begin(), off_.end(), upper(layer))) {
      ++left_out_[fmt::format("piece(s) on the switched-off layer {}", shown(layer))];
      return;
    }
    const auto it = blocks_.find(upper(text(e, 2)));
    if (it == blocks_.end())
      fail(e, fmt::format("it names the block '{}', which the drawing does not have",
                          std::string(text(e, 2).substr(0, 80))));
    const int columns = whole(e, 70, 1), rows = whole(e, 71, 1);
    if (columns < 1 || rows < 1 ||
        static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows) > kMostVisits)
      fail(e, "its columns and rows (groups 70 and 71) must be 1 to 200,000 copies");
    const Affine placed = map * plane(e) * Affine::translation(number(e, 10), number(e, 20)) *
                          Affine::rotation(number(e, 50, 0) * std::numbers::pi / 180);
    const Affine own = Affine::scaling(number(e, 41, 1), number(e, 42, 1)) *
                       Affine::translation(-it->second.base.x, -it->second.base.y);
    const double dx = number(e, 44, 0), dy = number(e, 45, 0);
    for (int r = 0; r < rows; ++r)
      for (int c = 0; c < columns; ++c) {
        if (++visits_ > kMostVisits)
          fail(e, "the drawing comes to more than 200,000 entities: its block copies are too many");
        draw(it->second.entities, placed * Affine::translation(c * dx, r * dy) * own, layer, depth + 1);
      }
  }

  void entity(const Entity& e, const Affine& map) {
    const Source at{file_, e.line, 1};
    const std::string name = shown(e.type, 40);
    const double degree = std::numbers::pi / 180;
    if (e.type == "LINE") {
      builder_.element(map, at, name);
      builder_.move_to(point(e, 10));
      builder_.line_to(point(e, 11));
    } else if (e.type == "ARC" || e.type == "CIRCLE") {
      const double r = number(e, 40);
      if (!(r > 0)) fail(e, "its radius (group 40) must be more than 0");
      double from = 0, sweep = 2 * std::numbers::pi;
      const bool whole_turn = e.type == "CIRCLE";
      if (!whole_turn) {
        from = number(e, 50) * degree;
        sweep = turn(number(e, 51) * degree - from);
      }
      builder_.element(map * plane(e), at, name);
      turn_round({point(e, 10), {r, 0}, {0, r}, from, sweep});
    } else if (e.type == "ELLIPSE") {
      const Vec2 u = point(e, 11);
      const double ratio = number(e, 40);
      if (!(length(u) > 0) || !(std::abs(ratio) > 0)) fail(e, "its axes must have a length");
      const double from = number(e, 41, 0);
      const double sweep = turn(number(e, 42, 2 * std::numbers::pi) - from);
      const double side = plane(e).a;  // its points are not mirrored, only the way it turns
      builder_.element(map, at, name);
      turn_round({point(e, 10), u, side * ratio * perp(u), from, sweep});
    } else if (e.type == "LWPOLYLINE") {
      builder_.element(map * plane(e), at, name);
      light_polyline(e);
    } else if (e.type == "POLYLINE") {
      const int flags = whole(e, 70, 0);
      if ((flags & (16 | 64)) != 0) fail(e, "it is a mesh, not a contour");
      builder_.element((flags & 8) != 0 ? map : map * plane(e), at, name);
      std::vector<Vertex> run;
      for (const Entity& v : e.vertices) {
        if ((whole(v, 70, 0) & 16) != 0) continue;  // the frame of a fitted curve, not the curve
        run.push_back({point(v, 10), number(v, 42, 0)});
      }
      polyline(run, (flags & 1) != 0);
    } else if (e.type == "SPLINE") {
      builder_.element(map, at, name);
      spline(e);
    } else {
      ++left_out_[name];
      return;
    }
    builder_.end();
  }

  static double turn(double sweep) {
    const double whole = 2 * std::numbers::pi;
    sweep = std::fmod(sweep, whole);
    if (sweep < 0) sweep += whole;
    return sweep < 1e-12 ? whole : sweep;  // equal ends are a whole turn
  }

  void turn_round(const EllipseArc& arc) {
    const Vec2 start = arc.point(arc.from);
    builder_.move_to(start);
    const bool whole = arc.sweep >= 2 * std::numbers::pi;
    builder_.ellipse_to(arc, whole ? start : arc.point(arc.from + arc.sweep));
    if (whole) builder_.close();
  }

  struct Vertex {
    Vec2 at;
    double bulge = 0;
  };

  void light_polyline(const Entity& e) {
    std::vector<Vertex> run;
    for (std::size_t i = e.first; i < e.last; ++i) {
      const DxfGroup& g = groups_[i];
      if (g.code == 10) {
        if (i + 1 >= e.last || groups_[i + 1].code != 20)
          fail(g, "a vertex's X (group 10) must be followed by its Y (group 20)");
        run.push_back({{dxf_number(g, file_), dxf_number(groups_[i + 1], file_)}, 0});
      } else if (g.code == 42) {
        if (run.empty()) fail(g, "a bulge (group 42) stands before the first vertex");
        run.back().bulge = dxf_number(g, file_);
      }
    }
    const DxfGroup* count = find(e, 90);
    if (count != nullptr && dxf_whole(*count, file_) != static_cast<int>(run.size()))
      fail(*count, fmt::format("LWPOLYLINE: it says {} vertices but has {}",
                               std::string(count->value.substr(0, 12)), run.size()));
    polyline(run, (whole(e, 70, 0) & 1) != 0);
  }

  void polyline(const std::vector<Vertex>& run, bool closed) {
    if (run.size() < 2) return;
    builder_.move_to(run[0].at);
    for (std::size_t i = 1; i < run.size(); ++i) builder_.bulge_to(run[i].at, run[i - 1].bulge);
    if (!closed) return;
    builder_.bulge_to(run[0].at, run.back().bulge);
    builder_.close();
  }

  void spline(const Entity& e) {
    SplineCurve curve;
    curve.degree = whole(e, 71, 3);
    std::size_t fit_points = 0;
    for (std::size_t i = e.first; i < e.last; ++i) {
      const DxfGroup& g = groups_[i];
      if (g.code == 40) curve.knots.push_back(dxf_number(g, file_));
      if (g.code == 41) curve.weights.push_back(dxf_number(g, file_));
      if (g.code == 11) ++fit_points;
      if (g.code == 10) {
        if (i + 1 >= e.last || groups_[i + 1].code != 20)
          fail(g, "a control point's X (group 10) must be followed by its Y (group 20)");
        curve.points.push_back({dxf_number(g, file_), dxf_number(groups_[i + 1], file_)});
      }
    }
    if (curve.points.empty() && fit_points > 0)
      fail(e,
           "it gives only points to pass through, not the curve between them: save it with its control "
           "points, or as a polyline");
    builder_.spline(curve);
  }

  std::string file_;
  const DrawingChoice& choice_;
  std::vector<DxfGroup> groups_;
  ChainBuilder builder_;
  std::optional<std::string> layer_;
  bool layer_seen_ = false, found_entities_ = false;
  int header_units_ = 0;
  std::vector<std::string> off_;  // layers switched off or frozen
  std::map<std::string, Block> blocks_;
  std::vector<Entity> entities_;
  std::map<std::string, int> on_layers_;
  std::map<std::string, int> left_out_;
  std::vector<std::string> notes_;
  std::size_t visits_ = 0;
};

}  // namespace

Drawing read_dxf(std::string_view text, const std::string& file, const DrawingChoice& choice) {
  const std::optional<std::string> converted = dxf_in_utf8(text);
  return DxfReader(converted ? *converted : text, file, choice).run();
}

}  // namespace ovolo::io
