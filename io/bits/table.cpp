#include "io/bits/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "io/bits/tip_flat.hpp"
#include "io/length.hpp"
#include "io/text.hpp"

namespace ovolo::io {
namespace {

constexpr double kMargin = 2;       // standard deviations kept in hand
constexpr double kStep = 0.01;      // mm: what a machine is set to
constexpr std::size_t kAcross = 4;  // bits side by side before the table goes on below

double up(double v) { return std::ceil(v / kStep - 1e-9) * kStep; }
double down(double v) { return std::floor(v / kStep + 1e-9) * kStep; }

/// Width of the bit at height h above the tip, from height(r), which never falls.
double width_at(const Profile& profile, double h) {
  double lo = 0, hi = profile.cutting_radius();
  if (profile.height(hi) <= h) return 2 * hi;
  for (int i = 0; i < 60; ++i) {
    const double middle = (lo + hi) / 2;
    (profile.height(middle) <= h ? lo : hi) = middle;
  }
  return lo + hi;
}

void best_settings(const Roundover& bit, BitRow& row) {
  const double R = bit.radius, h0 = bit.h0(), c = bit.cutting_radius;
  const double depth = down(bit.working_depth - kMargin * bit.working_depth_error);
  const double offset = up(bit.tip_radius + kMargin * bit.tip_radius_error);
  const double out = c - offset;  // the wall, from the axis of the curve's own circle
  if (!(depth > 0) || !(out > 0)) {
    row.remark += "its readings are too uncertain for settings without a lip and a band; ";
    return;
  }
  const double h = std::sqrt(std::max(0.0, R * R - out * out));
  row.depth = depth;
  row.offset = offset;
  row.face_break = std::acos(std::min(1.0, (depth + h0) / R));
  row.wall_break = std::asin(h / R);
  row.foot_depth = depth - (h - h0);
  const Expected lip = expected_lip(depth, bit.working_depth, bit.working_depth_error);
  row.lip = lip.mean;
  row.lip_error = lip.deviation;
  if (*row.foot_depth <= 0) row.remark += "nothing of the round is left at these settings; ";
}

std::string padded(const std::string& text, std::size_t width) {
  // Counts letters, not bytes: names may be in any script.
  const auto letters = static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char ch) { return (static_cast<unsigned char>(ch) & 0xC0) != 0x80; }));
  return text + std::string(width > letters ? width - letters : 0, ' ');
}

}  // namespace

Expected expected_lip(double depth, double working_depth, double error) {
  const double over = depth - working_depth;
  if (!(error > 0)) return {std::max(0.0, over), 0};
  const double z = over / error;
  const double density = std::exp(-z * z / 2) / std::sqrt(2 * std::numbers::pi);
  const double below = std::erfc(-z / std::numbers::sqrt2) / 2;
  const double mean = over * below + error * density;
  const double square = (over * over + error * error) * below + over * error * density;
  return {mean, std::sqrt(std::max(0.0, square - mean * mean))};
}

BitRow bit_row(const Bit& bit) {
  BitRow row;
  row.id = bit.id;
  row.form = bit.form;
  row.date = bit.date;
  for (const BitReading& r : bit.readings) row.date = std::max(row.date, r.date);
  row.radius = bit.nominal_radius;
  row.working_depth = bit.working_depth;
  row.tip_flat = tip_flat(bit);
  row.cutting_diameter = 2 * bit.profile.cutting_radius();
  row.thickness_above = width_at(bit.profile, 1);
  if (bit.profile.undercut()) row.remark += "undercut; ";
  if (bit.roundover) {
    const Roundover& r = *bit.roundover;
    row.working_depth_error = r.working_depth_error;
    row.tip_flat_error = 2 * r.tip_radius_error;
    row.not_read = r.working_depth_error == 0 && r.tip_radius_error == 0;
    if (row.not_read)
      row.remark +=
          "not read: a full point is assumed; measure its working depth before you trust the settings; ";
    const double lost = std::asin(std::clamp(r.h0() / r.radius, 0.0, 1.0));
    row.lost_angle = lost;
    row.lost_length = lost * r.radius;
    best_settings(r, row);
    if (!r.disagreement.empty()) row.remark += r.disagreement + "; ";
  }
  if (row.remark.size() > 2) row.remark.resize(row.remark.size() - 2);
  return row;
}

