#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "io/scene/drawn.hpp"
#include "io/scene/parts.hpp"
#include "io/scene/table.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostContours = 1000;
constexpr std::size_t kMostCopies = 10'000;
constexpr std::size_t kMostPoints = 20'000;  // the search for self-crossings may look at every pair

Contour read_rectangle(const Node& node, const std::string& owner, Reading& reading) {
  Table table(node, "the rectangle of " + owner, reading);
  const auto centre = table.point("center", Range::any(), Need::yes);
  const auto size = table.point("size", Range::positive(), Need::yes);
  const auto corner = table.length("corner_radius", Range::not_negative());
  table.finish();
  if (!centre || !size || (table.has("corner_radius") && !corner)) return {};
  const double most = std::min(size->x, size->y) / 2;
  if (corner.value_or(0) > most) {
    table.fault("corner_radius",
                fmt::format("{} is {}, more than half of the shorter side; set it to {} or less",
                            table.called("corner_radius"), format_length(*corner, reading.units),
                            format_length(most, reading.units)));
    return {};
  }
  return Contour::rectangle(*centre, *size, corner.value_or(0));
}

Contour read_circle(const Node& node, const std::string& owner, Reading& reading) {
  Table table(node, "the circle of " + owner, reading);
  const auto centre = table.point("center", Range::any(), Need::yes);
  const bool by_diameter = table.has("diameter");
  const auto radius = table.length("radius", Range::positive(), by_diameter ? Need::no : Need::yes);
  const auto diameter = table.length("diameter", Range::positive());
  table.finish();
  if (by_diameter && table.has("radius")) {
    table.fault("diameter", fmt::format("{} has both `radius` and `diameter`; remove one", table.name()));
    return {};
  }
  if (!centre || !(radius || diameter)) return {};
  return Contour::circle(*centre, radius ? *radius : *diameter / 2);
}

Contour read_polyline(const Node& node, const std::string& owner, bool closed, Reading& reading) {
  const std::string what = "the polyline of " + owner;
  const auto* list = read_list(node, what, "[0, 0], [100, 0], [100, 50]", kMostPoints, reading);
  if (!list) return {};
  if (list->size() < 2) {
    reading.fault(node.at, fmt::format("{} has {} point{}; give it 2 or more", what, list->size(),
                                       list->size() == 1 ? "" : "s"));
    return {};
  }
  std::vector<Segment> chain = read_chain(*list, what, reading);
  if (chain.empty()) return {};
  if (closed && chain.back().b != chain.front().a)
    chain.push_back(Segment::line(chain.back().b, chain.front().a));
  return Contour(std::move(chain), closed);
}

Contour read_drawn(Table& table, std::vector<std::string>& notes) {
  const auto drawing = read_named_drawing(table);
  if (!drawing) return {};
  try {
    const std::string* text = table.reading().text_of(drawing->path);
    DrawnContour drawn = text ? read_contour_text(*text, drawing->path, drawing->choice)
                              : read_contour(drawing->path, drawing->choice);
    notes = std::move(drawn.notes);
    return std::move(drawn.contour);
  } catch (const DrawingError& error) {
    drawing_fault(table, *drawing, error.what());
    return {};
  }
}

// Which of the shapes the table gives; it must be one.
Contour read_shape(Table& table, std::vector<std::string>& notes) {
  Reading& reading = table.reading();
  const Node* rectangle = table.any("rectangle", "", Need::no);
  const Node* circle = table.any("circle", "", Need::no);
  const Node* polyline = table.any("polyline", "", Need::no);
  table.any("svg", "", Need::no);
  table.any("dxf", "", Need::no);
  const auto closed = table.flag("closed");
  const bool drawn = names_drawing(table);
  const int shapes = (rectangle != nullptr) + (circle != nullptr) + (polyline != nullptr) + (drawn ? 1 : 0);
  if (shapes != 1) {
    reading.fault(table.place(), fmt::format("{} has {}; give it one of `rectangle`, `circle`, "
                                             "`polyline`, `svg` or `dxf`",
                                             table.name(), shapes == 0 ? "no shape" : "more than one shape"));
    return {};
  }
  if (closed && !polyline) {
    table.fault("closed", fmt::format("{} is {}; remove `closed`", table.name(),
                                      drawn ? "closed unless it says open = true" : "always closed"));
    return {};
  }
  if (drawn) return read_drawn(table, notes);
  if (rectangle) return read_rectangle(*rectangle, table.name(), reading);
  if (circle) return read_circle(*circle, table.name(), reading);
  return read_polyline(*polyline, table.name(), closed.value_or(true), reading);
}

