"""Sheets, heat, small multiples and moving pictures: they show what the tables hold, and names as text."""

import json
import math
import re
import shutil
import subprocess

import numpy as np
import pandas as pd
import pytest
from matplotlib.lines import Line2D
from matplotlib.patches import Circle
from matplotlib.text import Text
from PIL import Image

import shortedge as se
from shortedge import draw
from shortedge.cli import main
from shortedge.draw import film
from shortedge.measures.reps import reps_of
from shortedge.tell.scene import Scene
from test_pictures import ODD, example_tables, saved, table_game


@pytest.fixture(scope="module")
def m():
    return se.measure(se.example())


@pytest.fixture(scope="module")
def reps(m):
    return se.reps(m.game, m)


def texts(figure) -> list[str]:
    return [text.get_text() for text in figure.findobj(Text) if text.get_text()]


def judged(reps):
    return reps.table[reps.table.outcome.isin(["held", "beat", "driven"])]


# ---------------------------------------------------------------------------------------------------- six moments


def some(reps):
    rows = judged(reps)
    return [rows[rows.outcome == outcome].iloc[k] for outcome in ("held", "beat", "driven") for k in (0, 3)]


def test_moments_are_frames_of_the_rep_with_the_tables_figures(m, reps):
    for row in some(reps):
        figure = m.sheet(row)
        assert saved(figure, "png").startswith(b"\x89PNG")
        said = texts(figure)
        assert any(text.startswith(f"Play {row.play}: ") for text in said)
        heads = [text for text in said if re.match(r"\d+\.\d\d s\b", text)]
        assert len(heads) == 6
        times = [float(head.split(" s")[0]) for head in heads]
        assert times == sorted(times)
        frames = m.frames[m.frames.play == row.play].time
        assert all(np.abs(frames - time).min() < 0.006 for time in times)
        named = {
            what: time for head, time in zip(heads, times, strict=True) for what in head.split("s   ")[-1].split(", ")
        }
        if not math.isnan(row.contact_time):
            assert named["contact"] == pytest.approx(row.contact_time, abs=0.051)
        if row.outcome == "beat":
            assert named["beat"] == pytest.approx(row.beat_time, abs=0.051)
        throw = m.game.play(row.play).throw_time
        assert named["end of the rep" if math.isnan(throw) else "the throw"] <= (
            9 if math.isnan(throw) else throw + 0.05
        )
        rushers = m.rushers[(m.rushers.play == row.play) & (m.rushers.rusher == row.rusher)]
        for figures in (text for text in said if text.startswith("exposure ")):
            shown = {name: float(value) for name, value in re.findall(r"(outside|inside) (\d\.\d\d)", figures)}
            near = rushers[rushers.time.map(lambda t, times=times: min(abs(t - x) for x in times) < 0.006)]
            fits = [
                all(f"{getattr(one, f'{name}_exposure'):.2f}" == f"{value:.2f}" for name, value in shown.items())
                for one in near[near.blocker == row.protector].itertuples()
            ]
            assert any(fits), figures


def test_moments_want_one_against_one(m, reps):
    for outcome in ("free", "uncovered"):
        row = reps.table[reps.table.outcome == outcome].iloc[0]
        for given in (row, row.to_dict()):
            with pytest.raises(se.InputError, match="without a protector or a rusher"):
                m.sheet(given)


# ---------------------------------------------------------------------------------------------------------- heat


def seconds_short(m, player=None):
    """Total time with a short edge, and its plays, by the table of reps."""
    rows = se.reps(m.game, m).table
    rows = rows[(rows.short_edge_seconds > 0) & (True if player is None else rows.protector == player)]
    return float(rows.short_edge_seconds.sum()), set(rows.play)


@pytest.mark.parametrize("player", [None, "TK-74"])
def test_heat_holds_all_the_time_edges_were_short(m, player):
    total, plays = seconds_short(m, player)
    figure = m.heat(player)
    saved(figure, "png")
    axes = figure.axes[0]
    image = axes.images[0]
    left, right, bottom, top = image.get_extent()
    rows, columns = image.get_array().shape
    area = (right - left) / (columns - 1) * (bottom - top) / (rows - 1)
    assert float(image.get_array().sum()) * area == pytest.approx(total, rel=0.01)  # nearly all lies on the sheet
    said = " ".join(texts(figure))
    assert f"in {len(plays)} of {len(m.game.measured())} plays, {total:.1f} s in all" in said
    rings = [one for one in figure.findobj(Circle) if one.get_gid() == "opening"]
    openings = draw.openings(m, player)
    assert len(rings) == len(openings) > 1
    for ring, one in zip(rings, openings, strict=True):
        ready = m.game.play(one.play)
        who = [man.player for man in ready.men].index(one.man)
        assert np.abs(ready.place[:, who] - ring.center).sum(axis=1).min() < 1e-9
        assert player in (None, one.man)


