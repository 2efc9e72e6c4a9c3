#include "render/close_up.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <memory>
#include <numbers>
#include <optional>

#include "render/camera.hpp"
#include "render/close_up_labels.hpp"
#include "render/grain.hpp"
#include "render/sheet_block.hpp"
#include "sim/parallel.hpp"
#include "sim/solid/part_distance.hpp"
#include "sim/stock/pages.hpp"

namespace ovolo::render {

namespace {

constexpr double kViewAngle = 0.36;   // of the picture's width: a long lens, little distortion
constexpr double kSunRadius = 0.035;  // half angle, a little wider than the real sun: soft edges
constexpr double kSunLight = 1.1, kSkyLight = 0.36, kBounce = 0.16, kCutLight = 0.64;
constexpr int kPattern = 4;  // samples repeat in blocks of 4 x 4 pixels and are averaged over them

enum class Thing : unsigned char { floor, top, wall, cut };

/// A Vec3 in half the memory: there is one spot for each pixel.
struct Small3 {
  float x = 0, y = 0, z = 0;
  Small3() = default;
  Small3(Vec3 v) : x(static_cast<float>(v.x)), y(static_cast<float>(v.y)), z(static_cast<float>(v.z)) {}
  operator Vec3() const { return {x, y, z}; }
};

struct Spot {
  Small3 at;
  Small3 normal = Vec3{0, 0, 1};
  float t = 0;
  Thing thing = Thing::floor;
  std::int16_t layer = -1;
};

using Spots = std::shared_ptr<Spot[]>;  // row by row

struct Light {
  float sun, sky;
};

using Lights = std::shared_ptr<Light[]>;  // row by row

struct Linear {
  double r = 0, g = 0, b = 0;
};

double fraction(double v) { return v - std::floor(v); }

/// Well spread sample directions, a set for each pixel of a block: points of a disc of radius 1 with the
/// height of the hemisphere over them (spread by the cosine).
class Pattern {
 public:
  explicit Pattern(int rays) : rays_(rays) {
    const int blocks = kPattern * kPattern;
    for (int shift = 0; shift < blocks; ++shift) {
      for (int k = 0; k < rays; ++k) {
        const int index = k * blocks + shift;
        const double u = (index + 0.5) / (rays * blocks),
                     turn = 2 * std::numbers::pi * fraction(index * 0.6180339887498949);
        samples_.push_back({std::sqrt(u) * std::cos(turn), std::sqrt(u) * std::sin(turn), std::sqrt(1 - u)});
      }
    }
  }
  int rays() const { return rays_; }
  const Vec3& sample(int shift, int k) const { return samples_[static_cast<std::size_t>(shift * rays_ + k)]; }

 private:
  int rays_;
  std::vector<Vec3> samples_;
};

/// A four by four order that spreads neighbours apart.
int pattern_shift(int x, int y) {
  constexpr std::array<int, 16> kOrder{0, 8, 2, 10, 12, 4, 14, 6, 3, 11, 1, 9, 15, 7, 13, 5};
  return kOrder[static_cast<std::size_t>((y & 3) * 4 + (x & 3))];
}

void basis(Vec3 n, Vec3& a, Vec3& b) {
  a = normalized(std::fabs(n.z) < 0.9 ? cross(n, {0, 0, 1}) : cross(n, {1, 0, 0}));
  b = cross(n, a);
}

std::unique_ptr<const CutBlock> block_of(const CloseUp& picture, const EdgeFrame& frame) {
  const Box2 window = frame_window(picture.view, picture.stock);
  if (picture.sheet != nullptr)
    return std::make_unique<SheetBlock>(*picture.sheet, frame, window, picture.stop);
  return std::make_unique<Solid>(picture.field, frame, window, -picture.stock.thickness(),
                                 [&picture](Vec2 p) {
                                   const Stock& s = picture.stock;
                                   const double sheet = std::min({p.x, p.y, s.width - p.x, s.height - p.y});
                                   return std::min(sheet, part_distance(picture.contour, picture.keep, p));
                                 });
}

class Studio {
 public:
  explicit Studio(const CloseUp& picture)
      : picture_(picture),
        view_(picture.view),
        frame_{view_.point, view_.inward, view_.turned},
        camera_(close_up_camera(view_)),
        block_(block_of(picture, frame_)),
        solid_(*block_) {
    const double ce = std::cos(view_.sun_elevation);
    sun_ = {-ce * std::sin(view_.sun_azimuth), -ce * std::cos(view_.sun_azimuth),
            std::sin(view_.sun_elevation)};
    basis(sun_, sun_a_, sun_b_);
    double z = 0;
    for (const Layer& layer : picture.stock.layers) {
      z -= layer.thickness;
      bottoms_.push_back(z);
      colors_.push_back(to_reflectance(to_color(layer.color)));
      grains_.push_back(grain_of(layer.name));
    }
  }

