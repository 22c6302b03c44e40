#include "file/kind.hpp"

#include "base/error.hpp"
#include "file/table_file.hpp"

namespace shortedge {

using namespace file;

FileKind kind_of_file(const std::filesystem::path& path) {
  const std::string name = TableReader(path).text("schema");
  for (const auto& [schema, kind] :
       {std::pair(game_schema, FileKind::game), std::pair(results_schema, FileKind::results),
        std::pair(reps_schema, FileKind::reps)}) {
    if (name == schema.name) return kind;
  }
  throw FileError(path.string() + ": its schema is none that this library reads");
}

}  // namespace shortedge
