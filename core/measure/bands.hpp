#pragma once
/// How far noise of position moves each figure: the whole measurement is made again on draws of noise (noise.hpp).
///
/// Rows are the recording's. Of each number, `_low` and `_high`: the 5 % and 95 % quantiles over the draws in which it
/// exists; NaN where the recording has none, or no draw has. Of each name, word and flag, `_agree`: the share of all
/// draws that give the same as the recording; a draw without that row does not.
///
/// The recording has noise already, so a band lies about the recorded figure, not the true one. It still holds the true
/// one nine times in ten where the figure is nearly linear in the places. Where noise can push it only one way (the
/// greatest or least of many, a size near 0) it is pushed twice, and the band is made by a table learnt on made plays
/// (carried.hpp).

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "measure/carried.hpp"
#include "measure/measure.hpp"
#include "measure/noise.hpp"

namespace shortedge {

inline constexpr double band_low = 0.05, band_high = 0.95;

/// The value below which a further draw falls with chance p: at place p (n + 1) of the sorted values (Weibull 1939),
/// linear between two, the outermost ones beyond. Between a finite and an infinite value: infinite. Reorders the
/// values; not of none.
double quantile(std::span<double> values, double p);

/// What a band table's rows are known by. The first `matched` of them tell rows apart; of several that agree in those
/// the first is held against the first, the second against the second.
template <class Table>
struct BandKeys;
template <>
struct BandKeys<FramesTable> {
  static constexpr std::array<std::string_view, 2> columns{"play", "time"};
  static constexpr std::size_t matched = 2;
};
template <>
struct BandKeys<EdgesTable> {
  static constexpr std::array<std::string_view, 3> columns{"play", "time", "side"};
  static constexpr std::size_t matched = 3;
};
template <>
struct BandKeys<RushersTable> {
  static constexpr std::array<std::string_view, 3> columns{"play", "time", "rusher"};
  static constexpr std::size_t matched = 3;
};

/// Whether a column has bands: neither a key, nor laid over afterwards.
template <class Table>
bool has_band(const ColumnInfo& info) {
  const auto& keys = BandKeys<Table>::columns;
  return info.name != "corrected" && std::find(keys.begin(), keys.end(), info.name) == keys.end();
}
constexpr bool is_number(Kind kind) noexcept { return kind == Kind::number || kind == Kind::count; }

/// The bands of one table, in the order of its columns; rows as there. Title and columns derive from base/columns.hpp.
template <class Table>
struct BandTable {
  static inline const std::string title = std::string(Table::title) + "_bands";

  static const std::vector<ColumnInfo>& columns() {
    static const std::vector<std::array<std::string, 3>> texts = [] {  // name, missing, says
      std::vector<std::array<std::string, 3>> made;
      for (const ColumnInfo& info : Table::columns) {
        const std::string name(info.name);
        if (!has_band<Table>(info)) continue;
        if (is_number(info.kind)) {
          const std::string never = info.missing == "never" ? "" : std::string(info.missing) + ", or ";
          const std::string missing = never + "in no draw";
          made.push_back({name + "_low", missing, "5 % of draws have a lower " + name});
          made.push_back({name + "_high", missing, "5 % of draws have a higher " + name});
        } else {
          made.push_back({name + "_agree", "never", "share of draws that give the same " + name});
        }
      }
      return made;
    }();
    static const std::vector<ColumnInfo> infos = [] {
      std::vector<ColumnInfo> made;
      auto text = texts.begin();
      for (const ColumnInfo& info : Table::columns) {
        if (!has_band<Table>(info)) continue;
        for (int k = 0; k < (is_number(info.kind) ? 2 : 1); ++k, ++text) {
          made.push_back({(*text)[0], Kind::number, info.unit, (*text)[1], (*text)[2]});
        }
      }
      return made;
    }();
    return infos;
  }

  std::vector<std::vector<double>> values = std::vector<std::vector<double>>(columns().size());

