#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <numbers>
#include <pugixml.hpp>
#include <utility>

#include "io/drawing/chain_builder.hpp"
#include "io/drawing/drawing.hpp"
#include "io/drawing/svg_path.hpp"
#include "io/drawing/svg_positions.hpp"
#include "io/drawing/svg_style.hpp"
#include "io/drawing/svg_values.hpp"

namespace ovolo::io {
namespace {

constexpr int kDeepest = 200;                // nested elements
constexpr std::size_t kMostVisits = 200000;  // elements drawn, clones counted each time
constexpr double kMmPerPx = 25.4 / 96;       // CSS: 96 px to the inch
constexpr const char* kGeometry =
    "its geometry is given by CSS, which is not read: give it by the shape's own attributes";

/// What lies inside a viewport: the map from user units to mm, what 100 % is, and whether it is seen.
struct Frame {
  Affine map;
  double width = 0, height = 0;
  bool visible = true;
};

class SvgReader {
 public:
  SvgReader(std::string_view text, const std::string& file, const DrawingChoice& choice)
      : text_(text), file_(file), choice_(choice), positions_(text, file), builder_(choice.tolerance) {}

  Drawing run() {
    const pugi::xml_parse_result parsed =
        document_.load_buffer(text_.data(), text_.size(), pugi::parse_escapes | pugi::parse_cdata);
    if (!parsed)
      throw DrawingError(positions_.at(offset(parsed.offset)),
                         fmt::format("this is no well-formed XML ({}): save the drawing again as SVG",
                                     lower(parsed.description())));
    const pugi::xml_node root = document_.document_element();
    const std::string_view name = root.name();
    const std::size_t colon = name.find(':');
    if (colon != std::string_view::npos) prefix_ = name.substr(0, colon + 1);
    if (local(root) != "svg") fail(root, fmt::format("the root element is <{}>, not <svg>", name));
    if (choice_.id && choice_.layer) fail(root, "choose by id or by layer, not by both");
    const Frame frame = page(root);
    index(root);
    if (sheet_.left_out() > 0)
      notes_.push_back(fmt::format("left out: {} rule(s) of CSS that begin with @", sheet_.left_out()));
    if (choice_.id)
      by_id(root, frame);
    else if (choice_.layer)
      by_layer(root, frame);
    else
      children(root, frame, 0);
    Drawing out;
    out.chains = builder_.take();
    out.notes = std::move(notes_);
    for (const auto& [what, count] : left_out_)
      out.notes.push_back(fmt::format("left out: {} {}", count, what));
    return out;
  }

 private:
  static std::string lower(std::string s) {
    if (!s.empty() && s[0] >= 'A' && s[0] <= 'Z') s[0] = static_cast<char>(s[0] - 'A' + 'a');
    return s;
  }

  static std::size_t offset(std::ptrdiff_t o) {
    return static_cast<std::size_t>(std::max<std::ptrdiff_t>(o, 0));
  }
  Source at(pugi::xml_node node) const { return positions_.at(offset(node.offset_debug())); }
  [[noreturn]] void fail(pugi::xml_node node, const std::string& what) const {
    throw DrawingError(at(node), what);
  }
  [[noreturn]] void fail(pugi::xml_node node, const char* attribute, std::size_t into,
                         const std::string& what) const {
    throw DrawingError(positions_.at(positions_.attribute(offset(node.offset_debug()), attribute) + into),
                       fmt::format("{} of {}: {}", attribute, called(node), what));
  }

  /// The element's name without the namespace's prefix; empty for elements of other namespaces.
  std::string_view local(pugi::xml_node node) const {
    std::string_view name = node.name();
    if (name.substr(0, prefix_.size()) != prefix_) return {};
    name.remove_prefix(prefix_.size());
    return name.find(':') == std::string_view::npos ? name : std::string_view();
  }
  std::string called(pugi::xml_node node) const {
    const std::string id = node.attribute("id").value();
    return id.empty() ? fmt::format("<{}>", node.name()) : fmt::format("{} '{}'", local(node), id);
  }
  static std::string_view label(pugi::xml_node node) {
    for (const pugi::xml_attribute a : node.attributes()) {
      const std::string_view name = a.name();
      if (name.size() > 6 && name.substr(name.size() - 6) == ":label") return a.value();
    }
    return {};
  }

  double length(pugi::xml_node node, const char* attribute, double percent_of, double otherwise = 0) const {
    const pugi::xml_attribute a = node.attribute(attribute);
    if (!a) return otherwise;
    try {
      return svg_length(a.value(), percent_of);
    } catch (const ScanError& e) {
      fail(node, attribute, e.offset, e.what());
    }
  }

