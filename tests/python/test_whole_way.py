"""The whole way of an analyst, command by command, on two invented games of different hands: from a spreadsheet's CSV
and from Parquet to one guard's page over both, a cut list by angle, corrections, and two men side by side. What was
scripted is the measure of what comes out."""

import contextlib
import io
import re
import shlex
import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import second_script
import shortedge as se
from shortedge.cli import main
from shortedge.cli.commands import EXAMPLE

YD = 0.9144  # m
GUARD, OTHER = str(second_script.OFFENCE["RG"]), str(second_script.OFFENCE["LG"])
WORDS = {
    "QB": "quarterback",
    "LT": "left tackle",
    "LG": "left guard",
    "C": "center",
    "RG": "right guard",
    "RT": "right tackle",
    "TE": "tight end",
    "RB": "running back",
}
CODES = {"LT": "bookend 1", "LG": "G-l", "C": "snapper", "RG": "G-r", "RT": "bookend 2", "QB": "field general"}
MAP = """\
units = "yd"
origin = "corner"
y = "up"
time = "frame"
rate = 20
ball = "the ball"

[files]
tracks = "where.parquet"
snaps = "calls.parquet"
people = "who.parquet"

[columns.tracks]
play = ["quarter", "n"]
player = "who"
time = "tick"
x = "east"
y = "north"

[columns.snaps]
play = ["quarter", "n"]
direction = "heading"
snap_time = "snap tick"
throw_time = "gone tick"
film_time = "tape"
film_file = "reel"

[columns.people]
player = "who"
position = "lines up as"
unit = "group"

[values.unit]
O = "offense"
D = "defense"

[values.position]
"bookend 1" = "LT"
"G-l" = "LG"
"snapper" = "C"
"G-r" = "RG"
"bookend 2" = "RT"
"field general" = "QB"
"""


@dataclass
class Season:
    """A clean folder with both games, and what was scripted."""

    folder: Path
    truth: dict[str, pd.DataFrame]

    def run(self, line: str, code: int = 0) -> str:
        """A command as it is typed in that folder; what it prints."""
        out, err = io.StringIO(), io.StringIO()
        with contextlib.chdir(self.folder), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                ended = main(shlex.split(line)[1:])
            except SystemExit as stop:  # --help
                ended = int(stop.code or 0)
        assert ended == code, out.getvalue() + err.getvalue()
        assert not (code == 0 and err.getvalue()), err.getvalue()
        return out.getvalue() + err.getvalue()


def in_yards(tables: tuple[pd.DataFrame, ...]) -> tuple[pd.DataFrame, ...]:
    """Yards from the corner, y up, of the script's feet with y down."""
    tracks, snaps, people = (table.copy() for table in tables)
    for table, x, y in ((tracks, "x", "y"), (snaps, "ball_x", "ball_y")):
        table[x], table[y] = table[x] / 3, (160 - table[y]) / 3
    return tracks, snaps, people


def week1(folder: Path) -> pd.DataFrame:
    """As the worked example shows it: metres, milliseconds, and a spreadsheet of a country with decimal commas."""
    *tables, truth = second_script.make_game(41, kinds=list(second_script.MIX)[:14])
    tracks, snaps, people = in_yards(tuple(tables))
    for table, x, y in ((tracks, "x", "y"), (snaps, "ball_x", "ball_y")):
        table[x], table[y] = YD * (table[x] - 60), YD * (table[y] - 80 / 3)
    positions = pd.DataFrame(
        {
            "rep no": tracks["play"],
            "man": tracks["player"].astype(str) + " ",  # a blank that nobody sees
            "clock ms": 1000 * tracks["time"],
            "along m": tracks["x"],
            "across m": tracks["y"],
        }
    )
    plays = pd.DataFrame(
        {
            "rep no": snaps["play"],
            "spot along m": snaps["ball_x"],
            "spot across m": snaps["ball_y"],
            "offense goes": snaps["direction"].map({1: "right", -1: "left"}),
            "snap ms": 1000 * snaps["snap_time"],
            "release ms": 1000 * snaps["throw_time"],
            "down": np.arange(len(snaps)) % 3 + 1,
        }
    )
    roster = pd.DataFrame(
        {
            "man": people["player"],
            "side of ball": people["unit"].map({"offense": "off", "defense": "def"}),
            "job": people["position"].map(lambda word: WORDS.get(word, f"the {word}")),
            "full name": [f"Nobody {number}" for number in people["player"]],
        }
    )
    films = pd.concat(
        [
            pd.DataFrame(
                {"play": snaps["play"], "film_time": times, "angle": angle, "file": f"{angle}.mp4", "rate": "25"}
            )
            for angle, times in (
                ("end zone", [f"{n + 3}:{17 + n / 10:04.1f}" for n in range(len(snaps))]),
                ("sideline", [100 + 20 * n for n in range(len(snaps))]),
            )
        ]
    )
    folder.mkdir()
    for name, table in (("positions", positions), ("plays", plays), ("roster", roster), ("films", films)):
        text = table.to_csv(index=False, sep=";", decimal=",", lineterminator="\r\n")
        (folder / f"{name}.csv").write_bytes(text.encode("utf-16" if name == "roster" else "utf-8-sig"))
    return truth


