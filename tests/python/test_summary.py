"""Summaries of reps: every count and share against counting by hand, intervals against SciPy."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import scipy.stats

import shortedge as se
from conftest import LINE, taken, written
from shortedge.cli import main
from shortedge.measures.summary import wilson
from small_game import YARDS, in_library, small_game

DEMO = Path(__file__).resolve().parents[2] / "data" / "demo_game"
IN = [str(DEMO), "--map", str(DEMO / "map.toml")]
ONE_ON_ONE = ["held", "beat", "driven"]
OUTCOMES = [*ONE_ON_ONE, "free", "help", "uncovered"]
MEDIANS = ["peak_outside", "short_edge_seconds", "peak_cutoff_ratio", "island_seconds", "leverage"]


@pytest.fixture(scope="module")
def reps() -> se.Reps:
    return se.reps(se.example())


def test_wilson_against_scipy() -> None:
    for of in (1, 2, 3, 9, 10, 57, 1000):
        for count in {0, 1, of // 3, of // 2, of - 1, of}:
            wanted = scipy.stats.binomtest(count, of).proportion_ci(0.95, method="wilson")
            np.testing.assert_allclose(wilson(count, of), wanted, rtol=0, atol=1e-12)
    assert np.isnan(wilson(0, 0)).all()
    assert wilson(0, 7)[0] == 0
    assert wilson(7, 7)[1] == 1


def with_keys(reps: se.Reps) -> pd.DataFrame:
    """The reps table with what belongs to its play, joined here."""
    rows = reps.table.merge(reps.dropbacks[["play", "drop_depth", "alignment", "label"]], on="play", validate="m:1")
    bands = ["under 6", "6 to 8", "8 to 9.5", "9.5 and more"]
    cut = pd.cut(rows["drop_depth"], [-np.inf, 6, 8, 9.5, np.inf], right=False, labels=bands)
    return rows.assign(drop_depth=cut.astype(object))


@pytest.mark.parametrize(
    "by",
    [
        "protector",
        "rusher",
        "technique",
        "set_type",
        "drop_depth",
        "lane",
        "helped",
        "alignment",
        ["protector", "technique"],
        ["drop_depth", "helped", "lane"],
    ],
)
def test_every_figure_counted_again(by: str | list[str], reps: se.Reps) -> None:
    keys = [by] if isinstance(by, str) else by
    found = reps.summary(by)
    rows = with_keys(reps)
    groups = {tuple(map(str, key)): some for key, some in rows.groupby(keys, dropna=False, observed=True)}
    assert len(found) == len(groups)
    assert found["reps"].sum() == len(rows)
    for line in found.to_dict("records"):
        some = groups[tuple(str(line[key]) for key in keys)]
        judged = some[some["outcome"].isin(ONE_ON_ONE)]
        rushed = some[some["outcome"].isin([*ONE_ON_ONE, "free"])]
        assert line["plays"] == some["play"].nunique()
        assert line["reps"] == len(some)
        assert {name: line[name] for name in OUTCOMES} == {name: (some["outcome"] == name).sum() for name in OUTCOMES}
        assert line["judged"] == len(judged)
        assert line["small"] == (len(judged) < 10)
        assert line["pressures"] == rushed["pressure"].sum()
        assert line["ball_out"] == some["ball_out"].sum()
        for name, count, of in (("beat", line["beat"], len(judged)), ("pressure", line["pressures"], len(rushed))):
            wanted = [np.nan] * 3
            if of:
                wanted = [count / of, *scipy.stats.binomtest(int(count), of).proportion_ci(0.95, method="wilson")]
            shares = [line[f"{name}_{what}"] for what in ("share", "low", "high")]
            np.testing.assert_allclose(shares, wanted, rtol=0, atol=1e-12)
        for name in MEDIANS:
            np.testing.assert_allclose(line[f"median_{name}"], judged[name].median(), rtol=0, atol=1e-12)


def test_order_of_the_groups(reps: se.Reps) -> None:
    """As the trade counts, ids by name, those without a key last."""
    techniques = reps.summary("technique")["technique"].tolist()
    order = ["0", "1", "2", "2i", "3", "4", "4i", "5", "6", "7", "9", "wide", "off"]
    assert techniques[:-1] == [name for name in order if name in techniques]
    assert pd.isna(techniques[-1])
    assert reps.summary("drop_depth")["drop_depth"].tolist() == ["under 6", "6 to 8", "8 to 9.5", "9.5 and more"]
    protectors = reps.summary("protector")["protector"].tolist()
    assert protectors[:-1] == sorted(protectors[:-1])
    assert pd.isna(protectors[-1])


def test_there_is_no_overall_grade(reps: se.Reps) -> None:
    found = reps.summary("protector").columns
    assert not [name for name in found if any(word in name for word in ("grade", "score", "rating", "rank"))]
    assert {"judged", "beat_share", "beat_low", "beat_high"} <= set(found)


# ------------------------------------------------------------------------------------------------ plays left out


def test_plays_left_out_by_label(reps: se.Reps) -> None:
    labels = reps.dropbacks.set_index("play")["label"]
    without = ["screen", "moved pocket"]
    counts = labels.value_counts()
    found = reps.summary("protector", without_label=without)
    assert (found["plays_left_out"] == counts[without].sum()).all()
    assert (found["left_out"] == f"screen: {counts['screen']}, moved pocket: {counts['moved pocket']}").all()
    kept = reps.table[~reps.table["play"].map(labels).isin(without)]
    assert found["reps"].sum() == len(kept)
    everyone = reps.summary("protector")
    assert (everyone["plays_left_out"] == 0).all()
    assert everyone["left_out"].isna().all()


@pytest.mark.parametrize(
    ("by", "without", "says"),
    [
        ("grade", (), 'by is "grade"; accepted: "protector", "rusher", "technique"'),
        ([], (), "or a list of different ones"),
        (["lane", "lane"], (), "or a list of different ones"),
        ("lane", ["scren"], 'no play has the label "scren"; labels: "moved pocket", "play action"'),
        ("lane", "screen", r'without_label is "screen"; accepted: a list of labels, such as \["screen"\]'),
    ],
)
def test_refused(by: str | list[str], without: list[str], says: str, reps: se.Reps) -> None:
    with pytest.raises(se.InputError, match=says):
        reps.summary(by, without_label=without)


# --------------------------------------------------------------------------------------------------- corrections


def test_both_counts_with_corrections(reps: se.Reps) -> None:
    rows = reps.table[(reps.table["outcome"] == "held") & (reps.table["protector"] == "QM-66")].head(3)
    table = rows[["play", "protector", "rusher"]].assign(outcome=["beat", "driven", "help"])
    new = reps.correct(table)
    before, after = (one.summary("protector").set_index("protector").loc["QM-66"] for one in (reps, new))
    assert (after["held"], after["beat"], after["driven"], after["help"]) == (
        before["held"] - 3,
        before["beat"] + 1,
        before["driven"] + 1,
        before["help"] + 1,
    )
    assert after["judged"] == before["judged"] - 1
    for name in (*ONE_ON_ONE, "help"):
        assert after[f"{name}_measured"] == before[name]
    assert after["corrected"] == 3
    pd.testing.assert_frame_equal(new.summary("protector", with_corrections=False), reps.summary("protector"))
    assert "corrected" not in reps.summary("protector")
    by_all = new.summary(["protector", "technique"])
    assert by_all["corrected"].sum() == 3


# ------------------------------------------------------------------------------------------------------- libraries


@pytest.mark.parametrize("library", ["pandas", "polars", "pyarrow"])
def test_in_every_library(library: str) -> None:
    game = se.from_tables(*(in_library(table, library) for table in small_game()), **YARDS)
    found = se.reps(game).summary(["protector", "drop_depth"])
    assert type(found).__module__.split(".")[0] == library
    if library != "pandas":
        found = found.to_pandas()
    wanted = se.reps(se.from_tables(*small_game(), **YARDS)).summary(["protector", "drop_depth"])
    pd.testing.assert_frame_equal(found, wanted, check_dtype=False)


def test_a_game_without_labels() -> None:
    people = {name: ("offense", name, None) for name in (*LINE, "QB")}
    tables = written({"p": LINE | {"QB": (0.0, 7.0)}}, people)
    found = se.reps(taken(tables)).summary("protector")
    assert sorted(found["protector"]) == sorted(LINE)
    assert (found["uncovered"] == 1).all()
    with pytest.raises(se.InputError, match='no play has the label "screen"; labels: none'):
        se.reps(taken(tables)).summary("protector", without_label=["screen"])


# ---------------------------------------------------------------------------------------------- the command line


def test_reps_command(reps: se.Reps, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A line a man with his denominators and intervals, and what to keep in mind; the reps are kept."""
    out = tmp_path / "reps"
    assert main(["reps", *IN, "-o", str(out), "--without-label", "screen"]) == 0
    pd.testing.assert_frame_equal(se.read(out).table, reps.table)
    said = capsys.readouterr().out
    lines = said.splitlines()
    assert lines[0] == "demo game (invented): reps of 60 plays, 2 left out (screen: 2)"
    assert lines[-1] == f"reps in {out}"
    found = reps.summary("protector", without_label=["screen"])
    assert len(lines) == len(found) + 5
    shown = {line.split()[0]: line for line in lines[2:]}
    for row in found.dropna(subset="protector").to_dict("records"):
        cells = shown[row["protector"]].split()
        counts = ("judged", "held", "beat", "driven", "ball_out", "free", "help", "uncovered")
        assert cells[1:9] == [str(row[name]) for name in counts]
        if row["judged"]:
            few = "*" if row["judged"] < 10 else ""
            assert (
                f"{row['beat_share']:.2f} ({row['beat_low']:.2f}-{row['beat_high']:.2f}){few} "
                in shown[row["protector"]]
            )
    assert ("-: nobody had the rusher." in said) == found["protector"].isna().any() == True  # noqa: E712
    for caution in ("Wilson 95 % interval", "follow from coordinates", "Held against driven", "Not a grade"):
        assert caution in said


