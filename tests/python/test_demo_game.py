"""The demo game is what its script says: made again from its seed, and measured here without the library."""

from __future__ import annotations

import gzip
import importlib.util
import math
import subprocess
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pandas as pd
import pytest

DATA = Path(__file__).resolve().parents[2] / "data"
COMMITTED = DATA / "demo_game"
LINE = ["LT", "LG", "C", "RG", "RT"]


@pytest.fixture(scope="module")
def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_demo", DATA / "make_demo.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["make_demo"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def made(script: ModuleType) -> Any:
    return script.make()


@pytest.fixture(scope="module")
def snaps() -> pd.DataFrame:
    return pd.read_csv(COMMITTED / "snaps.csv", keep_default_na=False, na_values={"throw_time": [""]}).set_index("play")


@pytest.fixture(scope="module")
def people() -> pd.DataFrame:
    return pd.read_csv(COMMITTED / "people.csv").set_index("player")


@pytest.fixture(scope="module")
def truth() -> pd.DataFrame:
    table = pd.read_csv(COMMITTED / "truth.csv")
    text = ["protector", "rusher", "side", "note"]
    return table.assign(**{name: table[name].fillna("") for name in text})


@pytest.fixture(scope="module")
def tracks(made: Any, snaps: pd.DataFrame, people: pd.DataFrame) -> pd.DataFrame:
    """The committed samples, and beside them the paths without noise, on the field (clean_x, clean_y) and as u, v."""
    table = pd.read_csv(COMMITTED / "tracks.csv.gz")
    table["clean_x"], table["clean_y"] = made.clean.T
    table = table.join(snaps[["ball_x", "ball_y", "direction", "snap_time"]], on="play")
    table = table.join(people[["unit", "position"]], on="player")
    table["t"] = (table["time"] - table["snap_time"]).round(6)
    table["u"] = (table["ball_y"] - table["clean_y"]) * table["direction"]
    table["v"] = (table["ball_x"] - table["clean_x"]) * table["direction"]
    return table


@pytest.fixture(scope="module")
def paths(tracks: pd.DataFrame) -> dict[tuple[str, str], np.ndarray]:
    """Per play and player: rows of t, u, v without noise; the passer also under the name QB."""
    found = {key: group[["t", "u", "v"]].to_numpy() for key, group in tracks.groupby(["play", "player"])}
    passers = tracks.loc[tracks["position"] == "QB", ["play", "player"]].drop_duplicates()
    return found | {(play, "QB"): found[play, player] for play, player in passers.itertuples(index=False)}


def at(path: np.ndarray, t: np.ndarray | float) -> np.ndarray:
    return np.stack([np.interp(t, path[:, 0], path[:, k]) for k in (1, 2)], axis=-1)


def gap(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return np.linalg.norm(a - b, axis=-1)


def span(start: float, end: float) -> np.ndarray:
    return np.linspace(start, end, max(2, round((end - start) / 0.02) + 1))


def test_committed_files_come_out_again(script: ModuleType, made: Any, tmp_path: Path) -> None:
    script.write(made, tmp_path)
    for name in ("snaps.csv", "people.csv", "truth.csv"):
        assert (tmp_path / name).read_bytes() == (COMMITTED / name).read_bytes(), name
    # the text inside: another zlib may pack it otherwise
    again = gzip.decompress((tmp_path / "tracks.csv.gz").read_bytes())
    assert again == gzip.decompress((COMMITTED / "tracks.csv.gz").read_bytes())


def test_one_seed_one_game(tmp_path: Path) -> None:
    for out, seed in (("a", "3"), ("b", "3"), ("c", "4")):
        command = [
            sys.executable,
            str(DATA / "make_demo.py"),
            "--plays",
            "3",
            "--seed",
            seed,
            "--out",
            str(tmp_path / out),
        ]
        subprocess.run(command, check=True, capture_output=True)
    files = sorted(path.name for path in (tmp_path / "a").iterdir())
    assert files == ["people.csv", "snaps.csv", "tracks.csv.gz", "truth.csv"]
    for name in files:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes(), name
    assert (tmp_path / "a" / "tracks.csv.gz").read_bytes() != (tmp_path / "c" / "tracks.csv.gz").read_bytes()
    assert len(pd.read_csv(tmp_path / "a" / "snaps.csv")) == 3


def test_under_two_megabytes() -> None:
    assert sum(path.stat().st_size for path in COMMITTED.iterdir()) < 2_000_000


def test_counts_and_clock(tracks: pd.DataFrame, snaps: pd.DataFrame, people: pd.DataFrame) -> None:
    assert len(snaps) == 60
    assert set(snaps["direction"]) == {-1, 1}
    assert snaps["ball_y"].nunique() == 3
    assert people.index.is_unique
    assert people["team"].nunique() == 2
    units = tracks.drop_duplicates(["play", "player"]).groupby("play")["unit"].value_counts().unstack()
    assert (units == 11).all(axis=None)
    assert (tracks[tracks["position"] == "QB"].groupby("play")["player"].nunique() == 1).all()
    for (play, _), group in tracks.groupby(["play", "player"]):
        t = group["t"].to_numpy()
        np.testing.assert_allclose(np.diff(t), 0.1, atol=1e-6)
        assert t[0] == pytest.approx(-1.0)
        end = snaps.loc[play, "end_time"] - snaps.loc[play, "snap_time"]
        assert end - 0.1 < t[-1] + 1e-6 <= end + 2e-6
    after = (snaps["end_time"] - snaps["throw_time"]).dropna()
    np.testing.assert_allclose(after, 1.0, atol=1e-6)
    no_throw = snaps["throw_time"].isna()
    assert set(snaps.loc[no_throw, "scenario"]) == {"edge sack", "inside sack", "scramble"}
    assert (snaps["snap_time"].diff().dropna() > 10).all()


def test_every_scenario_alignment_and_drop_occurs(
    script: ModuleType, snaps: pd.DataFrame, truth: pd.DataFrame, paths: dict[tuple[str, str], np.ndarray]
) -> None:
    counts = snaps["scenario"].value_counts()
    assert counts.to_dict() == {name: count for name, (count, _) in script.MIX.items()}
    labelled = snaps[snaps["label"] != ""]
    assert (labelled["label"] == labelled["scenario"]).all()
    assert set(labelled["label"]) == {"screen", "scramble", "moved pocket", "play action"}
    where = np.array([at(paths[play, "QB"], 0.0)[1] for play in snaps.index])
    assert ((where < 2) | ((where > 3) & (where < 4.5)) | (where > 4.5)).all()
    assert min((where < 2).sum(), ((where > 3) & (where < 4.5)).sum(), (where > 4.5).sum()) >= 8
    plain = snaps[~snaps["label"].isin(["screen", "moved pocket", "scramble"])]
    deepest = [paths[play, "QB"][:, 2].max() for play in plain.index]
    planned = np.array([5.0, 7.0, 9.0, 10.0])
    off = np.abs(np.array(deepest)[:, None] - planned)
    assert off.min(axis=1).max() < 0.3
    assert set(planned[off.argmin(axis=1)]) == set(planned)
    rushers = truth[truth["rusher"] != ""].groupby("play")["rusher"].nunique()
    assert set(rushers) == {4, 5, 6}
    assert set(truth["outcome"]) == {"held", "beat", "driven", "free", "help", "uncovered"}
    notes = {note for text in truth["note"] for note in text.split(", ") if note}
    assert notes == {
        *(
            "stunt",
            "passed off",
            "untouched",
            "late",
            "kicked out",
            "guard sets the edge",
            "chip",
            "double",
            "recovered",
        )
    }


def test_noise_is_ten_centimetres_and_correlated(tracks: pd.DataFrame) -> None:
    error = tracks[["x", "y"]].to_numpy() - tracks[["clean_x", "clean_y"]].to_numpy()
    # about 9,000 independent samples an axis: 3 % is four standard errors
    assert math.sqrt((error**2).sum(axis=1).mean()) * 0.9144 == pytest.approx(0.1, rel=0.03)
    same = (tracks["play"] + tracks["player"]).to_numpy()
    pair = same[1:] == same[:-1]
    lag = (error[1:][pair] * error[:-1][pair]).mean() / (error**2).mean()
    assert lag == pytest.approx(math.exp(-0.1 / 0.7), abs=0.01)  # AR(1), correlation time 0.7 s


def test_nobody_moves_faster_or_turns_harder_than_a_man_can(tracks: pd.DataFrame) -> None:
    turns = []
    for (play, player), group in tracks.groupby(["play", "player"]):
        xy = group[["clean_x", "clean_y"]].to_numpy()
        velocity = np.diff(xy, axis=0) / 0.1
        assert np.linalg.norm(velocity, axis=1).max() < 10.5, (play, player)
        assert gap(xy[0], xy[group["t"].to_numpy() <= 0]).max() < 0.02, (play, player)  # at rest before the snap
        turns.append(np.linalg.norm(np.diff(velocity, axis=0) / 0.1, axis=1))
    # A sprint with top speed 9.7 yd/s and tau 0.9 s starts at 9.7 / 0.9 yd/s/s; only men who meet do more.
    assert np.percentile(np.concatenate(turns), 98) < 9.7 / 0.9
    assert max(turn.max() for turn in turns) < 25


def test_no_two_bodies_in_one_place(tracks: pd.DataFrame) -> None:
    for play, group in tracks.groupby("play"):
        xy = group.sort_values(["t", "player"])[["clean_x", "clean_y"]].to_numpy().reshape(-1, 22, 2)
        apart = np.linalg.norm(xy[:, :, None] - xy[:, None], axis=-1)
        apart[:, np.arange(22), np.arange(22)] = np.inf
        assert apart.min() > 0.4, play


def test_line_up(tracks: pd.DataFrame) -> None:
    snap = tracks[tracks["t"] == 0]
    for play, group in snap.groupby("play"):
        line = group[group["position"].isin(LINE)].set_index("position").loc[LINE]
        splits = np.diff(line["u"])
        assert ((splits > 0.9) & (splits < 1.5)).all(), play  # left to right, about 1.2 yd apart
        assert line["v"].between(0.3, 1.1).all(), play
        assert group.loc[group["unit"] == "offense", "v"].min() > 0, play
        assert group.loc[group["unit"] == "defense", "v"].max() < -0.5, play
        ends = group.loc[group["position"] == "DE", "u"].abs() - line["u"].abs().max()
        assert ends.between(0.4, 3.3).all(), play


def test_truth_is_what_the_paths_show(
    truth: pd.DataFrame, snaps: pd.DataFrame, people: pd.DataFrame, paths: dict[tuple[str, str], np.ndarray]
) -> None:
    apart: list[float] = []
    for row in truth.itertuples():
        what = f"{row.play} {row.protector} on {row.rusher}: {row.outcome} {row.note}"
        start, end = float(row.start_s), float(row.end_s)
        assert 0 <= start < end, what
        throw = snaps.loc[row.play, "throw_time"] - snaps.loc[row.play, "snap_time"]
        assert np.isnan(row.throw_s) if np.isnan(throw) else row.throw_s == pytest.approx(throw), what
        assert np.isnan(row.beat_s) == (row.outcome != "beat"), what
        assert (row.side == "") == (row.outcome != "beat"), what
        if row.outcome in ("uncovered", "free"):
            continue
        assert people.loc[row.protector, "unit"] == "offense", what
        assert people.loc[row.rusher, "unit"] == "defense", what
        t = span(start, end)
        man, rusher, passer = (paths[row.play, name] for name in (row.protector, row.rusher, "QB"))
        p, r, q = at(man, t), at(rusher, t), at(passer, t)
        lead = gap(r, q) - gap(p, q)  # how much farther from the passer than his man
        if "untouched" in row.note:
            assert gap(at(man, span(0, end)), at(rusher, span(0, end))).min() > 1.2, what
        elif row.outcome == "help":
            assert (gap(p, r) < 1.25).sum() * 0.02 >= 0.2, what
        elif row.outcome == "beat":
            later = span(row.beat_s, row.beat_s + 0.7)
            by = gap(at(man, later), at(passer, later)) - gap(at(rusher, later), at(passer, later))
            assert by[0] > -0.05, what
            assert by.max() >= 0.5, what
            assert lead[t < row.beat_s - 0.15].min(initial=1.0) > 0, what
            a, b = at(rusher, row.beat_s) - at(man, row.beat_s), at(passer, row.beat_s) - at(man, row.beat_s)
            right = a[0] * b[1] - a[1] * b[0] > 0  # of the man's line to the passer
            assert (row.side == "outside") == (right == (at(man, 0.0)[0] > 0)), what
            assert ("late" in row.note) == (row.beat_s > end - 0.2), what
        else:
            assert lead.min() > 0, what
            place = at(passer, end)
            ground = gap(p, place)
            lost = ground[0] - ground.min()
            if "recovered" not in row.note:
                assert (lost >= 1.5) == (row.outcome == "driven"), what
                apart.append(float(np.median(gap(p, r))))
    assert np.quantile(apart, 0.05) > 0.8
    assert np.quantile(apart, 0.95) < 1.1


def test_every_lineman_and_every_help_is_told(
    truth: pd.DataFrame, snaps: pd.DataFrame, people: pd.DataFrame, paths: dict[tuple[str, str], np.ndarray]
) -> None:
    silent = set(snaps.index[snaps["label"].isin(["screen", "moved pocket"])])
    assert set(truth["play"]) == set(snaps.index) - silent
    position = people["position"].to_dict()
    for play, rows in truth.groupby("play"):
        assert set(LINE) <= {position.get(name, "") for name in rows["protector"]}, play
        told = set(rows.loc[rows["outcome"] != "uncovered", "protector"])
        end = rows["end_s"].max()
        for rusher in set(rows["rusher"]) - {""}:
            r = at(paths[play, rusher], span(0.3, end))
            for other in {name for key, name in paths if key == play} - told - {"QB"}:
                if people.loc[other, "unit"] == "offense" and position[other] != "QB":
                    near = gap(at(paths[play, other], span(0.3, end)), r) < 1.2
                    assert near.sum() * 0.02 < 0.2, (play, other, rusher)


def test_sacks_and_pressure(truth: pd.DataFrame, snaps: pd.DataFrame, paths: dict[tuple[str, str], np.ndarray]) -> None:
    for play, rows in truth.groupby("play"):
        scenario, end = snaps.loc[play, "scenario"], rows["end_s"].max()
        nearest = min(gap(at(paths[play, r], end), at(paths[play, "QB"], end)) for r in set(rows["rusher"]) - {""})
        if "sack" in scenario:
            assert nearest == pytest.approx(1.0, abs=0.1), play
        elif scenario in ("speed rush", "slot free"):
            assert nearest < 2.0, play
        elif scenario in ("base", "ball out", "late beat"):
            assert nearest > 2.0, play