def week2(folder: Path) -> pd.DataFrame:
    """Yards from the corner, frame numbers, a ball with tracks, plays named by two columns, and words of its own."""
    *tables, truth = second_script.make_game(42, kinds=list(second_script.MIX)[8:22])
    tracks, snaps, people = in_yards(tuple(tables))
    tracks["player"] = tracks["player"].astype(str)
    balls = [
        here.drop_duplicates("time").assign(player="the ball", x=snap.ball_x, y=snap.ball_y)
        for snap in snaps.itertuples()
        for here in [tracks[tracks["play"] == snap.play]]
    ]
    tracks = pd.concat([tracks, *balls])
    for table in (tracks, snaps):
        table["quarter"], table["n"] = 1 + (table["play"] - 101) // 7, (table["play"] - 101) % 7
    truth["play"] = [f"{1 + (int(play) - 101) // 7}/{(int(play) - 101) % 7}" for play in truth["play"]]
    start = tracks["time"].min()
    ticks = {"tick": ((tracks["time"] - start) * 20).round().astype(int)}
    where = tracks.assign(**ticks).rename(columns={"player": "who", "x": "east", "y": "north"})
    calls = pd.DataFrame(
        {
            "quarter": snaps["quarter"],
            "n": snaps["n"],
            "heading": snaps["direction"],
            "snap tick": (snaps["snap_time"] - start) * 20,
            "gone tick": (snaps["throw_time"] - start) * 20,
            "tape": 60.0 * np.arange(len(snaps)),
            "reel": "second.mp4",
        }
    )
    who = pd.DataFrame(
        {
            "who": people["player"].astype(str),
            "group": people["unit"].map({"offense": "O", "defense": "D"}),
            "lines up as": people["position"].map(lambda word: CODES.get(word, word)),
        }
    )
    folder.mkdir()
    columns = ["quarter", "n", "who", "tick", "east", "north"]
    for name, table in (("where", where[columns]), ("calls", calls), ("who", who)):
        table.to_parquet(folder / f"{name}.parquet", index=False)
    (folder / "map.toml").write_text(MAP)
    return truth


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Season:
    folder = tmp_path_factory.mktemp("analyst")
    return Season(folder, {"week1": week1(folder / "week1"), "week2": week2(folder / "week2")})


def outcomes(rows: pd.DataFrame, man: str) -> dict[tuple[str, str], str]:
    """How each of his reps of one man against one ended, by play and rusher."""
    mine = rows[(rows["protector"] == man) & rows["outcome"].isin(["held", "beat", "driven"])]
    return {(row.play, row.rusher): row.outcome for row in mine.itertuples()}


