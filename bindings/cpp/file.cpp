#include "arrays.hpp"
#include "file/game_file.hpp"
#include "file/kind.hpp"
#include "file/reps_file.hpp"
#include "file/results_file.hpp"
#include "kept.hpp"
#include "play/review.hpp"
#include "work.hpp"

using namespace shortedge;
using namespace shortedge::python;

namespace {

Game read_game_file(const StoredGame& stored, std::string& digest) {
  digest = stored.digest;
  Game game = make_game(stored.input(), Orientation::trust);
  stored.complete(game);
  return game;
}

/// Fills a set of tables from title -> column -> array.
template <class Tables>
void fill(Tables& tables, const py::dict& given) {
  Tables::for_each(tables, [&]<class Table>(Table& table) {
    const auto columns = py::cast<py::dict>(given[py::str(Table::title.data(), Table::title.size())]);
    Table::for_each(table, [&]<class T>(const ColumnInfo& info, std::vector<T>& values) {
      const std::string name(info.name);
      if constexpr (std::is_same_v<T, std::uint8_t>) {
        // A flag may come as bool: one byte all the same.
        const py::array array(columns[name.c_str()]);
        const py::array bytes = array.dtype().kind() == 'b' ? py::array(array.attr("view")("uint8")) : array;
        const auto from = column<T>(bytes, name);
        values.assign(from.begin(), from.end());
      } else {
        const auto from = column<T>(columns[name.c_str()], name);
        values.assign(from.begin(), from.end());
      }
    });
  });
}

py::dict to_dict(MadeWith&& made) {
  py::dict out;
  out["rules"] = made.rules;
  out["game_name"] = made.game;
  out["digest"] = made.digest;
  out["library_version"] = made.library_version;
  out["definition"] = made.definition;
  out["notes"] = std::move(made.notes);
  out["plays"] = std::move(made.plays);
  out["players"] = std::move(made.players);
  return out;
}

void add(py::dict& out, const py::dict& tables) {
  for (const auto& [title, columns] : tables) out[title] = columns;
}

/// The bands, and (sigma, draws, seed, found); both None for none.
using GivenNoise = std::optional<std::tuple<double, std::size_t, std::uint64_t, std::string>>;

template <class Results>
void fill_bands(Results& results, const GivenNoise& noise, const std::optional<py::dict>& bands) {
  if (!noise) return;
  const auto& [sigma, draws, seed, found] = *noise;
  results.noise = NoiseUsed{{sigma, draws, seed}, found};
  fill(results.bands, bands.value());
}

template <class Results>
void add_bands_to(py::dict& out, Results& results) {
  GivenNoise noise;
  if (results.noise)
    noise.emplace(results.noise->sigma, results.noise->draws, results.noise->seed, results.noise->found);
  out["noise"] = noise;
  out["bands"] = results.noise ? py::object(tables_of(std::move(results.bands))) : py::none();
}

using TextColumn = std::pair<const char*, std::vector<std::string> Corrections::*>;
constexpr TextColumn correction_texts[]{{"play", &Corrections::play},     {"protector", &Corrections::protector},
                                        {"rusher", &Corrections::rusher}, {"outcome", &Corrections::outcome},
                                        {"note", &Corrections::note},     {"given_to", &Corrections::given_to},
                                        {"helped", &Corrections::helped}};

}  // namespace

