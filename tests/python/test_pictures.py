"""The pictures: they draw for any frame, say what the tables say, and show names as text."""

import io
import math
import re
import xml.etree.ElementTree as ET

import numpy as np
import pandas as pd
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle

import shortedge as se
from shortedge import draw

STATUSES = ("thin", "collapsed", "outside")
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def m():
    return se.measure(se.example())


@pytest.fixture(scope="module")
def some(m):
    """Play and time of frames that differ: the snap, mid-play and last of some plays, and one of every status."""
    frames = m.frames
    found = []
    for play in m.game.measured()[::12]:
        times = frames.time[frames.play == play].to_list()
        found += [(play, times[k]) for k in (0, len(times) // 2, -1)]
    for status in STATUSES:
        first = frames[frames.status == status].iloc[0]
        found.append((first.play, first.time))
    return found


def frame_row(m, play, time):
    return m.frames[(m.frames.play == play) & (m.frames.time == time)].iloc[0]


def texts(figure: Figure) -> list[str]:
    return [text.get_text() for text in figure.findobj(lambda artist: hasattr(artist, "get_text")) if text.get_text()]


def line(figure: Figure, gid: str) -> np.ndarray | None:
    """The points of a line by its id."""
    found = [one for one in figure.findobj(Line2D) if one.get_gid() == gid]
    assert len(found) <= 1, gid
    return np.column_stack(found[0].get_data()) if found else None


def saved(figure: Figure, kind: str) -> bytes:
    page = io.BytesIO()
    figure.savefig(page, format=kind)
    return page.getvalue()


def test_frames_of_every_kind_draw(m, some):
    assert {frame_row(m, *one).status for one in some} >= {"ok", *STATUSES}
    for play, time in some:
        status = frame_row(m, play, time).status
        figure = m.draw(play, time)
        assert saved(figure, "png").startswith(b"\x89PNG")
        said = " ".join(texts(figure))
        assert f"Play {play}, {time:.2f} s" in said
        assert (f"pocket {status}" in said) == (status != "ok")  # only what is amiss is told
        assert "Geometry only: sees no hands, calls or assignments." in said
        assert "Exposure is not a threat or a probability." in said


def test_a_frame_without_passer_is_drawn():
    """Made by taking the passer's samples away in the middle of a play, which the filling of gaps does not bridge."""
    tracks, snaps, people = example_tables()
    qb = set(people.player[people.position == "QB"])
    snap = snaps.snap_time.iloc[0]
    gone = tracks.player.isin(qb) & tracks.time.between(snap + 0.65, snap + 1.75)
    m = se.measure(table_game(tracks[~gone], snaps.iloc[:1], people))
    play = snaps.play.iloc[0]
    assert (m.frames.status == "missing").any()
    time = m.frames.time[m.frames.status == "missing"].iloc[0]
    figure = m.draw(play, time)
    saved(figure, "png")
    assert "pocket missing" in " ".join(texts(figure))
    assert line(figure, "wall") is None
    timeline = m.timeline(play)
    saved(timeline, "png")
    assert "missing" in texts(timeline)


def test_the_nearest_frame_is_drawn(m):
    play = m.game.measured()[0]
    times = m.frames.time[m.frames.play == play].to_numpy()
    for asked in (float(times[0]), 1.23, float(times[-1])):
        got = times[np.abs(times - asked).argmin()]
        assert f"Play {play}, {got:.2f} s after the snap" in texts(m.draw(play, asked))
    for bad in (-5.0, 1e6, math.nan, math.inf):  # nothing was measured then
        with pytest.raises(se.InputError, match="time"):
            m.draw(play, bad)
    with pytest.raises(se.InputError, match="no play"):
        m.draw("no such play", 1.0)
    with pytest.raises(se.InputError, match="no play"):
        m.timeline("no such play")


def column_of(figure: Figure, title: str) -> list[str]:
    """The texts of the caption on one line with a title, left to right."""
    rows = [text for text in figure.texts if text.get_text() == title]
    assert len(rows) == 1, title
    x, y = rows[0].get_position()
    beside = [text for text in figure.texts if text.get_position()[1] == y and text.get_position()[0] > x]
    return [text.get_text() for text in sorted(beside, key=lambda text: text.get_position()[0])]


def test_the_caption_says_what_the_tables_say(m, some):
    seen = 0
    for play, time in some:
        row = frame_row(m, play, time)
        figure = m.draw(play, time)
        if row.status != "ok":
            assert column_of(figure, "passer behind the line")[0] == f"{row.passer_depth:.2f} yd"
            continue
        assert column_of(figure, "pocket width")[0] == f"{row.pocket_width:.2f} yd"
        assert column_of(figure, "pocket depth")[0] == f"{row.pocket_depth:.2f} yd"
        assert column_of(figure, "pocket area")[0] == f"{row.pocket_area:.2f} yd²"
        assert column_of(figure, "room for the passer")[0] == f"{row.passer_room:.2f} yd²"
        assert column_of(figure, "exposure") == [f"{row.exposure_left:.2f}", f"{row.exposure_right:.2f}"]
        assert column_of(figure, "exposure inside")[0] == f"{row.exposure_inside:.2f}"
        edges = m.edges[(m.edges.play == play) & (m.edges.time == time)].set_index("side")
        for k, side in enumerate(("left", "right")):
            edge = edges.loc[side]
            assert column_of(figure, "edge width")[k] == f"{edge.edge_width:.2f} yd"
            assert column_of(figure, "edge set by")[k].endswith(edge.edge_man)
            if pd.isna(edge.rusher):
                assert column_of(figure, "rusher")[k] == "nobody"
                continue
            seen += 1
            assert column_of(figure, "rusher")[k].endswith(edge.rusher)
            assert column_of(figure, "corner held")[k] == f"{edge.corner_held:.2f} yd"
            assert column_of(figure, "way round him")[k] == f"{edge.outside_time:.2f} s"
            short = f"{edge.short_edge:.2f} yd" if edge.exposure >= 0.2 else "exposure under 0.2"
            assert column_of(figure, "short edge")[k] == short
    assert seen > 15


def test_dimensions_stand_where_the_men_stand(m, some):
    """Ends of the dimension lines against the men's places, and their lengths against the tables."""
    drawn = {"corner_held": 0, "short_edge": 0}
    for play, time in [*some, worst_but_held(m)]:
        row = frame_row(m, play, time)
        figure = m.draw(play, time)
        if row.status != "ok":
            assert line(figure, "pocket_width") is None
            continue
        ready = m.game.play(play)
        frame = int(np.abs(ready.time - time).argmin())
        at = {man.player: ready.place[frame, k] for k, man in enumerate(ready.men)}
        passer = next(at[man.player] for man in ready.men if man.role == "passer")
        width = line(figure, "pocket_width")
        assert width[:, 0] == pytest.approx([at[row.wall_left][0], at[row.wall_right][0]], abs=1e-9)
        depth = line(figure, "pocket_depth")
        assert depth[0] == pytest.approx(passer, abs=1e-9)
        assert depth[0] - depth[1] == pytest.approx([0, row.pocket_depth], abs=1e-9)
        wall = line(figure, "wall")
        for end in (row.wall_left, row.wall_right):
            assert np.abs(wall - at[end]).sum(axis=1).min() < 1e-9
        # Where straight upfield of the passer meets the drawn wall, by interpolation between its men.
        if (np.diff(wall[:, 0]) > 0).all():
            assert depth[1][1] == pytest.approx(np.interp(passer[0], *wall.T), abs=1e-9)
        for edge in m.edges[(m.edges.play == play) & (m.edges.time == time)].itertuples():
            across = line(figure, f"edge_width_{edge.side}")
            sign = -1 if edge.side == "left" else 1
            assert across[:, 0] == pytest.approx([passer[0], at[edge.edge_man][0] + sign * m.rules.reach], abs=1e-9)
            for name in drawn:
                found = line(figure, f"{name}_{edge.side}")
                if found is not None:
                    drawn[name] += 1
                    assert np.hypot(*(found[1] - found[0])) == pytest.approx(getattr(edge, name), abs=1e-9)
                    assert name == "corner_held" or edge.exposure >= 0.2
    assert min(drawn.values()) >= 1


def worst_but_held(m):
    """An exposed frame in which some of the corner is held and some is not, so that both dimensions must be drawn."""
    edges = m.edges[(m.edges.exposure >= 0.2) & (m.edges.short_edge > 0.2) & (m.edges.corner_held > 0.2)]
    return edges.play.iloc[0], edges.time.iloc[0]


def test_short_edge_and_corner_meet_on_the_straight_line(m):
    """The point they share lies on the rusher's line to the passer: three points on a line have no area."""
    play, time = worst_but_held(m)
    figure = m.draw(play, time)
    for side in ("left", "right"):
        short, held = line(figure, f"short_edge_{side}"), line(figure, f"corner_held_{side}")
        if short is not None and held is not None:
            rusher, passer = line(figure, f"straight_{side}")
            assert short[1] == pytest.approx(held[0], abs=1e-9)
            (a, b), (c, d) = passer - rusher, short[1] - rusher
            assert a * d - b * c == pytest.approx(0, abs=1e-9)
            return
    pytest.fail("no side shows both")


def test_ways_have_the_colour_of_their_exposure_alone(m, some):
    for play, time in some:
        figure = m.draw(play, time)
        for edge in m.edges[(m.edges.play == play) & (m.edges.time == time)].itertuples():
            ways = [one for one in figure.findobj(Line2D) if one.get_gid() == f"way_{edge.side}"]
            assert len(ways) == int(not pd.isna(edge.rusher))
            for way in ways:
                assert way.get_color() == draw.EXPOSURE(edge.exposure)


def test_exposure_reads_in_grey():
    """Relative luminance (WCAG 2.1) falls all the way, and even the palest stands off the page by 1.5 to 1."""

    def luminance(colour):
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour[:3]]
        return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))

    shades = [luminance(draw.EXPOSURE(x)) for x in np.linspace(0, 1, 256)]
    assert (np.diff(shades) < 0).all()
    page = luminance([int(draw.CARD[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    assert (page + 0.05) / (shades[0] + 0.05) > 1.5
    assert (shades[0] + 0.05) / (shades[-1] + 0.05) > 4.5


def test_timeline_shows_the_tables(m):
    frames, edges = m.frames, m.edges
    for play in [*m.game.measured()[:3], *(frames.play[frames.status == status].iloc[0] for status in STATUSES)]:
        figure = m.timeline(play)
        saved(figure, "png")
        rows = frames[frames.play == play]
        for name in ("pocket_width", "pocket_depth", "exposure_left", "exposure_inside", "exposure_right"):
            np.testing.assert_array_equal(line(figure, name), rows[["time", name]].to_numpy(float))
        for side in ("left", "right"):
            mine = edges[(edges.play == play) & (edges.side == side) & (edges.exposure >= 0.2)]
            drawn = line(figure, f"short_edge_{side}")
            drawn = drawn[~np.isnan(drawn[:, 1])]
            np.testing.assert_array_equal(drawn, mine[["time", "short_edge"]].dropna().to_numpy(float))  # NaN: free
        said = texts(figure)
        assert "exposure (not a threat, not a probability)" in said
        assert "s since the snap" in said
        assert "snap" in said
        ready = m.game.play(play)
        for name, at in (("top of the drop", ready.top_time), ("throw", ready.throw_time)):
            assert (f"{name} {at:.2f} s" in said) == (not math.isnan(at))
        for status in STATUSES:
            assert (status in said) == (rows.status == status).any()


def test_worst_is_the_greatest_shown_short_edge_before_the_throw(m):
    play, time, side = draw.worst(m)
    throws = {name: m.game.play(name).throw_time for name in m.game.measured()}
    edges = m.edges[m.edges.exposure >= 0.2]
    edges = edges[~(edges.time > edges.play.map(throws) + 1e-6)]
    found = edges[(edges.play == play) & (edges.time == time) & (edges.side == side)]
    assert found.short_edge.item() == edges.short_edge.max()


def test_sheet_shows_every_play_at_the_snap(m):
    figure = draw.sheet(m.game)
    saved(figure, "png")
    assert set(m.game.measured()) <= set(texts(figure))
    assert len(figure.axes) == len(m.game.measured())
    few = draw.sheet(m.game, most=2)
    assert len(few.axes) == 2
    assert f"of {len(m.game.measured())}" in few.texts[0].get_text()


# ------------------------------------------------------------------------------------------------ names and files

ODD = (
    "<b>$x_1$",
    "$\\frac{1}{0}$",
    "<script>alert(1)</script>",
    "אבג דה",
    "a&b 'c' \"d\"",
    "%s {0} \\n",
    "$",
    "x" * 300,
)


def example_tables():
    game = se.example()
    tracks, snaps = game.core.tracks, game.plays
    table = pd.DataFrame({name: tracks[name] for name in ("time", "x", "y")})
    table["play"] = np.array(game.core.plays, object)[tracks["play"]]
    table["player"] = np.array(game.core.players, object)[tracks["player"]]
    first = snaps.play.iloc[:1]
    return table[table.play.isin(first)], snaps[snaps.play.isin(first)], game.people[["player", "unit", "position"]]


def table_game(tracks, snaps, people):
    return se.from_tables(tracks, snaps, people, units="yd", origin="corner", y="up", name="names (invented)")


@pytest.fixture(scope="module")
def oddly_named():
    """The first play with the defence's ids and the play's id replaced by texts that mean something elsewhere."""
    tracks, snaps, people = example_tables()
    there = people[people.player.isin(set(tracks.player)) & (people.unit == "defense")].player
    new = dict(zip(there, ODD, strict=False))
    rename = {"player": new, "play": {snaps.play.iloc[0]: ODD[0]}}
    return se.measure(table_game(tracks.replace(rename), snaps.replace(rename), people.replace(rename)))


def test_names_are_shown_as_text_and_run_nowhere(oddly_named):
    m = oddly_named
    assert m.game.measured() == [ODD[0]]
    shown = set()
    pictures = [m.draw(ODD[0], 0.0), m.draw(ODD[0], 1.5), m.timeline(ODD[0]), draw.sheet(m.game)]
    for figure in pictures:
        page = saved(figure, "svg").decode()
        tree = ET.fromstring(page)
        assert not [node.tag for node in tree.iter() if node.tag in (f"{SVG}script", f"{SVG}foreignObject", f"{SVG}b")]
        assert not re.search(r"\son\w+=", page)
        words = ["".join(node.itertext()) for node in tree.iter(f"{SVG}text")]
        assert any(ODD[0] in word for word in words)  # the play's id, which every picture is headed with
        shown |= set(words)
        saved(figure, "pdf")
    assert "<b>$x_1$" in shown  # a player's label


def test_svg_is_the_same_every_time_and_keeps_its_text(m):
    play, time, _ = draw.worst(m)
    for make in (lambda: m.draw(play, time), lambda: m.timeline(play)):
        one = saved(make(), "svg")
        assert saved(make(), "svg") == one
        assert b"dc:date" not in one
        assert f"Play {play}".encode() in one
    assert saved(m.draw(play, time), "pdf") == saved(m.draw(play, time), "pdf")
    assert saved(m.draw(play, time), "png") == saved(m.draw(play, time), "png")


def test_drawing_leaves_the_settings_alone(m):
    import matplotlib
    from matplotlib import pyplot

    before, open_before = dict(matplotlib.rcParams), pyplot.get_fignums()
    play, time, _ = draw.worst(m)
    for figure in (m.draw(play, time), m.timeline(play)):
        saved(figure, "svg")
        assert isinstance(figure, Figure)
    assert dict(matplotlib.rcParams) == before
    assert pyplot.get_fignums() == open_before


@pytest.mark.parametrize("library", ["polars", "pyarrow"])
def test_any_table_library_gives_the_same_picture(m, library):
    place = draw.worst(m)
    play, time, _ = place
    wanted = [texts(figure) for figure in (m.draw(play, time), m.timeline(play))]
    se.set_output(library)
    try:
        assert draw.worst(m) == place
        assert [texts(figure) for figure in (m.draw(play, time), m.timeline(play))] == wanted
    finally:
        se.set_output(None)


def test_texts_of_a_drop_do_not_cover_each_other(m):
    """Headings, axes and notes, by their drawn boxes: figures beside a point may touch a line, no text another."""
    figure = se.drop_study(m.game, "P040").draw()
    figure.draw_without_rendering()
    shown = [*figure.texts, *(text for axes in figure.axes for text in (*axes.texts, axes.xaxis.label))]
    boxes = [(one.get_text(), one.get_window_extent().padded(-1)) for one in shown if one.get_text()]
    assert len(boxes) > 40
    for k, (said, one) in enumerate(boxes):
        assert [text for text, other in boxes[k + 1 :] if one.overlaps(other)] == [], said


def test_no_man_of_a_sheet_stands_on_the_name_of_a_line(m):
    reps = se.reps(m.game, m).table
    lost = reps[(reps.outcome == "beat") & (reps.beat_side == "outside") & reps.ball_out]
    figure = m.sheet(lost.sort_values("short_edge_seconds", kind="stable").iloc[-1])
    figure.draw_without_rendering()
    names = 0
    for axes in figure.axes:
        lines = [text for text in axes.texts if re.fullmatch(r"\d+ yd", text.get_text())]
        men = [one.get_window_extent() for one in axes.patches if isinstance(one, Circle)]
        names += len(lines)
        assert not any(line.get_window_extent().overlaps(man) for line in lines for man in men)
    assert names >= 8


def test_labels_do_not_cover_each_other(m):
    """Texts inside the main drawing, by their drawn boxes: in ordinary frames hardly any two may touch."""
    touching = total = 0
    for play in m.game.measured()[::5]:
        throw = m.game.play(play).throw_time
        figure = m.draw(play, 2.0 if math.isnan(throw) else throw - 0.3)
        figure.draw_without_rendering()
        axes = figure.axes[1]
        boxes = [text.get_window_extent() for text in axes.texts if len(text.get_text()) > 2]
        for k, one in enumerate(boxes):
            total += 1
            touching += any(one.overlaps(other) for other in boxes[k + 1 :])
    assert total > 80
    assert touching <= 0.03 * total