  Frame inside_view_box(pugi::xml_node node, const Frame& outer, double width, double height) const {
    const pugi::xml_attribute box = node.attribute("viewBox");
    if (!box) return {outer.map, width, height, outer.visible};
    try {
      const ViewBox v = parse_view_box(box.value());
      try {
        return {outer.map * fit_view_box(v, width, height, node.attribute("preserveAspectRatio").value()),
                v.width, v.height, outer.visible};
      } catch (const ScanError& e) {
        fail(node, "preserveAspectRatio", e.offset, e.what());
      }
    } catch (const ScanError& e) {
      fail(node, "viewBox", e.offset, e.what());
    }
  }

  /// The page in mm, its lower left corner at the origin.
  Frame page(pugi::xml_node root) {
    const auto given = [&](const char* name) {
      const std::string_view value = root.attribute(name).value();
      return !value.empty() && value != "auto" && value.find('%') == std::string_view::npos;
    };
    double width = given("width") ? length(root, "width", 0) : 0;
    double height = given("height") ? length(root, "height", 0) : 0;
    if (root.attribute("viewBox")) {
      ViewBox v{};
      try {
        v = parse_view_box(root.attribute("viewBox").value());
      } catch (const ScanError& e) {
        fail(root, "viewBox", e.offset, e.what());
      }
      if (!given("width") && !given("height")) {
        width = v.width;
        height = v.height;
        notes_.push_back("the drawing gives no physical size: its units are taken as CSS px, 96 to the inch");
      } else if (!given("width")) {
        width = height * v.width / v.height;
      } else if (!given("height")) {
        height = width * v.height / v.width;
      }
    }
    if (!(width > 0) || !(height > 0))
      fail(root,
           "the drawing's page has no size, so no lower left corner to measure from: give <svg> a width and "
           "a height "
           "(\"400mm\") or a viewBox");
    notes_.push_back(fmt::format("page {:.6g} x {:.6g} mm", width * kMmPerPx, height * kMmPerPx));
    const Affine turn{kMmPerPx, 0, 0, -kMmPerPx, 0, height * kMmPerPx};
    return inside_view_box(root, {turn, width, height, true}, width, height);
  }

  void index(pugi::xml_node root) {
    pugi::xml_node node = root;
    while (node) {
      const pugi::xml_attribute id = node.attribute("id");
      if (id) ids_.emplace(id.value(), node);
      if (local(node) == "style") style_sheet(node);
      // Onwards in document order without recursion.
      if (node.first_child()) {
        node = node.first_child();
        continue;
      }
      while (node && node != root && !node.next_sibling()) node = node.parent();
      node = node == root ? pugi::xml_node() : node.next_sibling();
    }
  }

  void style_sheet(pugi::xml_node node) {
    const std::string_view type = node.attribute("type").value();
    if (!type.empty() && type != "text/css") return;
    for (const pugi::xml_node text : node.children()) {
      if (text.type() != pugi::node_pcdata && text.type() != pugi::node_cdata) continue;
      try {
        sheet_.add(text.value(), offset(text.offset_debug()));
      } catch (const ScanError& e) {
        throw DrawingError(positions_.at(e.offset), e.what());
      }
    }
  }

  /// What CSS says of an element, in its own style or in the rules for it; worked out once for all its
  /// clones.
  const std::vector<Declaration>& styles(pugi::xml_node node) const {
    const auto [it, fresh] = styles_.try_emplace(node.hash_value());
    if (!fresh) return it->second;
    std::vector<Declaration>& out = it->second;
    out = sheet_.declared({local(node), node.attribute("id").value(), node.attribute("class").value()});
    const std::string_view style = node.attribute("style").value();
    if (style.empty()) return out;
    for (Declaration& own : declarations(style, positions_.attribute(offset(node.offset_debug()), "style"))) {
      const auto rule =
          std::find_if(out.begin(), out.end(), [&](const Declaration& d) { return d.name == own.name; });
      if (rule == out.end())
        out.push_back(std::move(own));
      else if (own.important || !rule->important)
        *rule = std::move(own);
    }
    return out;
  }

  const Declaration* css(pugi::xml_node node, std::string_view property) const {
    for (const Declaration& d : styles(node))
      if (d.name == property) return &d;
    return nullptr;
  }

