#include <fmt/format.h>

#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <stdexcept>

#include "io/drawing/half_profile.hpp"
#include "io/scene/bit_readings.hpp"
#include "io/scene/drawn.hpp"
#include "io/scene/parts.hpp"
#include "io/scene/table.hpp"
#include "io/text.hpp"
#include "sim/bit/forms.hpp"
#include "sim/error.hpp"

namespace ovolo::io {
namespace {

constexpr std::size_t kMostBits = 1000;
constexpr std::size_t kMostChain = 1000;
constexpr double kDegree = std::numbers::pi / 180;

// A form reads its own keys first (so that every wrong one is told), then `make` works out the profile for a
// cutting wall of the given height. Empty when a key was missing or wrong.
using Make = std::function<void(Bit& bit, double wall)>;

Make read_point_roundover(Table& table, Bit& kept_in) {
  RoundoverReadings readings;
  const auto radius = table.length("radius", Range::positive(), Need::yes);
  readings.working_depth = table.length("working_depth", Range::positive());
  readings.tip_flat = table.length("tip_flat", Range::not_negative());
  readings.cutting_diameter = table.length("cutting_diameter", Range::positive());
  readings.error = table.length("reading_error", Range::not_negative()).value_or(readings.error);
  read_bit_readings(table, kept_in, readings);
  if (!radius) return {};
  readings.radius = *radius;
  return [readings](Bit& bit, double wall) {
    bit.roundover = derive_roundover(readings);
    bit.profile = point_roundover(*bit.roundover, wall);
    bit.nominal_radius = readings.radius;
    bit.working_depth = bit.roundover->working_depth;
    bit.wanted = WantedForm::round(readings.radius);
  };
}

Make read_straight(Table& table, Bit&) {
  const auto diameter = table.length("diameter", Range::positive(), Need::yes);
  if (!diameter) return {};
  // It has no form of its own: an edge it cuts must say what is wanted.
  return [d = *diameter](Bit& bit, double wall) { bit.profile = straight(d, wall); };
}

Make read_ball(Table& table, Bit&) {
  const auto diameter = table.length("diameter", Range::positive(), Need::yes);
  if (!diameter) return {};
  return [d = *diameter](Bit& bit, double wall) {
    bit.profile = ball(d, wall);
    bit.nominal_radius = d / 2;
    bit.working_depth = bit.profile.form_height();
    bit.wanted = wanted_from_profile(bit.profile, 0);
  };
}

Make read_chamfer(Table& table, Bit&) {
  const auto angle = table.angle("angle", {0, 89 * kDegree, true}, Need::yes);
  const auto tip_flat = table.length("tip_flat", Range::not_negative());
  const auto diameter = table.length("cutting_diameter", Range::positive(), Need::yes);
  if (!angle || !diameter) return {};
  return [a = *angle, flat = tip_flat.value_or(0), d = *diameter](Bit& bit, double wall) {
    bit.profile = chamfer(a, flat, d, wall);
    bit.working_depth = bit.profile.form_height();
    bit.wanted = wanted_from_profile(bit.profile, flat / 2);
  };
}

Make read_cove(Table& table, Bit&) {
  const auto radius = table.length("radius", Range::positive(), Need::yes);
  const double flat = table.length("tip_flat", Range::not_negative()).value_or(0);
  if (!radius) return {};
  return [r = *radius, flat](Bit& bit, double wall) {
    bit.profile = cove(r, flat, wall);
    bit.nominal_radius = r;
    bit.working_depth = bit.profile.form_height();
    bit.wanted = wanted_from_profile(bit.profile, flat / 2);
  };
}

Make ovolo_with(double radius, double flat, double foot, double face) {
  return [=](Bit& bit, double wall) {
    bit.profile = ovolo_form(radius, flat, foot, face, wall);
    bit.nominal_radius = radius;
    bit.working_depth = bit.profile.form_height() + face;
    bit.wanted = wanted_from_profile(bit.profile, flat / 2, face);
  };
}

Make read_ovolo(Table& table, Bit&) {
  const auto radius = table.length("radius", Range::positive(), Need::yes);
  const double flat = table.length("tip_flat", Range::not_negative()).value_or(0);
  const double foot = table.length("foot_fillet", Range::not_negative()).value_or(0);
  const double face = table.length("face_fillet", Range::not_negative()).value_or(0);
  return radius ? ovolo_with(*radius, flat, foot, face) : Make{};
}

Make read_bead(Table& table, Bit&) {
  const auto radius = table.length("radius", Range::positive(), Need::yes);
  const double flat = table.length("tip_flat", Range::not_negative()).value_or(0);
  const auto fillet = table.length("fillet", Range::positive(), Need::yes);
  return radius && fillet ? ovolo_with(*radius, flat, *fillet, *fillet) : Make{};
}

Make read_ogee(Table& table, Bit&) {
  const auto radius = table.length("radius", Range::positive(), Need::yes);
  const auto hollow = table.length("cove_radius", Range::positive());
  const double flat = table.length("tip_flat", Range::not_negative()).value_or(0);
  const double foot = table.length("foot_fillet", Range::not_negative()).value_or(0);
  const double face = table.length("face_fillet", Range::not_negative()).value_or(0);
  if (!radius) return {};
  return [=, r = *radius, c = hollow.value_or(*radius)](Bit& bit, double wall) {
    bit.profile = ogee(r, c, flat, foot, face, wall);
    bit.nominal_radius = r;
    bit.working_depth = bit.profile.form_height() + face;
    bit.wanted = wanted_from_profile(bit.profile, flat / 2, face);
  };
}

// The half of a half round centred on the sheet, from the middle of its thickness up to the face; a whole
// quarter round and a wall below it where the sheet is thicker than the form.
WantedForm half_of_bullnose(double radius, double thickness) {
  if (thickness >= 2 * radius || thickness <= 0) return WantedForm::round(radius);
  const double half = thickness / 2;
  WantedForm form;
  form.depth = half;
  form.width = radius - std::sqrt(radius * radius - half * half);
  form.curve = {Segment::arc_between({0, -half}, {form.width, 0}, {radius, -half}, false)};
  return form;
}

Make read_bullnose(Table& table, Bit&) {
  const auto radius = table.length("radius", Range::positive(), Need::yes);
  const auto neck = table.length("neck_diameter", Range::positive(), Need::yes);
  const double land = table.length("land", Range::not_negative()).value_or(0);
  if (!radius || !neck) return {};
  return [r = *radius, n = *neck, land](Bit& bit, double wall) {
    bit.profile = bullnose(r, n, land, wall);
    bit.nominal_radius = r;
    bit.faces = FormFaces::both;
    bit.working_depth = 2 * (land + r);
  };
}

Make read_bottom_round(Table& table, Bit&) {
  const auto radius = table.length("radius", Range::positive(), Need::yes);
  const auto neck = table.length("neck_diameter", Range::positive(), Need::yes);
  const double land = table.length("land", Range::not_negative()).value_or(0);
  if (!radius || !neck) return {};
  return [r = *radius, n = *neck, land](Bit& bit, double wall) {
    bit.profile = bottom_round(r, n, land, wall);
    bit.nominal_radius = r;
    bit.faces = FormFaces::bottom;
    bit.working_depth = land + r;
    bit.neck_from = bit.working_depth;
    bit.wanted = WantedForm::round(r);
  };
}

Make read_dovetail(Table& table, Bit&) {
  const auto angle = table.angle("angle", {0, 89 * kDegree, true}, Need::yes);
  const auto diameter = table.length("cutting_diameter", Range::positive(), Need::yes);
  const auto height = table.length("height", Range::positive(), Need::yes);
  if (!angle || !diameter || !height) return {};
  return [a = *angle, d = *diameter, h = *height](Bit& bit, double wall) {
    bit.profile = dovetail(a, d, h, wall);
    bit.working_depth = h;
    bit.neck_from = h;
  };
}

Make read_t_slot(Table& table, Bit&) {
  const auto diameter = table.length("cutting_diameter", Range::positive(), Need::yes);
  const auto height = table.length("head_height", Range::positive(), Need::yes);
  const auto neck = table.length("neck_diameter", Range::positive(), Need::yes);
  if (!diameter || !height || !neck) return {};
  return [d = *diameter, h = *height, n = *neck](Bit& bit, double wall) {
    bit.profile = t_slot(d, h, n, wall);
    bit.working_depth = h;
    bit.neck_from = h;
  };
}

Make read_finger_pull(Table& table, Bit&) {
  const auto radius = table.length("radius", Range::positive(), Need::yes);
  const auto diameter = table.length("cutting_diameter", Range::positive(), Need::yes);
  const auto neck = table.length("neck_diameter", Range::positive(), Need::yes);
  const double lip = table.length("lip_radius", Range::not_negative()).value_or(0);
  if (!radius || !diameter || !neck) return {};
  return [r = *radius, d = *diameter, n = *neck, lip](Bit& bit, double wall) {
    bit.profile = finger_pull(r, d, n, lip, wall);
    bit.nominal_radius = r;
    bit.working_depth = 2 * r + lip;
    bit.neck_from = bit.working_depth;
  };
}

// The chain of a drawn bit, with as much cutting wall as `wall` asks for: the chain may bring some itself.
Make drawn_with(const std::vector<Segment>& chain, const std::vector<std::string>& notes) {
  return [chain, notes](Bit& bit, double wall) {
    std::vector<Segment> whole = chain;
    bit.profile = Profile(whole);
    bit.notes = notes;
    const Vec2 top = chain.back().b;
    const double form = bit.profile.undercut() ? top.y : bit.profile.form_height();
    const double missing = form + wall - top.y;
    if (missing > 0) {
      whole.push_back(Segment::line(top, top + Vec2{0, missing}));
      bit.profile = Profile(std::move(whole));
    }
    bit.working_depth = form;
    if (!bit.profile.undercut() && bit.profile.cutting_radius() > bit.profile.tip_flat_radius() + 1e-9)
      bit.wanted = wanted_from_profile(bit.profile, bit.profile.tip_flat_radius());
  };
}

Make read_drawing_of_bit(const Node& node, Table& bit) {
  Table table(node, "`drawn` of " + bit.name(), bit.reading());
  if (!names_drawing(table)) {
    if (node.is_table())
      bit.reading().fault(table.place(),
                          fmt::format("{} names no drawing; give it svg = \"bit.svg\" or dxf = "
                                      "\"bit.dxf\"",
                                      table.name()));
    return {};
  }
  const auto drawing = read_named_drawing(table);
  const auto axis = table.length("axis", Range::any());
  table.finish();
  if (!drawing || (table.has("axis") && !axis)) return {};
  try {
    const DrawnProfile drawn = read_half_profile(drawing->path, drawing->choice, axis);
    return drawn_with(drawn.profile.chain(), drawn.notes);
  } catch (const DrawingError& error) {
    drawing_fault(table, *drawing, error.what());
    return {};
  }
}

Make read_drawn(Table& table, Bit&) {
  const Node* drawing = table.any("drawn", "", Need::no);
  if (drawing) {
    if (table.has("chain")) {
      table.fault("chain", fmt::format("{} has both `chain` and `drawn`; remove one", table.name()));
      table.any("chain", "", Need::no);
      return {};
    }
    return read_drawing_of_bit(*drawing, table);
  }
  const auto* list = table.list("chain", "[0, 0], [2, 0], [6, 4]", kMostChain, Need::yes);
  if (!list) return {};
  const std::string what = table.called("chain");
  const std::vector<Segment> chain = read_chain(*list, what, table.reading());
  if (chain.empty()) {
    if (list->size() < 2)
      table.fault("chain", fmt::format("{} has no pieces; give 2 points [r, h] or more", what));
    return {};
  }
  if (chain.front().a != Vec2{0, 0}) {
    table.fault("chain", fmt::format("{} must start at the tip on the axis; begin it with [0, 0]", what));
    return {};
  }
  return drawn_with(chain, {});
}

constexpr std::array<std::string_view, 14> kForms{
    "point_roundover", "straight",     "ball",     "chamfer", "cove",        "ovolo", "bead", "ogee",
    "bullnose",        "bottom_round", "dovetail", "t_slot",  "finger_pull", "drawn"};
constexpr std::array<Make (*)(Table&, Bit&), 14> kReaders{
    read_point_roundover, read_straight, read_ball,        read_chamfer,  read_cove,
    read_ovolo,           read_bead,     read_ogee,        read_bullnose, read_bottom_round,
    read_dovetail,        read_t_slot,   read_finger_pull, read_drawn};

// The profile up to the cutting length, or with a wall that outlasts any cut when that is not told. The neck
// of an undercut form is part of it: it goes on to the cutting length, or past any cut.
void shape(const Make& make, Table& table, const Stock& stock, Bit& bit) {
  make(bit, stock.thickness() + stock.spoilboard);
  if (bit.faces == FormFaces::both) bit.wanted = half_of_bullnose(bit.nominal_radius, stock.thickness());
  if (!bit.cutting_length) return;
  const double form = bit.profile.undercut() ? bit.working_depth : bit.profile.form_height();
  const double wall = *bit.cutting_length - form;
  if (wall < bit.working_depth - form) {
    table.fault(
        "cutting_length",
        fmt::format("{} is {}, less than the {} that the form is high; set it to that or more",
                    table.called("cutting_length"), format_length(*bit.cutting_length, table.reading().units),
                    format_length(bit.working_depth, table.reading().units)));
    return;
  }
  make(bit, wall);
}

void refuse_unusable(Table& table, Bit& bit) {
  if (!bit.profile.hollow_tip()) return;
  table.reading().fault(table.place(),
                        fmt::format("{} has a hollow tip: its height falls as the radius grows; draw the "
                                    "chain so that it only rises",
                                    table.name()));
  bit.profile = {};
}

Bit read_bit(const Entry& entry, const Stock& stock, Reading& reading, std::vector<std::string>* stand_ins) {
  Table table(entry.value, fmt::format("bit `{}`", shown(entry.key)), reading);
  Bit bit;
  bit.id = entry.key;
  bit.source = reading.source(entry.value.at);
  if (!entry.value.is_table()) return bit;
  const auto form = table.choice("form", kForms, Need::yes);
  if (!form) return bit;  // which keys belong here is not known
  bit.form = kForms[*form];
  bit.date = table.date("date").value_or("");
  if (stand_ins && table.has("instead_of_kept") && table.flag("instead_of_kept").value_or(false))
    stand_ins->push_back(bit.id);
  const Make make = kReaders[*form](table, bit);
  bit.cutting_length = table.length("cutting_length", Range::positive());
  bit.shank_diameter = table.length("shank_diameter", Range::positive());
  bit.max_spindle = table.spindle("max_spindle");
  bit.flutes = static_cast<int>(table.count("flutes", 1, 100).value_or(bit.flutes));
  table.finish();
  if (!make) return bit;
  try {
    shape(make, table, stock, bit);
    refuse_unusable(table, bit);
  } catch (const JobError& error) {
    reading.fault(table.place(), fmt::format("{}: {}", table.name(), error.what()));
    bit.profile = {};
  } catch (const std::invalid_argument& error) {
    reading.fault(table.place(), fmt::format("{}: {}", table.name(), error.what()));
    bit.profile = {};
  }
  return bit;
}

}  // namespace

std::vector<Bit> read_bits(const Node& node, const Stock& stock, Reading& reading,
                           std::vector<std::string>* stand_ins) {
  std::vector<Bit> bits;
  if (!node.is_table() || node.entries().empty())
    reading.fault(node.at, "the scene has no bits; add one: [bits.round6]");
  for (const Entry& entry : node.entries()) {
    if (bits.size() == kMostBits) {
      reading.fault(entry.at,
                    fmt::format("more than {} bits; remove those that no operation uses", kMostBits));
      break;
    }
    bits.push_back(read_bit(entry, stock, reading, stand_ins));
  }
  return bits;
}

}  // namespace ovolo::io
