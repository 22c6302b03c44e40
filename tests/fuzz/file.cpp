// The reader of game, results and reps files on forged ones: each is read or refused.

#include <sys/mman.h>
#include <unistd.h>

#include <algorithm>
#include <string>
#include <vector>

#include "base/error.hpp"
#include "file/game_file.hpp"
#include "file/kind.hpp"
#include "file/reps_file.hpp"
#include "file/results_file.hpp"
#include "play/review.hpp"
#include "repair.hpp"
#include "target.hpp"

using namespace shortedge;

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t most) __attribute__((weak));

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t most, unsigned seed) {
  size = LLVMFuzzerMutate(data, size, most);
  if (seed % 8 == 0) return size;
  std::vector<std::uint8_t> file(data, data + size);
  fuzz::repair(file);
  std::copy(file.begin(), file.end(), data);
  return size;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const int descriptor = ::memfd_create("forged", MFD_CLOEXEC);
  fuzz::must(descriptor >= 0 && ::write(descriptor, data, size) == static_cast<ssize_t>(size), "the input has a file");
  const std::string path = "/proc/self/fd/" + std::to_string(descriptor);
  try {
    switch (kind_of_file(path)) {
      case FileKind::game: {
        const StoredGame stored = read_game(path);
        make_game(stored.input(), Orientation::trust);
        break;
      }
      case FileKind::results: read_results(path); break;
      case FileKind::reps: read_reps(path); break;
    }
  } catch (const FileError& error) {
    fuzz::must(std::string(error.what()).find(path) == 0, "a refusal names the file");
  } catch (const InputError&) {  // a game that is no game
  }
  ::close(descriptor);
  return 0;
}