  /// Transforms and geometry given by CSS are not read: said, never passed over.
  void refuse_css(pugi::xml_node node, bool (*concerned)(std::string_view), const std::string& what) const {
    for (const Declaration& d : styles(node))
      if (concerned(d.name) && d.value != "none" && d.value != "auto")
        throw DrawingError(positions_.at(d.at), fmt::format("style of {}: {}", called(node), what));
  }

  Affine own_transform(pugi::xml_node node) const {
    refuse_css(
        node, places_shapes,
        "CSS transforms are not read: apply it in the drawing program, or use the transform attribute");
    if (node.attribute("transform-origin"))
      fail(node, "transform-origin", 0, "it is not read: apply the transform in the drawing program");
    const pugi::xml_attribute a = node.attribute("transform");
    if (!a) return {};
    try {
      return parse_transform(a.value());
    } catch (const ScanError& e) {
      fail(node, "transform", e.offset, e.what());
    }
  }

  bool hidden(pugi::xml_node node) const {
    const Declaration* d = css(node, "display");
    return d ? d->value == "none" : std::string_view(node.attribute("display").value()) == "none";
  }

  /// Whether an element is seen, its own word going before what it inherits.
  bool visible(pugi::xml_node node, bool inherited) const {
    const Declaration* d = css(node, "visibility");
    const std::string_view value = d ? std::string_view(d->value) : node.attribute("visibility").value();
    if (value == "hidden" || value == "collapse") return false;
    return value == "visible" || inherited;
  }

  /// The frame inside `node`'s parent, from the page down.
  Frame frame_of(pugi::xml_node node, pugi::xml_node root, const Frame& page) const {
    std::vector<pugi::xml_node> path;
    for (pugi::xml_node n = node.parent(); n && n != root; n = n.parent()) path.push_back(n);
    Frame frame = page;
    for (auto it = path.rbegin(); it != path.rend(); ++it) {
      const std::string_view name = local(*it);
      if (name == "symbol" || name == "marker" || name == "pattern")
        fail(node, fmt::format("it stands inside a <{}>, which has no place on the page", name));
      frame = enter(*it, frame);
    }
    return frame;
  }

  /// The frame inside a container: its transform, and the viewport of a nested <svg> or a cloned <symbol>,
  /// whose size the clone may give.
  Frame enter(pugi::xml_node node, Frame frame, pugi::xml_node clone = {}) const {
    frame.map = frame.map * own_transform(node);
    frame.visible = visible(node, frame.visible);
    if (local(node) == "svg" || local(node) == "symbol") {
      refuse_css(node, sizes_shapes, kGeometry);
      for (const char* name : {"refX", "refY"})
        if (node.attribute(name))
          fail(node, name, 0, "it is not read: unlink the clone in the drawing program");
      const auto size = [&](const char* name, double whole) {
        const pugi::xml_node from = clone.attribute(name) ? clone : node;
        const bool fill = std::string_view(from.attribute(name).value()) == "auto";
        const double v = fill ? whole : length(from, name, whole, whole);
        if (v < 0) fail(from, name, 0, "a size cannot be negative");
        return v;
      };
      const double x = length(node, "x", frame.width), y = length(node, "y", frame.height);
      const double w = size("width", frame.width), h = size("height", frame.height);
      frame.map = frame.map * Affine::translation(x, y);
      return inside_view_box(node, frame, w, h);
    }
    return frame;
  }

  void by_id(pugi::xml_node root, const Frame& page) {
    const auto it = ids_.find(*choice_.id);
    if (it == ids_.end()) {
      std::string known;
      int count = 0;
      for (const auto& [id, node] : ids_)
        if (drawable(local(node)) && ++count <= 10) known += (known.empty() ? "" : ", ") + id;
      if (count > 10) known += ", ...";
      throw DrawingError({file_, 0, 0}, fmt::format("no element has the id '{}'; {}", *choice_.id,
                                                    known.empty() ? "the drawing names none of its shapes"
                                                                  : "there are: " + known));
    }
    const pugi::xml_node node = it->second;
    const std::string_view name = local(node);
    if (!drawable(name) && name != "g" && name != "a" && name != "use" && node != root)
      fail(node, fmt::format("'{}' is a <{}>, which draws no lines{}", *choice_.id, node.name(),
                             name == "text" ? ": turn the text into paths" : ""));
    if (node == root)
      children(root, page, 0);
    else
      element(node, frame_of(node, root, page), 0, true);
  }

  void by_layer(pugi::xml_node root, const Frame& page) {
    bool found = false;
    std::string known;
    layers(root, root, page, 0, found, known);
    if (!found)
      throw DrawingError({file_, 0, 0},
                         fmt::format("no layer or group is called '{}'; {}", *choice_.layer,
                                     known.empty() ? "the drawing names none" : "there are: " + known));
  }