  Image draw() {
    const int w = view_.width, h = view_.height;
    const std::size_t pixels = static_cast<std::size_t>(w) * static_cast<std::size_t>(h);
    const Spots spots = zeroed_pages<Spot>(pixels);
    const Lights raw = zeroed_pages<Light>(pixels);
    const auto rows = static_cast<std::size_t>(h);
    parallel_for(rows, [&](std::size_t row) {
      if (picture_.stop) picture_.stop();
      for (int x = 0; x < w; ++x) {
        const std::size_t k = row * static_cast<std::size_t>(w) + static_cast<std::size_t>(x);
        spots[k] = look(camera_.ray(x + 0.5, static_cast<double>(row) + 0.5));
        raw[k] = light_at(spots[k], pattern_shift(x, static_cast<int>(row)));
      }
    });
    Image image(w, h);
    parallel_for(rows, [&](std::size_t row) {
      if (picture_.stop) picture_.stop();
      const int y = static_cast<int>(row);
      for (int x = 0; x < w; ++x) {
        const Linear c = edge_pixel(spots, x, y) ? fine_pixel(spots, raw, x, y)
                                                 : shade(spot_at(spots, x, y), averaged(spots, raw, x, y));
        put(image.pixel(x, y), c);
      }
    });
    return image;
  }

  double floor_z() const { return solid_.bottom(); }

 private:
  std::size_t index(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(view_.width) + static_cast<std::size_t>(x);
  }
  const Spot& spot_at(const Spots& spots, int x, int y) const { return spots[index(x, y)]; }

  Spot look(const Ray& ray) const {
    const Solid::Hit hit = solid_.hit(ray);
    Spot spot;
    if (hit.face == Solid::Face::none) {
      const double t = ray.direction.z < -1e-6 ? (floor_z() - ray.origin.z) / ray.direction.z : 1e6;
      spot.t = static_cast<float>(t);
      spot.at = ray.at(t);
      return spot;
    }
    spot.t = static_cast<float>(hit.t);
    spot.at = ray.at(hit.t);
    spot.normal = hit.normal;
    spot.thing = hit.face == Solid::Face::top    ? Thing::top
                 : hit.face == Solid::Face::wall ? Thing::wall
                                                 : Thing::cut;
    spot.layer = static_cast<std::int16_t>(layer_at(ray.at(hit.t).z));
    return spot;
  }

  int layer_at(double z) const {
    const auto it = std::find_if(bottoms_.begin(), bottoms_.end(), [z](double low) { return z > low; });
    return static_cast<int>(std::min<std::ptrdiff_t>(it - bottoms_.begin(), std::ssize(bottoms_) - 1));
  }

  /// How much of the sun and of the sky a spot sees.
  Light light_at(const Spot& spot, int shift) const {
    Light light{1, 1};
    if (spot.thing == Thing::cut) return light;
    const double lift = spot.thing == Thing::floor ? 1e-3 : 1.5 * solid_.cell();
    const Vec3 from = spot.at + lift * spot.normal;
    if (dot(spot.normal, sun_) > -kSunRadius) {
      int seen = 0;
      for (int k = 0; k < sun_rays_.rays(); ++k) {
        const Vec3 s = kSunRadius * sun_rays_.sample(shift, k);
        seen += solid_.blocked({from, normalized(sun_ + s.x * sun_a_ + s.y * sun_b_)}) ? 0 : 1;
      }
      light.sun = static_cast<float>(seen) / static_cast<float>(sun_rays_.rays());
    }
    Vec3 a, b;
    basis(spot.normal, a, b);
    double open = 0;
    for (int k = 0; k < sky_rays_.rays(); ++k) {
      const Vec3 s = sky_rays_.sample(shift, k);
      const Vec3 d = s.x * a + s.y * b + s.z * spot.normal;
      // Toward the floor there is no sky, but the floor throws some light back.
      open += d.z <= 0 || solid_.blocked({from, d}) ? kBounce : 1;
    }
    light.sky = static_cast<float>(open / sky_rays_.rays());
    return light;
  }

