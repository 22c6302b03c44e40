"""From made clicks to a game: cameras, doubts, problems, bands, and the commands. The clicks are tests/film.py's."""

import importlib.util
import json
import pickle
import sys
import warnings
from pathlib import Path
from types import ModuleType

import numpy as np
import pandas as pd
import pytest

import shortedge as se
from shortedge.cli.commands import main
from shortedge.trace.ways import Moment, PlayTrace, Way


def load_film() -> ModuleType:
    spec = importlib.util.spec_from_file_location("film", Path(__file__).parents[1] / "film.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["film"] = module
    spec.loader.exec_module(module)
    return module


film = load_film()
PLAYS = 4


@pytest.fixture(scope="module")
def script() -> "film.Script":
    return film.demo_script(4101, PLAYS)


@pytest.fixture(scope="module")
def path(script: "film.Script", tmp_path_factory: pytest.TempPathFactory) -> Path:
    return film.traced(script, film.Clicking(), tmp_path_factory.mktemp("trace"))


@pytest.fixture(scope="module")
def game(path: Path) -> se.Game:
    return se.from_trace(path)


def beside(script: "film.Script", tracks: pd.DataFrame) -> pd.DataFrame:
    """Traced tracks with where the men truly were."""
    for (play, player), rows in tracks.groupby(["play", "player"]):
        times, places = script.places(play)[player]
        for k, name in enumerate(("true_x", "true_y")):
            tracks.loc[rows.index, name] = np.interp(rows["time"], times, places[:, k])
    return tracks


def test_tracks_are_where_the_men_were(script: "film.Script", path: Path) -> None:
    with se.Trace(path) as t:
        tracks = beside(script, t.tracks)
        points = t.points
    gap = np.hypot(tracks["x"] - tracks["true_x"], tracks["y"] - tracks["true_y"])
    points = points.rename(columns={"time": "film_time"}).assign(time=points["time"])
    clicked = beside(script, points)
    assert np.median(gap) < np.median(np.hypot(clicked["x"] - clicked["true_x"], clicked["y"] - clicked["true_y"]))
    size = ((tracks["x"] - tracks["true_x"]) / tracks["sd_x"]) ** 2
    assert 0.5 < float(np.median(size)) / 0.455 < 2.0  # chi-squared of one degree has its median at 0.455
    assert (points[["sd_x", "sd_y"]] > 0).all(axis=None)
    assert points["corr_xy"].abs().max() <= 1
    steps = tracks.groupby(["play", "player"])["time"].diff().dropna()
    assert np.allclose(steps, 0.1)


def test_a_game_like_any_other(script: "film.Script", game: se.Game) -> None:
    game.library = "pandas"
    assert game.measured() == [str(play) for play in script.snaps["play"]]
    plays = game.plays
    assert plays["seen_from"].str.startswith("end zone").all()
    assert (plays["clicks"] > 50).all()
    assert (plays["median_sd"] < 0.25).all()
    assert "clicked on film" in game.rests_on
    m = se.measure(game, progress=False)
    assert len(m.frames) > 50
    assert len(se.reps(game, m).table) > 10


def test_bands_of_tracks(game: se.Game, tmp_path: Path) -> None:
    """From the posterior of the clicks, which stay with a game that is saved, pickled or read again."""
    game.library = "pandas"
    m = se.measure(game, noise="tracks", draws=40, progress=False)
    width = (m.bands.frames["pocket_width_high"] - m.bands.frames["pocket_width_low"]).dropna()
    assert 0.05 < width.median() < 0.8
    again = se.measure(game, noise="tracks", draws=40, progress=False)
    pd.testing.assert_frame_equal(m.bands.frames, again.bands.frames)
    assert m.noise is not None
    assert m.noise.of_tracks
    game.save(tmp_path / "game.h5")
    kept = se.read(tmp_path / "game.h5")
    assert isinstance(kept, se.Game)
    assert kept.digest == game.digest
    kept.library = "pandas"
    for same in (kept, pickle.loads(pickle.dumps(game))):
        same.library = "pandas"
        other = se.measure(same, noise="tracks", draws=40, progress=False)
        pd.testing.assert_frame_equal(m.bands.frames, other.bands.frames)
    m.save(tmp_path / "m.h5")
    read = se.read(tmp_path / "m.h5")
    assert read.noise == m.noise


def test_tables_may_bring_errors(game: se.Game) -> None:
    """Of any table: twice the errors, twice the bands; without them, refused; wrong ones, refused by row."""
    core = game.core.tracks
    ids, players = game.core.plays, game.core.players
    tracks = pd.DataFrame({key: core[key] for key in ("time", "x", "y", "sd_x", "sd_y", "corr_xy")})
    tracks["play"], tracks["player"] = np.array(ids, object)[core["play"]], np.array(players, object)[core["player"]]
    game.library = "pandas"
    how = {"units": "yd", "origin": "corner", "y": "up", "orientation": "trust"}

    def width(of: pd.DataFrame) -> float:
        made = se.from_tables(of, game.plays, game.people, **how)
        bands = se.measure(made, noise="tracks", draws=60, progress=False).bands.frames
        return float((bands["passer_depth_high"] - bands["passer_depth_low"]).median())

    one, two = width(tracks), width(tracks.assign(sd_x=2 * tracks["sd_x"], sd_y=2 * tracks["sd_y"]))
    assert two / one == pytest.approx(2, rel=0.02)  # of a place itself, nearly exactly
    with pytest.raises(se.InputError, match="have no sd_x"):
        width(tracks.drop(columns=["sd_x", "sd_y", "corr_xy"]))
    bad = tracks.copy()
    bad.loc[3, "sd_x"] = -1
    with pytest.raises(se.InputError, match="column sd_x, row 3: -1"):
        width(bad)
    bad = tracks.copy()
    bad.loc[7, "corr_xy"] = 1.5
    with pytest.raises(se.InputError, match=r"column corr_xy, row 7: 1\.5; accepted: -1 to 1"):
        width(bad)
    metres = tracks.assign(**{name: tracks[name] * 0.9144 for name in ("x", "y", "sd_x", "sd_y")})
    turned = metres.assign(y=160 / 3 * 0.9144 - metres["y"], corr_xy=-metres["corr_xy"])
    snaps = game.plays.assign(ball_x=game.plays["ball_x"] * 0.9144, ball_y=(160 / 3 - game.plays["ball_y"]) * 0.9144)
    same = se.from_tables(
        turned, snaps, game.people, units="m", origin="corner", y="down", orientation="trust"
    ).core.tracks
    for name in ("sd_x", "sd_y", "corr_xy"):
        assert same[name] == pytest.approx(core[name])


def test_problems_have_reasons(script: "film.Script", path: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.trace"
    copy.write_bytes(path.read_bytes())
    plays = [str(play) for play in script.snaps["play"]]
    with se.Trace(copy) as t:
        feet = t.points
        start = float(script.snaps["snap_time"].iloc[0])
        t.snap("lost", 50, 26, 1)
        t.snap("far", 50, 26, 1)
        t.foot("far", "end zone", 0.0, str(feet["player"].iloc[0]), 600, 400)
        t.snap(
            plays[0],
            *map(float, script.snaps[["ball_x", "ball_y"]].iloc[0]),
            -int(script.snaps["direction"].iloc[0]),
            snap_time=start,
        )
        for player in feet["player"].unique():
            if script.people.set_index("player")["position"].to_dict()[player] == "LG":
                t.person(player, "offense", "FB", play=plays[1])
        doubts = t.doubts
    reasons = dict(se.from_trace(copy).problems.itertuples(index=False))
    assert "no men were clicked" in reasons["lost"]
    assert "too few marks" in reasons["far"]
    assert "in front of the ball" in reasons[plays[0]]
    assert reasons[plays[1]] == "linemen missing: LG"
    assert set(reasons) == {"lost", "far", plays[0], plays[1]}
    lost = doubts[(doubts["play"] == "far") & (doubts["what"] == "camera")]
    assert len(lost) == 1
    assert "click two crossings" in lost["says"].iloc[0]
    assert ((doubts["play"] == plays[0]) & (doubts["what"] == "passer")).any()


def test_a_picture_without_marks_is_drawn_between_its_neighbours(tmp_path: Path) -> None:
    """A camera that follows the play: marks in every other picture. Men in those between are found, as well as is said,
    and it is doubted; before the first marked picture they are not; one mark makes them known better."""
    rng = np.random.default_rng(8)
    cam = film.stand(rng, "end zone", -1, 0.0, 0.2)
    with se.Trace(tmp_path / "a.trace", "pro", {"end zone": film.PICTURE}, errors={"posture": 1e-3}) as t:
        with t.together():
            for play in range(12):
                t.snap(play, 40, 26, 1)
                speed, phase = rng.uniform(1, 3), rng.uniform(0, 6)
                for k in range(8):
                    time = 0.25 * k - 0.25
                    aim = np.array([37 + speed * np.sin(2 * time + phase), 26 + np.cos(1.5 * time + phase)])
                    shot = cam.shot(rng, aim, 24.0)
                    shot.right, shot.down = level(shot.ahead)
                    many = 6 if k % 2 else (k % 4) // 2
                    pixels, places = film.marks_in(shot, "pro", rng, max(many, 1), 2.0)
                    for pixel, place in list(zip(pixels, places, strict=True))[:many]:
                        t.mark(play, "end zone", time, *pixel, *place)
                    pixel = shot.see(np.array([[37.0, 26.0]]))[0][0] + rng.normal(0, 3, 2)
                    t.foot(play, "end zone", time, f"m{play}", *pixel)
        points, doubts = t.points, t.doubts
    k = ((points["time"] + 0.25) / 0.25).round().astype(int)
    assert points.loc[k == 0, "x"].isna().all()
    assert points.loc[k > 0, ["x", "sd_x"]].notna().all(axis=None)
    drawn = points[(k % 2 == 0) & (k > 0) & (k < 8)]
    gap = np.column_stack([drawn["x"] - 37, drawn["y"] - 26])
    xy = drawn["corr_xy"] * drawn["sd_x"] * drawn["sd_y"]
    spread = np.stack([[drawn["sd_x"] ** 2, xy], [xy, drawn["sd_y"] ** 2]]).transpose(2, 0, 1)
    size = np.einsum("ni,nij,nj->n", gap, np.linalg.inv(spread), gap)
    assert 0.75 <= float(np.mean(size < 4.605)) <= 1.0  # a 90 % ellipse; 36 clicks
    marked = points[k % 2 == 1]
    one, none = (drawn[((k[drawn.index] % 4) // 2) == many] for many in (1, 0))
    assert marked["sd_x"].median() < one["sd_x"].median() < none["sd_x"].median()
    camera = doubts[doubts["what"] == "camera"]
    assert camera["says"].str.contains("drawn between the pictures 0.25 s before and 0.25 s after").sum() == len(drawn)
    assert camera["says"].str.contains("this picture has one mark").sum() == len(one)


def level(ahead: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Right and down of a camera without roll."""
    right = np.cross(ahead, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    return right, np.cross(ahead, right)


def test_nothing_to_measure_says_why(tmp_path: Path) -> None:
    with se.Trace(tmp_path / "a.trace", "pro", {"end zone": (1280, 720)}) as t:
        t.person("a", "offense", "QB")
        t.snap("p", 50, 26, 1)
        t.foot("p", "end zone", 0, "a", 600, 400)
    with pytest.raises(se.InputError, match=r"no play that can be measured: play p: place unknown"):
        se.from_trace(tmp_path / "a.trace")
    with se.Trace(tmp_path / "b.trace", "pro", {"end zone": (1280, 720)}) as t:
        t.foot("p", "end zone", 0, "a", 600, 400)
        t.ball("p", "end zone", 0, 600, 410)
    with pytest.raises(se.InputError, match=r"play p: no camera is known of the picture the ball was clicked in"):
        se.from_trace(tmp_path / "b.trace")


def test_men_clicked_too_seldom_for_a_track_have_no_error_and_nothing_is_warned_of() -> None:
    nothing = np.empty(0)
    way = Way(1, nothing, np.empty((0, 2)), np.empty((0, 3)), np.empty(0, np.int64), [], nothing, np.empty(0, bool))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert np.isnan(PlayTrace(0, Moment(), {}, {}, None, [way]).sd)
        assert np.isnan(PlayTrace(0, Moment(), {}, {}, None, []).sd)


def test_two_views_meet_by_their_clocks(script: "film.Script", tmp_path: Path) -> None:
    """Each film has its own clock: the snap ties them, what men do ties them closer; a throw that is off is refused."""
    both = film.traced(script, film.Clicking(angles=("end zone", "sideline"), mast=True), tmp_path)
    text = both.read_text().splitlines()
    both.unlink()
    late = {"end zone": 100.0, "sideline": 2000.03}
    play = str(script.snaps["play"].iloc[0])
    snap, throw = (float(script.snaps[name].iloc[0]) for name in ("snap_time", "throw_time"))
    header = json.loads(text[0])
    for error, refused in ((0.0, False), (0.6, True)):
        made = tmp_path / f"made{error}.trace"
        with se.Trace(made, header["field"], header["angles"], errors=header["errors"]) as t, t.together():
            for line in text[1:]:
                act = json.loads(line)
                if act["do"] == "man":
                    t.person(act["player"], act["unit"], act["position"])
                elif act["do"] == "snap" and act["play"] == play:
                    t.snap(
                        play,
                        act["ball_x"],
                        act["ball_y"],
                        int(act["direction"]),
                        snap_time=snap,
                        end_time=act["end_time"],
                    )
                elif act.get("play") == play:
                    time = act["time"] + late[act["angle"]]
                    if act["do"] == "mark":
                        t.mark(play, act["angle"], time, act["x"], act["y"], act["X"], act["Y"])
                    else:
                        t.foot(play, act["angle"], time, act["player"], act["x"], act["y"])
            for angle, by in late.items():
                # The sideline's snap is clicked a picture early, its throw a picture late.
                off = 0.033 if angle == "sideline" else 0.0
                t.event(play, "snap", angle, snap + by - off)
                t.event(play, "throw", angle, throw + by + off + (error if angle == "sideline" else 0))
        if refused:
            with pytest.raises(
                se.InputError, match=r"clocks of two films do not meet: from snap to throw takes 0\.67 s less"
            ):
                se.from_trace(made)
            continue
        with se.Trace(made) as t:
            trace = next(iter(t.reading.ways.plays.values()))
            tracks = beside(script, t.tracks)
        assert trace.shifts["end zone"] == pytest.approx(late["end zone"])
        assert trace.shifts["sideline"] == pytest.approx(late["sideline"], abs=0.02)
        gap = np.hypot(tracks["x"] - tracks["true_x"], tracks["y"] - tracks["true_y"])
        assert np.median(gap) < 0.10


def test_the_commands_take_a_trace(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["measure", str(path), "-o", str(tmp_path / "m.h5"), "--noise", "tracks", "--draws", "5"]) == 0
    assert "the tracks' own" in capsys.readouterr().out
    assert main(["report", str(path), "-o", str(tmp_path / "game.html")]) == 0
    page = (tmp_path / "game.html").read_text()
    assert "Places were clicked on film (end zone" in page
    game = se.from_trace(path)
    game.library = "pandas"
    guard = next(row.player for row in game.people.itertuples() if row.position == "LG")
    assert main(["player", str(guard), str(path), "-o", str(tmp_path / "man.html")]) == 0
    assert "known to" in (tmp_path / "man.html").read_text()
    assert main(["cut", str(path), "-o", str(tmp_path / "reps.otio")]) in (0, 2)  # 2: the tests' films have no file


def test_a_cut_list_of_a_trace_names_its_film(script: "film.Script", tmp_path: Path) -> None:
    (tmp_path / "end.mp4").write_bytes(b"no film, but a file")
    path = film.traced(script, film.Clicking(film="end.mp4", mast=True), tmp_path)
    game = se.from_trace(path)
    game.library = "pandas"
    assert list(game.plays["film_file"]) == ["end.mp4"] * PLAYS
    assert np.allclose(game.plays["film_time"], script.snaps["snap_time"] + film.FILM_LATE)
    assert main(["cut", str(path), "-o", str(tmp_path / "reps.otio")]) == 0
    assert "end.mp4" in (tmp_path / "reps.otio").read_text()
