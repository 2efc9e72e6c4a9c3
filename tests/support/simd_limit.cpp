#include "tests/support/simd_limit.hpp"

#include <cstdint>

#include "hwy/targets.h"

namespace ovolo::test {
namespace {

void allow_all_but(std::uint32_t disabled) {
  hwy::DisableTargets(disabled);
  hwy::GetChosenTarget().DeInit();  // the next call chooses anew
}

constexpr std::uint32_t kAvx512 = HWY_AVX3 | HWY_AVX3_DL;

}  // namespace

const char* name_of(Simd simd) {
  return simd == Simd::avx2 ? "avx2" : simd == Simd::none ? "no simd" : "widest";
}

SimdLimit::SimdLimit(Simd simd) {
  if (simd == Simd::avx2) allow_all_but(kAvx512);
  if (simd == Simd::none) allow_all_but(kAvx512 | HWY_AVX2 | HWY_SSE4 | HWY_SSSE3);
}

SimdLimit::~SimdLimit() { allow_all_but(0); }

}  // namespace ovolo::test