def test_the_whole_way(season: Season) -> None:
    # The page beside the code says how; its map is for a game like this one.
    assert str(EXAMPLE) in season.run("shortedge --help")
    map_text = re.findall(r"```toml\n(.*?)```", EXAMPLE.read_text(), re.DOTALL)[0]
    (season.folder / "map.toml").write_text(map_text)

    draft = tomllib.loads(season.run("shortedge check week1/ --draft-map"))
    finished = tomllib.loads(map_text)
    assert draft["files"] == finished["files"] | {"films": "films.csv"}
    for table, columns in draft["columns"].items():
        if table != "films":
            assert columns.items() <= finished["columns"][table].items(), table
    assert draft["values"]["position"].items() <= finished["values"]["position"].items()
    assert len(draft["values"]["position"]) >= 7
    assert '# origin = "center"' in season.run("shortedge check week1/ --draft-map")  # it has places below 0
    second = season.run("shortedge check week2/ --draft-map")
    assert '# origin = "corner"' in second
    assert 'ball = "the ball"' in second
    assert '# "G-r" = "RG"  # unsure' in second
    assert "\nrole" not in second

    said = season.run("shortedge check week1/ --map map.toml")
    assert "week1: 14 plays to measure, 0 skipped" in said
    assert re.search(r"column player: blanks at the ends of 2\d ids were cut off, such as", said)
    assert "positions with a meaning, and men: QB 1, LT 1, LG 1, C 1, RG 1, RT 1, TE 1, RB 1" in said
    assert '"the WR" 3' in said
    assert "week2: 14 plays to measure, 0 skipped" in season.run("shortedge check week2/")
    assert "game in week1.h5" in season.run("shortedge keep week1/ --map map.toml -o week1.h5")

    # One guard over both games, the first kept, the second with its own map; his reps are those that were scripted.
    season.run(f"shortedge player {GUARD} week1.h5 week2/ -o guard.html")
    page = (season.folder / "guard.html").read_text()
    assert "2 games" in page
    for told in (r'rp-words">week1, 1\d\d, ', r'rp-ended">week2  \d/\d', r"<span>week2, \d/\d, "):
        assert re.search(told, page), told  # ids of plays repeat from game to game
    said = season.run("shortedge reps week1.h5 week2/ --by down -o reps/", code=2)
    assert 'week2: by is "down"; accepted: "protector"' in said  # of which game: the first has that column
    season.run("shortedge reps week1.h5 week2/ --by protector -o reps/")
    right, all_ = 0, 0
    reps = {game: se.read(season.folder / "reps" / f"{game}.h5") for game in ("week1", "week2")}
    for game, made in reps.items():
        wanted, got = outcomes(season.truth[game], GUARD), outcomes(made.table, GUARD)
        all_ += len(wanted)
        right += sum(got.get(key) == outcome for key, outcome in wanted.items())
    assert all_ >= 15
    assert right >= 0.9 * all_

    # A cut list names an angle and the film's clock; of a game without times of film, play and seconds.
    said = season.run(f"shortedge cut week1.h5 --player {GUARD} --angle sideline -o cut.csv")
    assert "sideline" in said
    cut = pd.read_csv(season.folder / "cut.csv", dtype={"play": str})
    assert set(cut["angle"]) == {"sideline"}
    for clip in cut.itertuples():
        snap = 100 + 20 * (int(clip.play) - 101)
        minutes, seconds = clip.film_clock.split(":")
        assert 60 * int(minutes) + float(seconds) == pytest.approx(max(0, snap + clip.start), abs=0.1)
    first = season.run(f"shortedge cut week1.h5 week2/ --player {GUARD} --rate 30 -o both.csv")
    assert "end zone" in first
    assert "second.mp4" in first

    # What he saw goes over both games, in one table.
    lost = [
        (game, *key)
        for game, made in reps.items()
        for key, outcome in outcomes(made.table, GUARD).items()
        if outcome == "held"
    ]
    rows = [
        "game;play;protector;rusher;outcome;beat_time;note",
        *(f"{game};{play};{GUARD};{rusher};beat;1,5;seen" for game, play, rusher in (lost[0], lost[-1])),
    ]
    (season.folder / "seen.csv").write_text("\n".join(rows))
    more = "--corrections seen.csv"
    said = season.run(f"shortedge reps week1.h5 week2/ {more} -o corrected/")
    assert said.count("1 row corrected") == 2
    for game, made in reps.items():
        again = se.read(season.folder / "corrected" / f"{game}.h5")
        before, after = (sum(o == "beat" for o in outcomes(one.table, GUARD).values()) for one in (made, again))
        assert after == before + 1
    season.run(f"shortedge player {GUARD} week1.h5 week2/ {more} -o guard.html")
    assert "(marked)" in (season.folder / "guard.html").read_text()

    # Beside another man, and beside himself a week later.
    season.run(f"shortedge player {GUARD} week1.h5 week2/ --against {OTHER} -o two.html")
    season.run(f"shortedge player {GUARD} week1.h5 --against-in week2/ -o spans.html")
    for name in ("two", "spans"):
        text = (season.folder / f"{name}.html").read_text()
        assert "The same moments" in text
        rows = re.findall(r">[^<]+: (?:beaten|pressure)\*?</th>(<td.*?)</tr>", text)
        assert len(rows) > 10
        assert not any(row.count(">\N{EN DASH}<") == 3 for row in rows)  # a row that neither has a rep for

    # A mistake is told with the way out.
    for line, says in (
        (f"shortedge player {GUARD}8 week1.h5 -o x.html", f'nearest: "{GUARD}"'),
        ("shortedge show week1.h5 1010 -o x.svg", 'nearest: "101"'),
        ("shortedge show week1.h5 101 --at 77 -o x.svg", "outside the play; accepted: 0.0 to"),
        (f"shortedge player {GUARD} reps/week1.h5 -o x.html", "shortedge keep IN --map map.toml -o game.h5"),
        (f"shortedge player {GUARD} week1.h5 --against {GUARD} -o x.html", "accepted: another man, or --against-in"),
    ):
        assert says in season.run(line, code=2)
    assert not list(season.folder.glob("x.*"))


def test_a_season_of_both_weeks(season: Season) -> None:
    """Kept games as a season with reps: his page out of its folder is of the same plays."""
    for week, more in (("week1", "--map map.toml"), ("week2", "")):
        if not (season.folder / "map.toml").exists():
            text = EXAMPLE.read_text()
            (season.folder / "map.toml").write_text(re.findall(r"```toml\n(.*?)```", text, re.DOTALL)[0])
        season.run(f"shortedge keep {week}/ {more} -o games-{week}.h5")
    season.run("shortedge measure games-week1.h5 games-week2.h5 -o out/ --stream --reps")
    season.run(f"shortedge player {GUARD} out/ -o from_season.html")
    rows = pd.read_parquet(season.folder / "out" / "reps")
    assert set(rows["game"]) == {"week1", "week2"}
    text = (season.folder / "from_season.html").read_text()
    mine = rows[rows["protector"] == GUARD]
    assert f"{len(mine.groupby(['game', 'play']))} plays in 2 games" in text
