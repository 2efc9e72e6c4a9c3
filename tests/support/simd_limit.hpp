#pragma once

namespace ovolo::test {

/// Which of the kernels' instruction sets may be used: all that the machine has, no wider than AVX2, or none.
enum class Simd { widest, avx2, none };

const char* name_of(Simd simd);

/// Holds the kernels to one while it lives.
class SimdLimit {
 public:
  explicit SimdLimit(Simd simd);
  ~SimdLimit();
  SimdLimit(const SimdLimit&) = delete;
  SimdLimit& operator=(const SimdLimit&) = delete;
};

}  // namespace ovolo::test
