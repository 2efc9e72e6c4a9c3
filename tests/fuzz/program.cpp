// libFuzzer target for the program reader. Build with -DCMAKE_BUILD_TYPE=Fuzz and clang, then
//   fuzz_program tests/fuzz/corpus/program -max_total_time=300 -dict=tests/fuzz/program.dict
#include <cstddef>
#include <cstdint>

#include "tests/io/program/any_program.cpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  ovolo::test::check_any_program({reinterpret_cast<const char*>(data), size});
  return 0;
}