  /// Neighbours of the same surface share their samples.
  Light averaged(const Spots& spots, const Lights& raw, int x, int y) const {
    const Spot& here = spot_at(spots, x, y);
    const double reach = 6 * static_cast<double>(here.t) * kViewAngle / view_.width;
    double sun = 0, sky = 0;
    int n = 0;
    for (int j = std::max(0, y - 1); j <= std::min(view_.height - 1, y + 2); ++j) {
      for (int i = std::max(0, x - 1); i <= std::min(view_.width - 1, x + 2); ++i) {
        const Spot& other = spot_at(spots, i, j);
        if (other.thing != here.thing || dot(other.normal, here.normal) < 0.97) continue;
        if (std::fabs(dot(other.at - here.at, here.normal)) > 0.3 * reach) continue;
        sun += static_cast<double>(raw[index(i, j)].sun);
        sky += static_cast<double>(raw[index(i, j)].sky);
        ++n;
      }
    }
    return {static_cast<float>(sun / n), static_cast<float>(sky / n)};
  }

  static bool differ(const Spot& a, const Spot& b) {
    return a.thing != b.thing || a.layer != b.layer || dot(a.normal, b.normal) < 0.985 ||
           (a.thing != Thing::floor &&
            std::fabs(dot(b.at - a.at, a.normal)) > 0.004 * static_cast<double>(a.t));
  }

  bool edge_pixel(const Spots& spots, int x, int y) const {
    const Spot& here = spot_at(spots, x, y);
    return (x > 0 && differ(here, spot_at(spots, x - 1, y))) ||
           (x + 1 < view_.width && differ(here, spot_at(spots, x + 1, y))) ||
           (y > 0 && differ(here, spot_at(spots, x, y - 1))) ||
           (y + 1 < view_.height && differ(here, spot_at(spots, x, y + 1)));
  }

  /// Where faces meet a pixel is the mean of nine looks, lit like the neighbour that lies on the same face.
  Linear fine_pixel(const Spots& spots, const Lights& raw, int x, int y) const {
    Linear sum;
    int cut = 0;
    for (int k = 0; k < 9; ++k) {
      const Spot spot = look(camera_.ray(x + (k % 3 + 0.5) / 3, y + (k / 3 + 0.5) / 3));
      cut += spot.thing == Thing::cut ? 1 : 0;
      double best = 0.9;
      std::optional<std::pair<int, int>> from;
      for (int j = std::max(0, y - 1); j <= std::min(view_.height - 1, y + 1); ++j) {
        for (int i = std::max(0, x - 1); i <= std::min(view_.width - 1, x + 1); ++i) {
          const Spot& other = spot_at(spots, i, j);
          const double alike = dot(other.normal, spot.normal);
          if (other.thing == spot.thing && alike > best) {
            best = alike;
            from = {i, j};
          }
        }
      }
      const Linear c =
          shade(spot, from ? averaged(spots, raw, from->first, from->second) : light_at(spot, k));
      sum = {sum.r + c.r / 9, sum.g + c.g / 9, sum.b + c.b / 9};
    }
    // A fine line around the cut face, as in a drawing.
    const double ink = cut > 0 && cut < 9 ? 0.45 : 1;
    return {ink * sum.r, ink * sum.g, ink * sum.b};
  }

  Linear shade(const Spot& spot, const Light& light) const {
    const double sun = static_cast<double>(light.sun), sky = static_cast<double>(light.sky);
    if (spot.thing == Thing::floor) {
      // Studio paper: lighter with distance, darker where the block stands in its light.
      const double v = 0.62 * (0.72 + 0.28 * sun) * (0.35 + 0.65 * sky);
      return {v, v, 1.01 * v};
    }
    const Vec3 at = spot.at, normal = spot.normal;
    const Vec2 on_sheet = frame_.to_sheet({at.x, at.y});
    const auto layer = static_cast<std::size_t>(spot.layer);
    const double tone = tone_at(grains_[layer], {on_sheet.x, on_sheet.y, at.z});
    const Reflectance& c = colors_[layer];
    if (spot.thing == Thing::cut) {  // as in a drawing: the layers' own tones, without light and shade
      const double lit = kCutLight * tone;
      return {c.r * lit, c.g * lit, c.b * lit};
    }
    const double facing = std::max(0.0, dot(normal, sun_));
    const double lit = tone * (kSunLight * sun * facing + kSkyLight * sky * (0.75 + 0.25 * normal.z));
    double sheen = std::max(0.0, dot(normalized(normalized(camera_.eye() - at) + sun_), normal));
    for (int k = 0; k < 4; ++k) sheen *= sheen;  // to the 16th
    sheen *= (grains_[layer] == Grain::plastic ? 0.10 : 0.03) * sun * facing;
    return {c.r * lit + sheen, c.g * lit + sheen, c.b * lit + sheen};
  }

