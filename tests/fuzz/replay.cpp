// Runs a fuzz target on the files of the folders named: inputs that once broke it, and some that reach far into it.

#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "target.hpp"

int main(int count, char** names) {
  std::size_t run = 0;
  for (int i = 1; i < count; ++i) {
    for (const auto& entry : std::filesystem::directory_iterator(names[i])) {
      std::ifstream file(entry.path(), std::ios::binary);
      const std::vector<char> content{std::istreambuf_iterator<char>(file), {}};
      std::printf("%s\n", entry.path().filename().c_str());
      std::fflush(stdout);
      LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(content.data()), content.size());
      ++run;
    }
  }
  std::printf("%zu inputs\n", run);
  return run > 0 ? 0 : 1;
}