  void layers(pugi::xml_node node, pugi::xml_node root, const Frame& page, int depth, bool& found,
              std::string& known) {
    if (depth > kDeepest) fail(node, "elements are nested more than 200 deep");
    for (const pugi::xml_node child : node.children()) {
      if (local(child) != "g") continue;
      const std::string_view id = child.attribute("id").value();
      if (label(child) == *choice_.layer || id == *choice_.layer) {
        found = true;
        element(child, frame_of(child, root, page), depth, true);
        continue;
      }
      const std::string_view name = label(child).empty() ? id : label(child);
      if (!name.empty() && known.size() < 200) known += (known.empty() ? "" : ", ") + std::string(name);
      layers(child, root, page, depth + 1, found, known);
    }
  }

  static bool drawable(std::string_view name) {
    static constexpr std::array<std::string_view, 7> kShapes{"path", "rect",     "circle", "ellipse",
                                                             "line", "polyline", "polygon"};
    return std::find(kShapes.begin(), kShapes.end(), name) != kShapes.end();
  }

  void children(pugi::xml_node node, const Frame& frame, int depth) {
    if (depth > kDeepest) fail(node, "elements are nested more than 200 deep");
    for (const pugi::xml_node child : node.children())
      if (child.type() == pugi::node_element) element(child, frame, depth + 1, false);
  }

  void element(pugi::xml_node node, const Frame& outer, int depth, bool chosen) {
    if (++visits_ > kMostVisits)
      fail(node, "the drawing comes to more than 200,000 elements: its clones are too many");
    const std::string_view name = local(node);
    if (hidden(node) && !chosen) {
      if (drawable(name) || name == "g" || name == "use") ++left_out_["hidden element(s)"];
      return;
    }
    if (name == "g" || name == "a" || name == "svg") {
      clipped(node);
      Frame frame = enter(node, outer);
      frame.visible = frame.visible || chosen;
      children(node, frame, depth);
    } else if (name == "use") {
      clone(node, outer, depth);
    } else if (drawable(name)) {
      if (!chosen && !visible(node, outer.visible)) {
        ++left_out_["hidden element(s)"];
        return;
      }
      clipped(node);
      refuse_css(node, sizes_shapes, kGeometry);
      Frame frame = outer;
      frame.map = frame.map * own_transform(node);
      try {
        builder_.element(frame.map, at(node), called(node));
        shape(node, name, frame);
        builder_.end();
      } catch (const std::invalid_argument& e) {
        fail(node, fmt::format("{}: {}", called(node), e.what()));
      }
    } else if (name == "text" || name == "image" || name == "foreignObject" || name == "switch") {
      ++left_out_[fmt::format("<{}> (turn it into paths to have its outline)", name)];
    }
  }

  void clipped(pugi::xml_node node) {
    if (node.attribute("clip-path") || node.attribute("mask"))
      ++left_out_["clip path(s) or mask(s): the whole shape is taken"];
  }

  void clone(pugi::xml_node node, const Frame& outer, int depth) {
    if (depth > kDeepest) fail(node, "elements are nested more than 200 deep: does a clone hold itself?");
    std::string_view link = node.attribute("href").value();
    if (link.empty()) link = node.attribute("xlink:href").value();
    if (link.empty() || link[0] != '#')
      fail(node, "a <use> must name an element of the same file (href=\"#id\")");
    const auto it = ids_.find(std::string(link.substr(1)));
    if (it == ids_.end()) fail(node, fmt::format("the <use> names '{}', which is not in the drawing", link));
    const std::string_view name = local(it->second);
    const bool viewport = name == "symbol" || name == "svg";
    if (!drawable(name) && name != "g" && name != "a" && name != "use" && !viewport)
      fail(node, fmt::format("the <use> clones a <{}>, which draws no lines", it->second.name()));
    refuse_css(node, sizes_shapes, kGeometry);
    Frame frame = outer;
    frame.map = frame.map * own_transform(node) *
                Affine::translation(length(node, "x", outer.width), length(node, "y", outer.height));
    frame.visible = visible(node, outer.visible);
    if (viewport && !hidden(it->second))
      children(it->second, enter(it->second, frame, node), depth + 1);
    else if (viewport)
      ++left_out_["hidden element(s)"];
    else
      element(it->second, frame, depth + 1, false);
  }

