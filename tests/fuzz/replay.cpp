// Runs a fuzz target on the files of the folders named, which hold inputs that once broke it or reach far, and on
// inputs of chance, the same ones each time.

#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <vector>

#include "target.hpp"

int main(int count, char** names) {
  std::size_t run = 0;
  for (int i = 1; i < count; ++i) {
    for (const auto& entry : std::filesystem::directory_iterator(names[i])) {
      if (!entry.is_regular_file()) continue;
      std::ifstream file(entry.path(), std::ios::binary);
      const std::vector<char> content{std::istreambuf_iterator<char>(file), {}};
      std::printf("%s\n", entry.path().filename().c_str());
      std::fflush(stdout);
      LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(content.data()), content.size());
      ++run;
    }
  }
  std::mt19937_64 engine(1);
  for (int k = 0; k < 300; ++k, ++run) {
    std::vector<std::uint8_t> content(engine() % 1024);
    for (std::uint8_t& byte : content) byte = static_cast<std::uint8_t>(engine());
    std::printf("by chance %d\n", k);
    std::fflush(stdout);
    LLVMFuzzerTestOneInput(content.data(), content.size());
  }
  std::printf("%zu inputs\n", run);
}