def test_heat_of_nobody_and_of_one_whose_edge_never_was_short(m):
    with pytest.raises(se.InputError, match='no player "nobody"'):
        m.heat("nobody")
    assert "no edge was short" in texts(m.heat("TK-8"))


# ------------------------------------------------------------------------------------------------ small multiples


def test_multiples_stand_at_the_cross_at_contact(m, reps):
    player = "QM-74"
    rows = reps.table[(reps.table.protector == player) & reps.table.rusher.notna()]
    met = rows[rows.contact_time.notna()]
    figure = m.multiples(player, reps=reps)
    saved(figure, "png")
    paths = [one for one in figure.findobj(Line2D) if one.get_gid() == "protector"]
    assert len(paths) == len(met) > 10
    for path, row in zip(paths, met.itertuples(), strict=True):
        points = np.column_stack(path.get_data())
        ready = m.game.play(row.play)
        k = int(np.abs(ready.time - row.contact_time).argmin())
        assert points[k] == pytest.approx([0, 0], abs=1e-9)
        his = ready.place[:, [man.player for man in ready.men].index(player)]
        np.testing.assert_allclose(points, (his - his[k])[: len(points)], atol=1e-9)
    said = texts(figure)
    count = rows.outcome.value_counts()
    assert (
        f"{len(rows)} reps: {count['held']} held, {count.get('beat', 0)} beaten, {count.get('driven', 0)} driven back."
        in said
    )
    assert sum(text.startswith("beaten") for text in said) == count.get("beat", 0)
    with pytest.raises(se.InputError, match="no rep of protector"):
        m.multiples("QM-91")


def test_the_counts_of_multiples_add_up(m, reps):
    """A centre helps in many reps: those are said too."""
    player = "TK-52"
    rows = reps.table[(reps.table.protector == player) & reps.table.rusher.notna()]
    said = next(text for text in texts(m.multiples(player, reps=reps)) if " reps: " in text)
    counted = said.split(": ")[1].split(";")[0]
    assert f"{(rows.outcome == 'help').sum()} helping" in counted
    assert sum(int(part.split()[0]) for part in counted.split(", ")) == int(said.split()[0]) == len(rows)


# -------------------------------------------------------------------------------------------------- moving pictures

PLAY = "P001"  # of the demo game, the shortest


@pytest.mark.parametrize("speed", [1.0, 2.0])
def test_mp4_lasts_as_long_as_the_play(m, tmp_path, speed):
    out = tmp_path / "play.mp4"
    m.animate(PLAY, out, speed=speed)
    command = ["ffprobe", "-v", "error", "-show_streams", "-of", "json", str(out)]
    stream = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)["streams"][0]
    time = m.game.play(PLAY).time
    lasts = (time[-1] - time[0] + np.median(np.diff(time))) / speed
    assert stream["codec_name"] == "h264"
    assert float(stream["duration"]) == pytest.approx(lasts, abs=1 / 30)
    assert (stream["width"], stream["height"]) == (960, 720)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["play.mp4"]


def test_gif_has_every_frame_and_moves(m, tmp_path):
    out = tmp_path / "play.gif"
    m.animate(PLAY, out, speed=np.int64(1))
    time = m.game.play(PLAY).time
    with Image.open(out) as picture:
        frames = []
        for k in range(picture.n_frames):
            picture.seek(k)
            frames.append((picture.info["duration"], np.asarray(picture.convert("RGB"), int)))
    lasts = time[-1] - time[0] + np.median(np.diff(time))
    assert sum(duration for duration, _ in frames) == pytest.approx(1000 * lasts, abs=10)
    assert len(frames) == len(time)  # of a recording at a tenth of a second each frame differs from the one before
    assert (np.abs(frames[0][1] - frames[-1][1]).sum(axis=2) > 60).mean() > 0.005


