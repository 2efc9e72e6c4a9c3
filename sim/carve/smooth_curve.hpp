#pragma once
#include <array>
#include <functional>

namespace ovolo {

/// A smooth function on [from, to] in 16 cubics: with u = position(y) * scale, i = floor(u) and t = u - i it
/// is c[0][i] + c[1][i] t + c[2][i] t^2 + c[3][i] t^3. The position is y - from, or, where the function
/// starts and ends like a square root, sqrt(y - from) on the lower half and sqrt(to - y) on the upper, whose
/// cubics are numbered from 8 on.
struct SmoothCurve {
  static constexpr int kCubics = 16;
  float from = 1, to = 0, scale = 0;
  bool rooted = false;
  alignas(64) std::array<std::array<float, kCubics>, 4> c{};
};

/// Fits the curve's cubics to f on [from, to]; returns the worst error at places between those it goes
/// through.
double fit_cubics(const std::function<double(double)>& f, double from, double to, bool rooted,
                  SmoothCurve& curve);

}  // namespace ovolo