std::string bit_table(const std::vector<BitRow>& rows, bool inch) {
  const Units units = inch ? Units::inch : Units::mm;
  const int decimals = inch ? 4 : 3;
  const auto mm = [&](double v) { return format_number(from_mm(v, units), decimals); };
  const auto some = [&](const std::optional<double>& v) { return v ? mm(*v) : std::string("-"); };
  const auto degrees = [](const std::optional<double>& v) {
    return v ? format_number(*v * 180 / std::numbers::pi, 1) + " deg" : std::string("-");
  };
  const auto with_error = [&](double v, const std::optional<double>& e) {
    return e && *e > 0 ? mm(v) + " +- " + mm(*e) : mm(v);
  };
  struct Line {
    std::string label;
    std::function<std::string(const BitRow&)> value;
  };
  const std::string unit = inch ? ", in" : ", mm";
  const std::vector<Line> lines{
      {"bit", [&](const BitRow& r) { return shown(r.id, 24); }},
      {"form", [&](const BitRow& r) { return r.form; }},
      {"read on", [&](const BitRow& r) { return r.date.empty() ? "-" : r.date; }},
      {"nominal radius" + unit, [&](const BitRow& r) { return r.radius > 0 ? mm(r.radius) : "-"; }},
      {"works this deep (W)" + unit,
       [&](const BitRow& r) {
         return r.working_depth > 0 ? with_error(r.working_depth, r.working_depth_error) : "-";
       }},
      {"tip flat, across" + unit, [&](const BitRow& r) { return with_error(r.tip_flat, r.tip_flat_error); }},
      {"cutting diameter" + unit, [&](const BitRow& r) { return mm(r.cutting_diameter); }},
      {"thickness 1 mm above the tip" + unit, [&](const BitRow& r) { return mm(r.thickness_above); }},
      {"arc lost at the tip",
       [&](const BitRow& r) {
         return r.lost_angle ? degrees(r.lost_angle) + ", " + mm(*r.lost_length) : "-";
       }},
      {"best depth" + unit, [&](const BitRow& r) { return some(r.depth); }},
      {"best offset" + unit, [&](const BitRow& r) { return some(r.offset); }},
      {"  face break there", [&](const BitRow& r) { return degrees(r.face_break); }},
      {"  wall break there", [&](const BitRow& r) { return degrees(r.wall_break); }},
      {"  foot on the wall, deep" + unit, [&](const BitRow& r) { return some(r.foot_depth); }},
      {"  lip to expect" + unit,
       [&](const BitRow& r) { return r.lip ? with_error(*r.lip, r.lip_error) : "-"; }},
  };
  std::string out;
  for (std::size_t first = 0; first < rows.size(); first += kAcross) {
    if (first > 0) out += "\n";
    const std::size_t last = std::min(rows.size(), first + kAcross);
    for (const Line& line : lines) {
      std::string text = padded(line.label, 34);
      for (std::size_t i = first; i < last; ++i)
        text += i + 1 == last ? line.value(rows[i]) : padded(line.value(rows[i]), 26);
      out += text + "\n";
    }
  }
  for (const BitRow& r : rows)
    if (!r.remark.empty()) out += fmt::format("\n{}: {}\n", shown(r.id, 24), r.remark);
  out +=
      "\nBest settings: as deep as leaves no lip, as far out as leaves no flat band, each with two standard "
      "errors of the "
      "readings in hand.\nThe round then stops that many degrees short of meeting the face (face break) and "
      "the wall (wall "
      "break) smoothly.\n";
  return out;
}

}  // namespace ovolo::io