def test_reps_command_by_and_corrected(reps: se.Reps, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    row = reps.table[reps.table["outcome"] == "held"].head(1)
    row[["play", "protector", "rusher"]].assign(outcome="beat").to_csv(tmp_path / "c.csv", index=False)
    more = ["--corrections", str(tmp_path / "c.csv"), "--by", "drop_depth", "--by", "helped", "--set", "meet=1.2"]
    assert main(["reps", *IN, "-o", str(tmp_path / "reps"), *more]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[1].split()[:3] == ["drop_depth", "helped", "judged"]
    counts = reps.table["outcome"].value_counts()
    measured = ", ".join(f"{name} {counts[name]}" for name in (*ONE_ON_ONE, "help"))
    assert f"1 row corrected; as measured: {measured}" in lines
    assert len(se.read(tmp_path / "reps").corrections) == 1


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--without-label", "scren"], 'no play has the label "scren"'),
        (["--set", "reech=1"], "no rule is called reech"),
        (["--threads", "0"], "threads is 0"),
        (["--corrections", "none.csv"], "none.csv"),
    ],
)
def test_reps_command_refused(more: list[str], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["reps", *IN, "-o", str(tmp_path / "reps"), *more]) == 2
    assert says in capsys.readouterr().err
    assert not (tmp_path / "reps").exists()