// The plane's own messages begin with the word that stands before them here.
std::string_view without_prefix(std::string_view what) {
  constexpr std::string_view kPrefix = "contour: ";
  return what.starts_with(kPrefix) ? what.substr(kPrefix.size()) : what;
}

void check_shape(Table& table, NamedContour& named) {
  // A drawing's reader has looked for crossings itself.
  if (named.contour.empty() || names_drawing(table)) return;
  const Units units = table.reading().units;
  const auto refuse = [&](const std::string& text) {
    table.reading().fault(table.place(), table.name() + text);
    named.contour = {};
  };
  Vec2 where;
  if (self_crossing(named.contour, where))
    refuse(fmt::format(" crosses or touches itself at [{}, {}]; move its points so that it does not",
                       format_number(from_mm(where.x, units), 4), format_number(from_mm(where.y, units), 4)));
  else if (named.contour.closed() && std::abs(named.contour.signed_area()) < 1e-9 * named.contour.length())
    refuse(" encloses nothing; give it a third point, or set closed = false");
}

void read_copies(Table& table, const Stock& stock, NamedContour& named) {
  Reading& reading = table.reading();
  const Box2 sheet{{0, 0}, {stock.width, stock.height}};
  const bool known = !named.contour.empty() && stock.width > 0;
  const auto off_sheet = [&](Vec2 by) {
    const Box2 box = named.contour.box();
    return known && !sheet.overlaps({box.lo + by, box.hi + by});
  };
  const auto mend = [&] {
    return fmt::format("move it onto the sheet, which runs from [0, 0] to [{}, {}]",
                       format_number(from_mm(stock.width, reading.units), 4),
                       format_number(from_mm(stock.height, reading.units), 4));
  };
  const auto* list = table.list("at", "[120, 0], [240, 0]", kMostCopies);
  if (!list) {
    if (off_sheet({0, 0}))
      reading.fault(table.place(), fmt::format("{} lies off the sheet; {}", table.name(), mend()));
    return;
  }
  if (list->empty())
    table.fault("at", fmt::format("{} has no entries; write [[0, 0]], or remove it", table.called("at")));
  named.at.clear();
  for (const Node& item : *list) {
    const auto shift = read_point(item, "a shift in " + table.called("at"), Range::any(), reading);
    if (!shift) continue;
    if (off_sheet(*shift))
      reading.fault(item.at, fmt::format("this copy of {} lies off the sheet; {}", table.name(), mend()));
    named.at.push_back(*shift);
  }
}

NamedContour read_contour(const Entry& entry, const Stock& stock, Reading& reading) {
  Table table(entry.value, fmt::format("contour `{}`", shown(entry.key)), reading);
  NamedContour named;
  named.id = entry.key;
  named.source = reading.source(entry.value.at);
  if (entry.value.is_table()) {
    try {
      named.contour = read_shape(table, named.notes);
    } catch (const std::invalid_argument& error) {
      reading.fault(table.place(), fmt::format("{}: {}", table.name(), without_prefix(error.what())));
    }
    check_shape(table, named);
    read_copies(table, stock, named);
    table.finish();
  }
  return named;
}

}  // namespace

std::vector<NamedContour> read_contours(const Node& node, const Stock& stock, Reading& reading) {
  std::vector<NamedContour> contours;
  if (!node.is_table() || node.entries().empty())
    reading.fault(node.at, "the scene has no contours; add one: [contours.outline]");
  for (const Entry& entry : node.entries()) {
    if (contours.size() == kMostContours) {
      reading.fault(entry.at, fmt::format("more than {} contours; use `at` for copies", kMostContours));
      break;
    }
    contours.push_back(read_contour(entry, stock, reading));
  }
  return contours;
}

}  // namespace ovolo::io