  template <class T, class Visit>
  static void for_each(T& table, Visit&& visit) {
    for (std::size_t i = 0; i < columns().size(); ++i) visit(columns()[i], table.values[i]);
  }
  std::size_t rows() const noexcept { return values.front().size(); }
};

/// For each row of `recorded` the row of `drawn` with the same keys; -1 for none. Both of one play.
template <class Table>
std::vector<std::int32_t> matched_rows(const Table& recorded, const Table& drawn) {
  using Keys = BandKeys<Table>;
  using Key = std::array<double, Keys::matched>;
  const auto sorted = [](const Table& table) {
    std::vector<std::pair<Key, std::int32_t>> rows(table.rows());
    Table::for_each(table, [&](const ColumnInfo& info, const auto& column) {
      const auto at = std::find(Keys::columns.begin(), Keys::columns.end(), info.name);
      const auto key = static_cast<std::size_t>(at - Keys::columns.begin());
      if (key >= Keys::matched) return;
      for (std::size_t row = 0; row < column.size(); ++row) rows[row].first[key] = static_cast<double>(column[row]);
    });
    for (std::size_t row = 0; row < rows.size(); ++row) rows[row].second = static_cast<std::int32_t>(row);
    std::sort(rows.begin(), rows.end());
    return rows;
  };
  std::vector<std::int32_t> found(recorded.rows(), -1);
  const auto there = sorted(drawn);
  auto next = there.begin();
  for (const auto& [key, row] : sorted(recorded)) {
    while (next != there.end() && next->first < key) ++next;
    if (next == there.end() || next->first != key) continue;
    found[static_cast<std::size_t>(row)] = next->second;
    ++next;
  }
  return found;
}

/// Adds the bands of one play's rows.
template <class Table>
void add_bands(const Table& recorded, std::span<const Table* const> draws, const BandNoise& noise,
               BandTable<Table>& bands) {
  std::vector<std::vector<std::int32_t>> rows;    // by draw
  std::vector<std::vector<const void*>> columns;  // by draw, every column
  for (const Table* drawn : draws) {
    rows.push_back(matched_rows(recorded, *drawn));
    std::vector<const void*>& of = columns.emplace_back();
    Table::for_each(*drawn, [&](const ColumnInfo&, const auto& column) { of.push_back(&column); });
  }
  std::vector<double> values;
  std::size_t from = 0, to = 0;
  Table::for_each(recorded, [&]<class T>(const ColumnInfo& info, const std::vector<T>& column) {
    const std::size_t at = from++;
    if (!has_band<Table>(info)) return;
    const CarriedBand carried(Table::title, info.name, noise);
    const auto value = [&](std::size_t draw, std::size_t row) -> const T* {
      const std::int32_t there = rows[draw][row];
      return there < 0 ? nullptr : static_cast<const std::vector<T>*>(columns[draw][at])->data() + there;
    };
    for (std::size_t row = 0; row < column.size(); ++row) {
      if (is_number(info.kind)) {
        values.clear();
        for (std::size_t draw = 0; draw < draws.size(); ++draw) {
          const T* drawn = value(draw, row);
          if (drawn && !std::isnan(static_cast<double>(*drawn))) values.push_back(static_cast<double>(*drawn));
        }
        const bool exists = !values.empty() && !std::isnan(static_cast<double>(column[row]));
        double low = exists ? quantile(values, band_low) : nan, high = exists ? quantile(values, band_high) : nan;
        if (exists) carried.carry(static_cast<double>(column[row]), low, high);
        bands.values[to].push_back(low);
        bands.values[to + 1].push_back(high);
      } else {
        std::size_t same = 0;
        for (std::size_t draw = 0; draw < draws.size(); ++draw) {
          const T* drawn = value(draw, row);
          if (drawn && *drawn == column[row]) ++same;
        }
        bands.values[to].push_back(static_cast<double>(same) / static_cast<double>(draws.size()));
      }
    }
    to += is_number(info.kind) ? 2u : 1u;
  });
}

/// A play's tables as recorded and in every draw. work(motion, tables) measures.
template <class Tables>
struct Drawn {
  Tables recorded;
  std::vector<Tables> draws;
  BandNoise band_noise;

  template <class Work>
  Drawn(const Game& game, const ReadyPlay& ready, const Noise& noise, Work&& work)
      : draws(noise.draws), band_noise{noise.sigma, false, noise.carried && !noise.of_tracks} {
    for (const Samples& own : ready.samples) band_noise.recorded_velocities |= !own.velocity.empty();
    work(ready.motion, recorded);
    const NoisyPlay noisy(game, ready, noise);
    for (std::size_t draw = 0; draw < noise.draws; ++draw) work(noisy.motion(draw), draws[draw]);
  }

  template <class Table>
  void add(Table Tables::* which, BandTable<Table>& bands) const {
    std::vector<const Table*> tables;
    for (const Tables& draw : draws) tables.push_back(&(draw.*which));
    add_bands<Table>(recorded.*which, tables, band_noise, bands);
  }
};

/// Rows as in Tables.
struct Bands {
  BandTable<FramesTable> frames;
  BandTable<EdgesTable> edges;
  BandTable<RushersTable> rushers;

  template <class T, class Visit>
  static void for_each(T& tables, Visit&& visit) {
    visit(tables.frames);
    visit(tables.edges);
    visit(tables.rushers);
  }
};

/// The bands of measure_game's tables, as over_plays. Memory: a play's draws a thread. Throws InputError for invalid
/// rules or noise.
Bands bands_of_game(const Game& game, const Rules& rules, const Noise& noise, unsigned threads = 0,
                    const Progress& progress = {});

}  // namespace shortedge