def test_each_image_is_the_one_drawn_afresh(m):
    """What is drawn on a copy of what stands still is what a whole drawing of that frame gives."""
    moving = film._Film(Scene(m, PLAY))
    images = list(moving.images())
    whole = film._Film(Scene(m, PLAY))
    for k in (0, len(images) // 2, len(images) - 1):
        whole.at(k)
        whole.canvas.draw()
        drawn = np.asarray(whole.canvas.buffer_rgba())[:, :, :3].astype(int)
        assert (np.abs(drawn - images[k]).max(axis=2) > 40).mean() < 0.002


def test_moving_pictures_refused(m, tmp_path, monkeypatch):
    for out, speed, says in (
        ("play.avi", 1, r"accepted: a name that ends in \.mp4, \.gif"),
        ("play.gif", 0, "speed is 0"),
        ("play.gif", math.nan, "speed is nan"),
        ("play.gif", "fast", "speed is"),
    ):
        with pytest.raises(se.InputError, match=says):
            m.animate(PLAY, tmp_path / out, speed=speed)
    with pytest.raises(se.InputError, match="no play"):
        m.animate("none", tmp_path / "play.gif")
    with pytest.raises(se.FileError, match="cannot be written"):
        m.animate(PLAY, tmp_path / "no" / "play.gif")
    monkeypatch.setattr(shutil, "which", lambda name: None)
    monkeypatch.setitem(__import__("sys").modules, "imageio_ffmpeg", None)
    with pytest.raises(se.InputError, match=r"needs ffmpeg.*shortedge\[video\].*\.gif"):
        m.animate(PLAY, tmp_path / "play.mp4")
    assert not list(tmp_path.iterdir())


def test_an_ffmpeg_that_fails_leaves_the_old_film(m, tmp_path, monkeypatch):
    out = tmp_path / "play.mp4"
    out.write_bytes(b"old")
    broken = tmp_path / "ffmpeg"
    broken.write_text("#!/bin/sh\necho no such codec >&2\nexit 3\n")
    broken.chmod(0o755)
    monkeypatch.setattr(film, "ffmpeg_path", lambda without: str(broken))
    with pytest.raises(se.FileError, match="no such codec"):
        m.animate(PLAY, out)
    assert out.read_bytes() == b"old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["ffmpeg", "play.mp4"]


# ----------------------------------------------------------------------------------------------------------- names


def test_names_are_text_in_every_still():
    tracks, snaps, people = example_tables()
    defence = people[people.player.isin(set(tracks.player)) & (people.unit == "defense")].player
    offence = people[people.player.isin(set(tracks.player)) & (people.unit == "offense")].player
    new = dict(zip(defence, ODD, strict=False)) | {offence.iloc[0]: "<i>$y^2$", offence.iloc[1]: "</svg><script>"}
    rename = {"player": new, "play": {snaps.play.iloc[0]: ODD[0]}}
    m = se.measure(table_game(tracks.replace(rename), snaps.replace(rename), people.replace(rename)))
    reps = reps_of(m)
    row = judged(reps).iloc[0]
    for figure in (m.sheet(row), m.heat(), m.multiples(row.protector)):
        page = saved(figure, "svg").decode()
        assert "<script" not in page
        assert "<b>" not in page
        assert saved(figure, "pdf").startswith(b"%PDF")


# ----------------------------------------------------------------------------------------------------- command line


def test_show_writes_moments_and_moving_pictures(tmp_path, capsys):
    game = tmp_path / "game.h5"
    se.example().save(game)
    assert main(["show", str(game), PLAY, "--moments", "TK-78", "-o", str(tmp_path / "rep.svg")]) == 0
    assert "TK-78" in (tmp_path / "rep.svg").read_text()
    assert main(["show", str(game), PLAY, "--speed", "2", "-o", str(tmp_path / "play.gif")]) == 0
    assert (tmp_path / "play.gif").read_bytes()[:3] == b"GIF"
    capsys.readouterr()
    for more, says in (
        (["--moments", "QM-91", "-o", "rep.svg"], '--moments: found "QM-91"; accepted in play "P001"'),
        (["--speed", "2", "-o", "rep.svg"], "--speed: found"),
        (["--at", "1", "-o", "play.mp4"], "accepted with --at, --timeline and --moments"),
        (["-o", "play.avi"], "accepted: a name that ends in"),
    ):
        assert main(["show", str(game), PLAY, *more]) == 2
        error = capsys.readouterr().err
        assert says in error
        assert error.count("\n") == 1


def test_the_first_lines_of_a_still_say_how_it_ended(m, reps):
    row = pd.Series(judged(reps)[judged(reps).ball_out].iloc[0])
    assert any(text.startswith(f"beaten {row.beat_side}, ball out before pressure") for text in texts(m.sheet(row)))