  void shape(pugi::xml_node node, std::string_view name, const Frame& f) {
    const double diagonal = std::sqrt((f.width * f.width + f.height * f.height) / 2);
    if (name == "path") {
      try {
        draw_path_data(node.attribute("d").value(), builder_);
      } catch (const ScanError& e) {
        fail(node, "d", e.offset, e.what());
      }
    } else if (name == "rect") {
      rectangle(node, f);
    } else if (name == "circle") {
      const double r = length(node, "r", diagonal);
      if (r < 0) fail(node, "r", 0, "a radius cannot be negative");
      ellipse({length(node, "cx", f.width), length(node, "cy", f.height)}, r, r);
    } else if (name == "ellipse") {
      const double rx = length(node, "rx", f.width, -1), ry = length(node, "ry", f.height, -1);
      ellipse({length(node, "cx", f.width), length(node, "cy", f.height)}, rx < 0 ? ry : rx,
              ry < 0 ? rx : ry);
    } else if (name == "line") {
      builder_.move_to({length(node, "x1", f.width), length(node, "y1", f.height)});
      builder_.line_to({length(node, "x2", f.width), length(node, "y2", f.height)});
    } else {
      points(node, name == "polygon");
    }
  }

  void ellipse(Vec2 centre, double rx, double ry) {
    if (!(rx > 0) || !(ry > 0)) return;  // SVG 2: not rendered
    const Vec2 start = centre + Vec2{rx, 0};
    builder_.move_to(start);
    builder_.ellipse_to({centre, {rx, 0}, {0, ry}, 0, 2 * std::numbers::pi}, start);
    builder_.close();
  }

  void rectangle(pugi::xml_node node, const Frame& f) {
    const double x = length(node, "x", f.width), y = length(node, "y", f.height);
    const double w = length(node, "width", f.width), h = length(node, "height", f.height);
    if (w < 0 || h < 0) fail(node, w < 0 ? "width" : "height", 0, "a size cannot be negative");
    if (w == 0 || h == 0) return;
    const auto radius = [&](const char* name, double whole) {
      return std::string_view(node.attribute(name).value()) == "auto" ? -1.0 : length(node, name, whole, -1);
    };
    double rx = radius("rx", f.width), ry = radius("ry", f.height);
    if (rx < 0) rx = std::max(ry, 0.0);
    if (ry < 0) ry = rx;
    rx = std::min(rx, w / 2);
    ry = std::min(ry, h / 2);
    if (rx == 0 || ry == 0) rx = ry = 0;
    const double quarter = std::numbers::pi / 2;
    const auto corner = [&](Vec2 centre, int from, Vec2 to) {
      if (rx > 0) builder_.ellipse_to({centre, {rx, 0}, {0, ry}, from * quarter, quarter}, to);
    };
    builder_.move_to({x + rx, y});
    builder_.line_to({x + w - rx, y});
    corner({x + w - rx, y + ry}, -1, {x + w, y + ry});
    builder_.line_to({x + w, y + h - ry});
    corner({x + w - rx, y + h - ry}, 0, {x + w - rx, y + h});
    builder_.line_to({x + rx, y + h});
    corner({x + rx, y + h - ry}, 1, {x, y + h - ry});
    builder_.line_to({x, y + ry});
    corner({x + rx, y + ry}, 2, {x + rx, y});
    builder_.close();
  }

  void points(pugi::xml_node node, bool closed) {
    Scanner scan(node.attribute("points").value());
    try {
      scan.skip_space();
      for (bool first = true; !scan.done(); first = false) {
        const double x = scan.number();
        scan.skip_separator();
        const double y = scan.number();
        if (first)
          builder_.move_to({x, y});
        else
          builder_.line_to({x, y});
        scan.skip_separator();
      }
    } catch (const ScanError& e) {
      fail(node, "points", e.offset, e.what());
    }
    if (closed)
      builder_.close();
    else
      builder_.end();
  }

  std::string_view text_;
  const std::string& file_;
  const DrawingChoice& choice_;
  Positions positions_;
  ChainBuilder builder_;
  pugi::xml_document document_;
  std::string_view prefix_;
  std::map<std::string, pugi::xml_node, std::less<>> ids_;
  StyleSheet sheet_;
  mutable std::map<std::size_t, std::vector<Declaration>> styles_;  // by element
  std::map<std::string, int> left_out_;
  std::vector<std::string> notes_;
  std::size_t visits_ = 0;
};

}  // namespace

Drawing read_svg(std::string_view text, const std::string& file, const DrawingChoice& choice) {
  return SvgReader(text, file, choice).run();
}

}  // namespace ovolo::io