void bind_file(py::module_& module) {
  using namespace py::literals;
  module.def(
      "file_kind",
      [](const std::string& path) {
        constexpr const char* names[] = {"game", "results", "reps"};
        return names[static_cast<std::size_t>(kind_of_file(path))];
      },
      "path"_a);
  module.def(
      "write_game",
      [](const std::string& path, const Game& game, const std::string& digest) {
        const py::gil_scoped_release released;
        write_game(game, digest, path);
      },
      "path"_a, "game"_a, "digest"_a);
  module.def(
      "read_game",
      [](const std::string& path) {
        std::string digest;
        bool checked = false;
        Game game;
        {
          const py::gil_scoped_release released;
          const StoredGame stored = read_game(path);
          checked = stored.checked;
          game = read_game_file(stored, digest);
        }
        return std::tuple(std::move(game), digest, checked);
      },
      "path"_a);
  module.def(
      "check_game", [](const std::string& path) { check_game(path); }, "path"_a,
      py::call_guard<py::gil_scoped_release>());
  module.def(
      "game_rows",
      [](const std::string& path) {
        GameRows rows;
        {
          const py::gil_scoped_release released;
          rows = read_game_rows(path);
        }
        return std::tuple(rows.name, rows.plays,
                          to_array(std::vector<std::int64_t>(rows.begin.begin(), rows.begin.end())));
      },
      "path"_a);
  module.def(
      "read_game_part",
      [](const std::string& path, std::pair<std::size_t, std::size_t> plays, std::pair<std::size_t, std::size_t> rows,
         std::vector<std::int32_t> without) {
        const GamePart part{plays.first, plays.second, rows.first, rows.second, std::move(without)};
        std::string digest;
        Game game;
        {
          const py::gil_scoped_release released;
          game = read_game_file(read_game(path, part), digest);
        }
        return std::pair(std::move(game), digest);
      },
      "path"_a, "plays"_a, "rows"_a, "without"_a);

  module.def(
      "write_results",
      [](const std::string& path, const py::dict& tables, const Rules& rules, const std::string& game_name,
         const std::string& digest, const std::string& library_version, int made_by, std::vector<std::string> plays,
         std::vector<std::string> players, const GivenNoise& noise, const std::optional<py::dict>& bands) {
        Results results{{rules, game_name, digest, library_version, std::move(plays), std::move(players), made_by}, {}};
        fill(results.tables, tables);
        fill_bands(results, noise, bands);
        const py::gil_scoped_release released;
        write_results(results, path);
      },
      "path"_a, "tables"_a, "rules"_a, "game_name"_a, "digest"_a, "library_version"_a, "definition"_a, "plays"_a,
      "players"_a, "noise"_a, "bands"_a);
  module.def(
      "read_results",
      [](const std::string& path) {
        Results results;
        {
          const py::gil_scoped_release released;
          results = read_results(path);
        }
        const py::dict tables = tables_of(std::move(results.tables));
        py::dict bands;
        add_bands_to(bands, results);
        py::dict out = to_dict(std::move(results));
        add(out, tables);
        add(out, bands);
        return out;
      },
      "path"_a);

  module.def(
      "write_reps",
      [](const std::string& path, const py::dict& tables, const Rules& rules, const std::string& game_name,
         const std::string& digest, const std::string& library_version, int made_by, std::vector<std::string> plays,
         std::vector<std::string> players, std::vector<std::string> labels, const py::dict& corrections,
         const py::list& brought, const GivenNoise& noise, const std::optional<py::dict>& bands) {
        RepResults results{{rules, game_name, digest, library_version, std::move(plays), std::move(players), made_by},
                           {},
                           std::move(labels),
                           {}};
        fill(results.tables, tables);
        for (const auto& [name, texts] : correction_texts) {
          results.corrections.*texts = py::cast<std::vector<std::string>>(corrections[name]);
        }
        const auto times = column<double>(corrections["beat_time"], "beat_time");
        results.corrections.beat_time.assign(times.begin(), times.end());
        results.brought = kept_columns(brought);
        fill_bands(results, noise, bands);
        const py::gil_scoped_release released;
        write_reps(results, path);
      },
      "path"_a, "tables"_a, "rules"_a, "game_name"_a, "digest"_a, "library_version"_a, "definition"_a, "plays"_a,
      "players"_a, "labels"_a, "corrections"_a, "brought"_a, "noise"_a, "bands"_a);
  module.def(
      "read_reps",
      [](const std::string& path) {
        RepResults results;
        {
          const py::gil_scoped_release released;
          results = read_reps(path);
        }
        py::dict corrections;
        for (const auto& [name, texts] : correction_texts) corrections[name] = results.corrections.*texts;
        corrections["beat_time"] = to_array(results.corrections.beat_time);
        const py::dict tables = tables_of(std::move(results.tables));
        const std::vector<std::string> labels = results.labels;
        const py::list brought = to_list(results.brought);
        py::dict bands;
        add_bands_to(bands, results);
        py::dict out = to_dict(std::move(results));
        add(out, tables);
        add(out, bands);
        out["labels"] = labels;
        out["corrections"] = corrections;
        out["brought"] = brought;
        return out;
      },
      "path"_a);
}
