#include <benchmark/benchmark.h>

#include <vector>

namespace ovolo::bench {
void register_carve_benches();
void register_measure_benches();
void register_other_ways();
}  // namespace ovolo::bench

// ovolo_bench [Google Benchmark's own options: --benchmark_filter=, --benchmark_out=FILE.json ...]
int main(int argc, char** argv) {
  char tabular[] = "--benchmark_counters_tabular=true";
  std::vector<char*> arguments(argv, argv + argc);
  arguments.insert(arguments.begin() + 1, tabular);
  int count = argc + 1;
  ovolo::bench::register_carve_benches();
  ovolo::bench::register_measure_benches();
  ovolo::bench::register_other_ways();
  benchmark::Initialize(&count, arguments.data());
  if (benchmark::ReportUnrecognizedArguments(count, arguments.data())) return 2;
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