  void put(std::uint8_t* pixel, const Linear& c) const {
    // Bright tones are eased toward white together, so that colours keep their hue.
    const double most = std::max({c.r, c.g, c.b, 1e-9});
    const double eased = most < 0.7 ? most : 0.7 + 0.3 * (1 - std::exp(-(most - 0.7) / 0.3));
    const double s = eased / most;
    pixel[0] = tones_.byte(s * c.r);
    pixel[1] = tones_.byte(s * c.g);
    pixel[2] = tones_.byte(s * c.b);
    pixel[3] = 255;
  }

  const CloseUp& picture_;
  const CloseUpView& view_;
  EdgeFrame frame_;
  Camera camera_;
  std::unique_ptr<const CutBlock> block_;
  const CutBlock& solid_;
  Vec3 sun_, sun_a_, sun_b_;
  Pattern sun_rays_{2}, sky_rays_{3};
  ToneTable tones_;
  std::vector<double> bottoms_;
  std::vector<Reflectance> colors_;
  std::vector<Grain> grains_;
};

}  // namespace

CloseUpView close_up_view(const Station& station, const WantedForm& wanted, const Stock& stock) {
  CloseUpView view;
  view.point = station.point;
  view.inward = station.normal;
  const double u = std::max({wanted.width, station.measures.round_width, 0.5});
  const double z = std::max({wanted.depth, station.measures.foot_depth.value_or(0), 0.5});
  view.field_width = 3.2 * std::max(u, z);
  view.target = {0.55 * u, -std::min(0.55 * z, stock.thickness())};
  return view;
}

Camera close_up_camera(const CloseUpView& view) {
  const Vec3 target{view.target.x, 0, view.target.y};
  const double away = view.field_width / (2 * std::tan(kViewAngle / 2)), ce = std::cos(view.elevation);
  const Vec3 to_eye{-ce * std::sin(view.azimuth), -ce * std::cos(view.azimuth), std::sin(view.elevation)};
  return Camera(target + away * to_eye, target, view.field_width, view.width, view.height);
}

Box2 frame_window(const CloseUpView& view, const Stock& stock) {
  const Camera camera = close_up_camera(view);
  Box2 box;
  for (const double z : {0.0, -stock.thickness()}) {
    for (const double px : {0.0, 1.0}) {
      for (const double py : {0.0, 1.0}) {
        const Ray ray = camera.ray(px * view.width, py * view.height);
        const double t = ray.direction.z < -1e-6 ? (z - ray.origin.z) / ray.direction.z : 1e6;
        const Vec3 p = ray.at(t);
        box.add(Vec2{p.x, p.y});
      }
    }
  }
  const double f = view.field_width;
  return {{std::max(box.lo.x, -f), 0}, {std::min(box.hi.x, 1.6 * f), std::clamp(box.hi.y, 0.2 * f, 2.2 * f)}};
}

Box2 close_up_window(const CloseUpView& view, const Stock& stock) {
  const EdgeFrame frame{view.point, view.inward, view.turned};
  const Box2 window = frame_window(view, stock);
  Box2 box;
  for (const Vec2 p :
       {window.lo, Vec2{window.hi.x, window.lo.y}, window.hi, Vec2{window.lo.x, window.hi.y}}) {
    box.add(frame.to_sheet(p));
  }
  return box.grown(4 * close_up_cell(view));
}

double close_up_cell(const CloseUpView& view) { return view.field_width / view.width; }

Image draw_close_up(const CloseUp& picture) {
  Image image = Studio(picture).draw();
  if (picture.labels) lay_over(image, close_up_labels(picture));
  return image;
}

}  // namespace ovolo::render
