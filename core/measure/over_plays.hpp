#pragma once
/// Work on every play of a game, on threads; the rows come out in the order of the snaps however many there are.

#include <algorithm>
#include <vector>

#include "base/parallel.hpp"
#include "play/play.hpp"

namespace shortedge {

/// Adds `from`'s rows to `to`'s, whose columns have room for `all` rows then.
template <class Table>
void append(Table& to, const Table& from, std::size_t all) {
  std::vector<const void*> columns;
  Table::for_each(from, [&](const auto&, const auto& values) { columns.push_back(&values); });
  auto column = columns.begin();
  Table::for_each(to, [&](const auto&, auto& values) {
    const auto& more = *static_cast<const std::remove_reference_t<decltype(values)>*>(*column++);
    values.reserve(all);
    values.insert(values.end(), more.begin(), more.end());
  });
}

/// The rows of one table of a set: of its first column.
template <class Table>
std::size_t rows_of(const Table& table) {
  std::size_t rows = 0, column = 0;
  Table::for_each(table, [&](const auto&, const auto& values) { rows = column++ == 0 ? values.size() : rows; });
  return rows;
}

/// Prepares every play that has no problem and calls work(ready, row of snaps, tables) for it. `Tables` is a set of
/// tables with for_each(tables, visit). threads: 0 for as many as the machine has. Stopped by `progress`, the result is
/// empty; an exception of the work is thrown on.
template <class Tables, class Work>
Tables over_plays(const Game& game, unsigned threads, const Progress& progress, Work&& work) {
  const std::vector<std::size_t> plays = game.measured();
  const Roster roster(game.people, game.players.size());
  constexpr std::size_t batch = 8;  // plays a thread takes at a time
  std::vector<Tables> parts((plays.size() + batch - 1) / batch);
  const bool finished =
      in_parts(parts.size(), threads, plays.size(), progress, [&](std::size_t, std::size_t part, const auto& tick) {
        const std::size_t end = std::min(plays.size(), (part + 1) * batch);
        for (std::size_t i = part * batch; i < end; ++i) {
          work(prepare(game, roster, game.snaps[plays[i]]), plays[i], parts[part]);
          if (!tick()) return;
        }
      });
  Tables tables;
  if (!finished) return tables;
  std::vector<std::size_t> rows;
  Tables::for_each(tables, [&](const auto&) { rows.push_back(0); });
  for (const Tables& part : parts) {
    auto of_table = rows.begin();
    Tables::for_each(part, [&](const auto& table) { *of_table++ += rows_of(table); });
  }
  for (const Tables& part : parts) {
    std::vector<const void*> from;
    Tables::for_each(part, [&](const auto& table) { from.push_back(&table); });
    auto table_from = from.begin();
    auto all = rows.begin();
    Tables::for_each(tables, [&](auto& table) {
      append(table, *static_cast<const std::remove_reference_t<decltype(table)>*>(*table_from++), *all++);
    });
  }
  return tables;
}

}  // namespace shortedge
