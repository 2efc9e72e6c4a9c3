#include <benchmark/benchmark.h>

#include <cstdio>
#include <cstring>

#include "hwy/targets.h"

namespace ovolo::bench {
void register_carve_benches();
}

// ovolo_bench [--simd=avx512|avx2|sse4|scalar] [Google Benchmark's own options: --benchmark_filter=,
// --benchmark_out=FILE ...]
int main(int argc, char** argv) {
  for (int i = 1; i < argc; ++i) {
    if (std::strncmp(argv[i], "--simd=", 7) != 0) continue;
    const char* most = argv[i] + 7;
    const struct {
      const char* name;
      std::uint32_t disabled;
    } levels[] = {{"avx512", 0},
                  {"avx2", HWY_AVX3 | HWY_AVX3_DL},
                  {"sse4", HWY_AVX3 | HWY_AVX3_DL | HWY_AVX2},
                  {"scalar", HWY_AVX3 | HWY_AVX3_DL | HWY_AVX2 | HWY_SSE4 | HWY_SSSE3}};
    bool known = false;
    for (const auto& level : levels) {
      if (std::strcmp(level.name, most) != 0) continue;
      hwy::DisableTargets(level.disabled);
      known = true;
    }
    if (!known) {
      std::fprintf(stderr, "--simd=%s: avx512, avx2, sse4 or scalar\n", most);
      return 2;
    }
    std::memmove(argv + i, argv + i + 1, static_cast<std::size_t>(argc - i) * sizeof(char*));
    --argc;
    break;
  }
  ovolo::bench::register_carve_benches();
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 2;
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
