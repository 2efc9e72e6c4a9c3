#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <cstring>

#include "sim/advise/normal.hpp"
#include "sim/advise/quadrature.hpp"

using namespace ovolo;

TEST_CASE("the rules are exact for polynomials of their degree", "[advise]") {
  // A rule of n points is exact to degree 2 n - 1 (Abramowitz and Stegun, 25.4.29).
  for (int degree = 0; degree <= 32; ++degree) {
    const auto power = [degree](double x) { return std::pow(x, degree); };
    const double exact = std::pow(2.0, degree + 1) / (degree + 1);
    const double by_8 = detail::gauss(detail::kGauss8, power, 0, 2),
                 by_16 = detail::gauss(detail::kGauss16, power, 0, 2);
    CHECK((std::fabs(by_8 / exact - 1) < 1e-14) == (degree <= 15));
    CHECK(std::fabs(by_16 / exact - 1) < 1e-14);  // beyond degree 31 wrong by less than can be told
  }
}

TEST_CASE("an integral is as near as it was asked to be, over jumps that were not named too", "[advise]") {
  const auto f = [](double x) { return x > 0.7312 ? normal_density(x) : 0; };
  CHECK(std::fabs(integrate(f, -9, 9, {}, 1e-11) - normal_tail(0.7312)) < 1e-10);
  CHECK(std::fabs(integrate(f, -9, 9, {0.7312}, 1e-11) - normal_tail(0.7312)) < 1e-13);
}

TEST_CASE("an integral ends where its integrand is known less well than the tolerance", "[advise]") {
  std::int64_t asked = 0;
  const auto rough = [&](double x) {
    ++asked;
    std::uint64_t bits = 0;
    std::memcpy(&bits, &x, sizeof bits);
    bits *= 0x9e3779b97f4a7c15U;
    return normal_density(x) * (1 + 1e-9 * (static_cast<double>(bits >> 11) * 0x1p-53 - 0.5));
  };
  CHECK(std::fabs(integrate(rough, -9, 9, {-4, -1.5, 1.5, 4}, 1e-11) - 1) < 1e-9);
  CHECK(asked < 100000);
}
