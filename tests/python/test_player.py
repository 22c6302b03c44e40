"""The play player, in a real browser: it moves in time by every hand, and shows what the tables hold, as text."""

import json
import math
import re
from contextlib import contextmanager

import numpy as np
import pandas as pd
import pytest
from playwright.sync_api import expect

import browser
import shortedge as se
import truth
from conftest import LINE, taken, written
from shortedge.cli import main
from shortedge.pages import player

PLAY = "P002"  # of the demo game: a beat, and every frame ok
BROKEN = "P012"  # frames that are collapsed and thin, a beat, a rusher past


@pytest.fixture(scope="module")
def chromium():
    with browser.chromium() as running:
        yield running


@pytest.fixture(scope="module")
def m():
    return se.measure(se.example())


@pytest.fixture(scope="module")
def reps(m):
    return se.reps(m.game, m)


@pytest.fixture(scope="module")
def foreign():
    return se.measure(truth.foreign().game())


@pytest.fixture
def opened(chromium, tmp_path):
    @contextmanager
    def open_page(text, at_snap=True, **given):
        """A play's page opens at the moment that counts; most tests begin at the snap."""
        with browser.opened(chromium, text, tmp_path, **given) as page:
            if at_snap and page.locator("body > main > .se-player").count() == 1:
                page.keyboard.press("Home")
            yield page

    return open_page


# What a page shows, by one look: the moment, the tables' cells by row title, and the slider's place.
LOOK = """() => {
  const rows = (name) => Object.fromEntries([...document.querySelectorAll(`.se-${name} tbody tr`)].map(
    (row) => [row.firstChild.textContent, [...row.children].slice(1).map((cell) => cell.textContent)]));
  return { moment: document.querySelector(".se-moment").textContent,
    frame: Number(document.querySelector("input").value),
    pocket: rows("pocket"), edges: rows("edges"), rushers: rows("rushers"),
    changes: [...document.querySelectorAll(".se-field text")].map((one) => one.textContent).filter(
      (one) => /^(given|gained) /.test(one)),
    crossed: (() => { const all = [...document.querySelector(".se-course").children];
      const first = all.findIndex((one) => one.matches(".se-title"));
      return first < all.findLastIndex((one) => one.matches("line, g")); })(),
    course: [...document.querySelectorAll(".se-course .se-title[text-anchor=end]")].map(
      (one) => one.textContent) };
}"""


def frame_of(page) -> int:
    return int(page.locator("input[type=range]").input_value())


def go_to(page, frame: int) -> None:
    page.locator("input[type=range]").fill(str(frame))


def shown(value: float, unit: str = "", never: str = "none") -> str:
    """A figure of a table as the page writes it."""
    if math.isnan(value):
        return "—"
    return (f"{value:.2f}".replace("-0.00", "0.00") + f" {unit}").strip() if math.isfinite(value) else never


# --------------------------------------------------------------------------------------------- the same figures


def check_frame(look, frame, edges, rushers, called) -> None:
    """One look at the page against the rows of the three tables."""
    assert look["moment"].startswith(f"{frame.time:.2f} s after the snap")
    assert look["moment"].endswith("throw" if frame.status == "ok" else f"pocket {frame.status}")
    assert not look["crossed"], "a line is drawn over a heading"
    told = {f"gained {-given:.2f} yd" if given < 0 else f"given {given:.2f} yd" for given in edges.edge_given.dropna()}
    assert set(look["changes"]) <= told
    pocket, sides = look["pocket"], look["edges"]
    for title, name, unit in (
        ("pocket width", "pocket_width", "yd"),
        ("pocket depth", "pocket_depth", "yd"),
        ("pocket area", "pocket_area", "yd²"),
        ("room for the passer", "passer_room", "yd²"),
        ("passer behind the line", "passer_depth", "yd"),
        ("nearest rusher", "nearest_rusher", "yd"),
        ("exposure inside", "exposure_inside", ""),
    ):
        assert pocket[title] == [shown(getattr(frame, name), unit)], title
    assert look["course"] == [
        shown(getattr(frame, name), unit)
        for name, unit in (
            ("pocket_width", "yd"),
            ("pocket_depth", "yd"),
            ("exposure_left", ""),
            ("exposure_inside", ""),
            ("exposure_right", ""),
        )
    ]
    if frame.status != "ok":
        assert not len(edges)
        assert {cell for row in sides.values() for cell in row} == {"—"}
    else:
        assert pocket["set by"] == [f"{called[frame.wall_left][0]} to {called[frame.wall_right][0]}"]
        assert sides["exposure"] == [shown(frame.exposure_left), shown(frame.exposure_right)]
        for k, edge in enumerate(edges.sort_values("side").itertuples()):
            row = {title: cells[k] for title, cells in sides.items()}
            assert row["edge set by"] == " ".join(called[edge.edge_man])
            assert row["edge width"] == shown(edge.edge_width, "yd")
            assert row["edge given"] == shown(edge.edge_given, "yd")
            assert row["passer’s drift"] == shown(edge.drift, "yd")  # noqa: RUF001
            if pd.isna(edge.rusher):
                assert row["rusher"] == "nobody"
                assert {row["corner held"], row["short edge"], row["way round him"]} == {"—"}
                continue
            his = rushers[rushers.rusher == edge.rusher].iloc[0]
            assert row["rusher"] == " ".join(called[edge.rusher])
            assert row["his blocker"] == f"{called[his.blocker][0]}, {his.blocker_range:.2f} yd off"
            assert row["engaged, helping"] == f"{'engaged' if edge.engaged else 'not engaged'}, {edge.helpers}"
            assert row["corner held"] == shown(edge.corner_held, "yd")
            assert row["way round him"] == shown(edge.outside_time, "s", "never")
            assert row["short edge"] == (shown(edge.short_edge, "yd") if edge.exposure >= 0.2 else "exposure under 0.2")
    there = set()
    for his in rushers.itertuples():
        there.add(" ".join(called[his.rusher]))
        lane = "—" if pd.isna(his.lane) else his.lane if his.lane == "in" else f"{his.lane} {his.lane_side}"
        assert look["rushers"][" ".join(called[his.rusher])] == [
            shown(his.distance),
            shown(his.closing),
            f"{called[his.blocker][0]}, {his.blocker_range:.2f} yd off",
            "yes" if his.engaged else "no",
            str(his.helpers),
            shown(his.cutoff_ratio, "", "past"),
            shown(his.outside_exposure),
            shown(his.inside_exposure),
            lane,
        ]
    for name, cells in look["rushers"].items():
        assert name in there or set(cells) == {"—"}


def names(m, play) -> dict[str, tuple[str, str]]:
    """Label and name of each man of the demo or the foreign game, by their own conventions."""
    people = m.game.people
    out = {}
    for man in m.game.play(play).men:
        row = people[(people.player == man.player) & (people.play.isna() | (people.play == play))].iloc[0]
        if "number" in people:
            label = man.slot or (man.position if man.unit == "offense" and man.role != "other" else str(row["number"]))
            out[man.player] = (label, row["name"])
        else:
            label = man.slot or ("QB" if man.role == "passer" else man.player.split(" ")[-1])
            out[man.player] = (label, man.player)
    return out


@pytest.mark.parametrize(("which", "play"), [("m", PLAY), ("m", BROKEN), ("foreign", "G3-004")])
def test_every_frame_shows_the_tables(request, opened, which, play):
    """Stepped over with the arrow key, first frame to last."""
    m = request.getfixturevalue(which)
    tables = [table[table.play == play] for table in (m.frames, m.edges, m.rushers)]
    called = names(m, play)
    with opened(m.play(play).to_html()) as page:
        for k, frame in enumerate(tables[0].itertuples()):
            look = page.evaluate(LOOK)
            assert look["frame"] == k
            check_frame(look, frame, *(table[table.time == frame.time] for table in tables[1:]), called)
            page.keyboard.press("ArrowRight")
        assert frame_of(page) == len(tables[0]) - 1


def test_the_course_over_time_is_the_tables(m, opened):
    """Pixels of every course against the figures: one straight scale each, nothing where there is no figure."""
    frames = m.frames[m.frames.play == BROKEN]
    with opened(m.play(BROKEN).to_html()) as page:
        for name in ("pocket_width", "pocket_depth", "exposure_left", "exposure_inside", "exposure_right"):
            drawn = page.locator(f"[data-course={name}]").get_attribute("d")
            at = np.array([[float(part) for part in point.split(",")] for point in re.findall(r"[\d.]+,[\d.]+", drawn)])
            there = frames[frames[name].notna()]
            assert len(at) == len(there) < len(frames)
            for pixels, values, way in ((at[:, 0], there.time, 1), (at[:, 1], there[name], -1)):
                scale, start = np.polyfit(values, pixels, 1)
                assert scale * way > 0
                assert np.abs(scale * values + start - pixels).max() < 1  # px: the figures are rounded to 0.01


def test_dimensions_are_as_long_as_they_say(m, opened):
    """In the play with most frames in which some of a corner is held and some is not. Corners are 4.6 yd in 240."""
    both = m.edges[(m.edges.exposure >= 0.2) & (m.edges.short_edge > 0.2) & (m.edges.corner_held > 0.2)]
    play = both.play.value_counts().idxmax()
    frames, edges = m.frames[m.frames.play == play], m.edges[m.edges.play == play]
    left, right, _, _ = m.play(play).data["view"]
    measure = (
        "(name) => [...document.querySelectorAll(`[data-dimension=${name}] line`)].map((one) => one.getTotalLength())"
    )
    seen = {"short_edge": 0, "corner_held": 0}
    with opened(m.play(play).to_html()) as page:
        scale = page.evaluate("document.querySelector('.se-field').viewBox.baseVal.width") / (right - left)
        for k, frame in enumerate(frames.itertuples()):
            go_to(page, k)
            if frame.status != "ok":
                assert page.evaluate(measure, "pocket_width") == []
                continue
            assert page.evaluate(measure, "pocket_width")[0] / scale == pytest.approx(frame.pocket_width, abs=0.02)
            assert page.evaluate(measure, "pocket_depth")[0] / scale == pytest.approx(frame.pocket_depth, abs=0.02)
            for edge in edges[edges.time == frame.time].itertuples():
                length = page.evaluate(measure, f"edge_width_{edge.side}")[0]
                assert length / scale == pytest.approx(edge.edge_width, abs=0.02)
                for name in seen:
                    for length in page.evaluate(measure, f"{name}_{edge.side}"):
                        assert length / (240 / 4.6) == pytest.approx(getattr(edge, name), abs=0.02)
                        assert name == "corner_held" or edge.exposure >= 0.2
                        seen[name] += 1
    assert min(seen.values()) >= 3


def test_the_ways_drawn_are_the_ways_measured(m, foreign, opened):
    """Points along the drawn path against se.way_round, there and back, in yards; and its length against the core's."""
    sample = """(side) => {
      const way = document.querySelector(`.se-field [data-way=${side}]`);
      if (!way) return null;
      const long = way.getTotalLength();
      return [...Array(60).keys()].map((k) => way.getPointAtLength((long * k) / 59)).map(({ x, y }) => [x, y]);
    }"""
    turned = 0
    for measured, play in ((m, PLAY), (foreign, "G3-004")):
        ready, rows = measured.game.play(play), measured.rushers[measured.rushers.play == play]
        edges = measured.edges[measured.edges.play == play]
        code = {man.player: i for i, man in enumerate(ready.men)}
        passer = next(man.player for man in ready.men if man.role == "passer")
        left, right, upper, _ = measured.play(play).data["view"]
        with opened(measured.play(play).to_html()) as page:
            scale = page.evaluate("document.querySelector('.se-field').viewBox.baseVal.width") / (right - left)
            for k in range(0, len(ready.time), 4):
                go_to(page, k)
                for edge in edges[edges.time == ready.time[k]].itertuples():
                    drawn = page.evaluate(sample, edge.side)
                    if pd.isna(edge.rusher):
                        assert drawn is None
                        continue
                    his = rows[(rows.time == ready.time[k]) & (rows.rusher == edge.rusher)].iloc[0]
                    rusher, blocker, goal = (ready.place[k][code[who]] for who in (edge.rusher, his.blocker, passer))
                    side = -1 if edge.side == "left" else 1
                    way = se.way_round(rusher, blocker, goal, side, velocity=ready.velocity[k][code[edge.rusher]])
                    at = np.array(drawn) / scale + (left, upper)
                    assert far(at, way.points) < 0.03
                    assert far(way.points, at) < 0.25  # half the distance between two of the sixty points
                    turned += len(way.points) > 2
    assert turned > 30


def far(points, line) -> float:
    """The greatest distance of points from a line of straight pieces."""
    a, b = np.asarray(line)[:-1], np.asarray(line)[1:]
    way = b - a
    long = np.maximum((way**2).sum(axis=1), 1e-18)
    share = np.clip((((points[:, None] - a) * way).sum(axis=2)) / long, 0, 1)
    return float(np.hypot(*(points[:, None] - a - share[..., None] * way).transpose(2, 0, 1)).min(axis=1).max())


# ---------------------------------------------------------------------------------------------- moving in time


def test_slider_keys_and_buttons(m, opened):
    last = int((m.frames.play == PLAY).sum()) - 1
    with opened(m.play(PLAY).to_html()) as page:
        press = page.keyboard.press
        for keys, frame in (
            (["ArrowRight"] * 3, 3),
            (["ArrowLeft"], 2),
            (["End"], last),
            (["ArrowRight"], last),
            (["Home"], 0),
            (["ArrowLeft"], 0),
        ):
            for key in keys:
                press(key)
            assert frame_of(page) == frame
        page.get_by_role("button", name="one frame on").click()
        page.get_by_role("button", name="one frame on").click()
        page.get_by_role("button", name="one frame back").click()
        assert frame_of(page) == 1
        slider = page.get_by_role("slider", name="time")
        slider.focus()
        press("ArrowRight")
        assert frame_of(page) == 2
        slider.fill("7")
        assert frame_of(page) == 7
        assert slider.get_attribute("aria-valuetext") == page.locator(".se-moment strong").inner_text()
        page.get_by_role("button", name="play", exact=True).focus()
        press("Alt+ArrowLeft")  # the browser's own
        assert frame_of(page) == 7
        page.get_by_role("combobox", name="speed").focus()
        press("ArrowRight")
        assert frame_of(page) == 7
        # Everything can be reached by keyboard, and shows that it is.
        page.evaluate("document.activeElement.blur()")
        reached = set()
        for _ in range(20):
            press("Tab")
            style = "getComputedStyle(document.activeElement).outlineStyle"
            if page.evaluate("document.activeElement.matches('button, input, select')"):
                reached.add(page.evaluate("document.activeElement.ariaLabel ?? document.activeElement.textContent"))
                assert page.evaluate(style) == "solid"
        assert reached >= {"dark page", "play", "one frame on", "time", "speed", "snap 0.00 s"}


def test_play_and_pause(m, opened):
    times = m.frames.time[m.frames.play == PLAY].to_numpy()
    with opened(m.play(PLAY).to_html()) as page:
        page.clock.install(time=0)
        page.clock.pause_at(1000)  # stands still from here on but where the test moves it
        page.get_by_role("combobox", name="speed").select_option("0.5")
        page.get_by_role("button", name="play", exact=True).click()
        for _ in range(10):
            page.clock.run_for(100)
        moved = frame_of(page)
        assert times[moved] == pytest.approx(0.5 * 1.0, abs=0.11)
        page.keyboard.press("Escape")
        page.get_by_role("button", name="pause", exact=True).click()
        page.clock.run_for(1000)
        assert frame_of(page) == moved
        page.get_by_role("combobox", name="speed").select_option("2")
        page.evaluate("document.activeElement.blur()")
        page.keyboard.press(" ")
        page.clock.run_for(5000)
        assert frame_of(page) == len(times) - 1
        page.get_by_role("button", name="play", exact=True).click()  # from the start again
        page.clock.run_for(300)
        assert 0 < frame_of(page) < len(times) - 1
        page.keyboard.press("ArrowRight")
        assert page.get_by_role("button", name="play", exact=True).is_visible()


def test_drag_on_the_course(m, opened):
    """To the dashed lines of the moments: the frame nearest to that time."""
    times = m.frames.time[m.frames.play == PLAY].to_numpy()
    with opened(m.play(PLAY).to_html()) as page:
        box = page.locator(".se-course").bounding_box()
        lines = page.locator(".se-course .se-event")
        at = {
            what: (box["x"] + float(lines.nth(k).get_attribute("x1")), when / 100)
            for k, (what, when, _) in enumerate(m.play(PLAY).data["events"])
        }
        page.mouse.move(at["snap"][0], box["y"] + 200)
        page.mouse.down()
        for what in ("throw", "top of the drop", "first contact"):
            page.mouse.move(at[what][0], box["y"] + 300, steps=3)
            assert frame_of(page) == np.abs(times - at[what][1]).argmin()
            cursor = page.evaluate("document.querySelector('.se-cursor').getBoundingClientRect()")
            assert cursor["x"] + cursor["width"] / 2 == pytest.approx(at[what][0], abs=0.06 * box["width"])
        page.mouse.move(box["x"] + box["width"] + 300, box["y"])
        assert frame_of(page) == len(times) - 1
        page.mouse.up()
        page.mouse.move(at["snap"][0], box["y"] + 100)
        assert frame_of(page) == len(times) - 1


def test_jumps_to_the_events(m, reps, opened):
    rows, drop = reps.table[reps.table.play == PLAY], reps.dropbacks[reps.dropbacks.play == PLAY].iloc[0]
    beat = rows[rows.beat_time.notna()].iloc[0]
    position = {man.player: man.slot for man in m.game.play(PLAY).men}[beat.protector]
    wanted = {
        "snap": 0.0,
        "first contact": rows.contact_time.min(),
        f"beat: {position}": beat.beat_time,
        "top of the drop": drop.top_time,
        "throw": drop.throw_time,
    }
    times = m.frames.time[m.frames.play == PLAY].to_numpy()
    with opened(m.play(PLAY, reps=reps).to_html()) as page:
        buttons = page.get_by_role("group", name="jump to").get_by_role("button")
        assert buttons.all_inner_texts() == [
            f"{what} {time:.2f} s" for what, time in sorted(wanted.items(), key=lambda x: x[1])
        ]
        for what, time in wanted.items():
            page.get_by_role("button", name=f"{what} {time:.2f} s").click()
            assert frame_of(page) == np.abs(times - time).argmin()
    row = {"play": [PLAY], "protector": [beat.protector], "rusher": [beat.rusher], "outcome": ["held"]}
    corrected = m.play(PLAY, reps=reps.correct(row)).data["events"]
    assert {what for what, _, _ in corrected} == set(wanted) - {f"beat: {position}"}


def test_what_is_said_to_a_screen_reader(m, opened):
    frame = m.frames[(m.frames.play == PLAY)].iloc[3]
    with opened(m.play(PLAY).to_html()) as page:
        live = page.get_by_role("status")
        assert live.get_attribute("aria-live") == "polite"
        for _ in range(3):
            page.keyboard.press("ArrowRight")
        pocket = f"pocket {frame.pocket_width:.2f} yd wide, {frame.pocket_depth:.2f} yd deep"
        said = f"{frame.time:.2f} s after the snap: {pocket}"
        expect(live).to_contain_text(said)
        assert page.get_by_role("img", name=f"the field, {said}").is_visible()


def test_nothing_is_said_while_it_plays(opened):
    """Nor at a quarter of the speed of a play of 5 frames a second, whose frames stand for 0.8 s."""
    men, people = little(24)
    m = se.measure(taken(written({"one": men}, people, rate=5)))
    with opened(m.play("one").to_html()) as page:
        live = page.get_by_role("status")
        page.get_by_role("combobox", name="speed").select_option("0.25")
        page.get_by_role("button", name="play", exact=True).click()
        page.evaluate("""() => {
          const status = document.querySelector("[role=status]");
          window.told = 0;
          new MutationObserver(() => window.told++).observe(status, { childList: true });
        }""")
        page.wait_for_timeout(2000)
        assert frame_of(page) >= 2
        assert page.evaluate("window.told") == 0
        page.get_by_role("button", name="pause", exact=True).click()
        expect(live).to_contain_text("s after the snap")


# ------------------------------------------------------------------------------------------------------ its look


def luminance(color: str) -> float:
    """Relative luminance of a CSS colour (WCAG 2), which is what is left of it in greyscale."""
    numbers = [float(part) for part in re.findall(r"[\d.]+", color.replace("srgb", ""))][:3]
    if color.startswith("rgb"):
        numbers = [part / 255 for part in numbers]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in numbers]
    return float(np.dot([0.2126, 0.7152, 0.0722], linear))


MIX = """(exposures) => exposures.map((exposure) => {
  const way = document.createElementNS("http://www.w3.org/2000/svg", "path");
  way.setAttribute("class", `se-way ${exposure > 0.5 ? "se-more" : "se-less"}`);
  way.style.setProperty("--se-x", exposure);
  document.querySelector(".se-field").append(way);
  return getComputedStyle(way).stroke;
})"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_light_and_dark(m, opened, scheme):
    other = {"light": "dark", "dark": "light"}[scheme]
    paper = "getComputedStyle(document.body).backgroundColor"
    with opened(m.play(PLAY).to_html(), color_scheme=scheme) as page:
        first = luminance(page.evaluate(paper))
        assert (first > 0.5) == (scheme == "light")
        ramp = [luminance(color) for color in page.evaluate(MIX, np.linspace(0, 1, 21).tolist())]
        ways = np.sign(np.diff(ramp))
        assert set(ways) == {-1.0 if scheme == "light" else 1.0}, "exposure is not told by lightness alone"
        page.get_by_role("button", name=f"{other} page").click()
        assert (luminance(page.evaluate(paper)) > 0.5) == (other == "light")
        page.get_by_role("button", name=f"{scheme} page").click()
        assert luminance(page.evaluate(paper)) == first


@pytest.mark.parametrize(
    ("scheme", "width"), [pytest.param("light", 1240, marks=pytest.mark.full), ("dark", 1240), ("light", 400)]
)
def test_no_serious_accessibility_violation(m, opened, scheme, width):
    with opened(m.play(PLAY).to_html(), color_scheme=scheme, width=width) as page:
        for frame in (0, 26):
            go_to(page, frame)
            assert browser.violations(page) == []


@pytest.mark.parametrize("width", [320, 400, 820, 1240])
def test_no_page_is_wider_than_its_window(m, opened, width):
    with opened(m.play(PLAY).to_html(), width=width) as page:
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        field, course = (page.locator(name).bounding_box() for name in (".se-field", ".se-course"))
        beside = course["x"] > field["x"] + field["width"] - 1
        assert beside == (width > 800)


def test_cautions_and_detached_men_are_said(m, opened):
    play = next(one for one in m.game.measured() if any(who for _, who in m.play(one).data["detached"]))
    frame, ((who, end), *_) = next(one for one in m.play(play).data["detached"] if one[1])
    men = m.play(play).data["men"]
    row = m.frames[m.frames.play == play].iloc[frame]
    place = m.game.play(play).place[frame]
    at = {man.player: place[i] for i, man in enumerate(m.game.play(play).men)}
    by_label = {label: player for player, (label, _) in names(m, play).items()}
    assert by_label[men[end][0]] in (row.wall_left, row.wall_right)
    assert abs(at[by_label[men[who][0]]][0] - at[by_label[men[end][0]]][0]) > m.rules.detach
    with opened(m.play(play).to_html()) as page:
        go_to(page, frame)
        assert page.locator(".se-note").inner_text() == f"{men[who][0]} detached: width set by {men[end][0]}"
        text = page.locator("body").inner_text()
        assert "Geometry only: sees no hands, calls or assignments." in text
        assert "Exposure is not a threat or a probability." in text
        assert "Width jumps when a man is detached" in text


def test_less_motion_is_kept_to(m, opened):
    for motion, speed in (("reduce", "0.25"), ("no-preference", "1")):
        with opened(m.play(PLAY).to_html(), reduced_motion=motion) as page:
            assert page.get_by_role("combobox", name="speed").input_value() == speed
            page.wait_for_timeout(300)
            assert frame_of(page) == 0
            assert page.evaluate("document.getAnimations().length") == 0


# ---------------------------------------------------------------------------------------------- odd plays, names


def little(frames: int = 12, rush: bool = True, **more):
    """A made play at 10 Hz: five linemen, a passer, two rushers."""
    drop = np.stack([np.zeros(frames), np.minimum(1 + 0.7 * np.arange(frames), 7)], axis=1)
    men = {"Q": drop, **{name: np.array(at) for name, at in LINE.items()}}
    people = {"Q": ("offense", "QB", None), **{name: ("offense", name, None) for name in LINE}}
    if rush:
        for name, u in (("E1", 4.5), ("E2", -4.5)):
            men[name] = np.stack([np.full(frames, u), -1 + 0.5 * np.arange(frames)], axis=1)
            people[name] = ("defense", "DE", None)
    men.update(more)
    return men, people


@pytest.mark.parametrize("case", ["one frame", "passer gone", "no rusher", "man gone"])
def test_odd_plays(opened, case):
    men, people = little(24, case != "no rusher")
    if case == "passer gone":
        men["Q"][4:12] = np.nan
    if case == "man gone":
        men["LT"] = np.where(np.arange(24)[:, None] > 9, np.nan, np.array(LINE["LT"]))
        men["E2"][5:] = np.nan
    tracks, snaps, who = written({"one": men}, people)
    if case == "one frame":
        snaps["end_time"] = 0.0
    m = se.measure(taken((tracks, snaps, who)))
    assert (len(m.frames) == 1) == (case == "one frame")
    with opened(m.play("one").to_html()) as page:
        for k, frame in enumerate(m.frames.itertuples()):
            go_to(page, k)
            look = page.evaluate(LOOK)
            assert look["moment"].startswith(f"{frame.time:.2f} s after the snap no throw")
            assert look["moment"].endswith("throw" if frame.status == "ok" else f"pocket {frame.status}")
            assert look["pocket"]["nearest rusher"] == [shown(frame.nearest_rusher, "yd")]
            assert look["pocket"]["pocket width"] == [shown(frame.pocket_width, "yd")]
            assert "NaN" not in page.content().split("</style>")[1].split("<script")[0]
            assert "undefined" not in page.locator("body").inner_text()
    wanted = {"one frame": {"ok"}, "passer gone": {"ok", "missing"}, "no rusher": {"ok"}, "man gone": {"ok"}}[case]
    assert set(m.frames.status) == wanted


def test_a_throw_after_the_last_frame_is_told(opened):
    men, people = little(12)
    tracks, snaps, who = written({"one": men}, people)
    m = se.measure(taken((tracks, snaps.assign(throw_time=1.5), who)))
    assert m.game.play("one").time[-1] == pytest.approx(1.1)
    with opened(m.play("one").to_html()) as page:
        go_to(page, 11)
        assert "0.40 s before the throw" in page.evaluate(LOOK)["moment"]
        assert "throw" not in page.get_by_role("group", name="jump to").inner_text()  # there is no frame to jump to


HOSTILE = [
    "<img src=x onerror=alert(1)>",
    "</script><script>alert(2)</script>",
    "<!--<script>",
    "\"'>&lt;b&gt;&amp;",
    "\u202eright to left \u05e9\u05dc\u05d5\u05dd",
    "\u0645\u062d\u0645\u062f",
    "${alert(3)}`",
    "]]>\u2028\u2029",
    "<svg onload=alert(4)>",
]


def hostile():
    men, _ = little()
    players = {old: f"{HOSTILE[k % len(HOSTILE)]} {k}" for k, old in enumerate(men)}
    position = {**{name: name for name in LINE}, "Q": "QB", "E1": "<b>DE</b>", "E2": "<i>DT</i>"}
    people = {players[old]: ("defense" if old[0] == "E" else "offense", position[old], None) for old in men}
    tracks, snaps, who = written({HOSTILE[1]: {players[old]: path for old, path in men.items()}}, people)
    who["name"] = [HOSTILE[(k + 3) % len(HOSTILE)] for k in range(len(who))]
    game = se.from_tables(tracks, snaps, who, units="yd", origin="corner", y="up", orientation="trust", name=HOSTILE[0])
    return se.measure(game), who


def test_names_are_text(opened):
    m, who = hostile()
    text = m.play(HOSTILE[1]).to_html()
    assert text.count("<script") == 2  # the data, and the module
    with opened(text) as page:
        assert page.title() == " ".join(f"Play {HOSTILE[1]}".split())
        assert page.locator("h1").text_content() == f"Play {HOSTILE[1]}"
        assert page.locator(".se-head p").text_content() == HOSTILE[0]
        go_to(page, 8)
        assert page.locator("img, iframe, b:has(*), [onerror], [onload], main script").count() == 0
        said = page.evaluate(LOOK)
        name_of = dict(zip(who.player, who.name, strict=True))
        edges = m.edges[m.edges.time == 0.8].sort_values("side")
        for shown_name, man in zip(said["edges"]["edge set by"], edges.edge_man, strict=True):
            assert re.sub("[\u2068\u2069]", "", shown_name).endswith(name_of[man])
        whole = {re.sub("[\u2068\u2069]", "", name) for name in said["rushers"]}
        rushers = set(m.rushers.rusher)
        assert rushers
        assert all(any(name.endswith(name_of[one]) for name in whole) for one in rushers)
        # What is written the other way round does not turn what stands beside it.
        assert [cell for cell in said["edges"]["edge set by"] + list(said["rushers"]) if "\u202e" in cell] == [
            cell
            for cell in said["edges"]["edge set by"] + list(said["rushers"])
            if re.search("\u2068.*\u202e.*\u2069", cell)
        ]


def test_nothing_else_runs_in_the_page(m, chromium, tmp_path):
    """The policy of the page, against what slips in: a script, a handler, a style, a picture, a request."""
    file = tmp_path / "page.html"
    m.play(PLAY).to_html(file)
    for other in ("other.png", "other.json"):
        (tmp_path / other).write_text("{}")
    page = chromium.new_page()
    came: list[str] = []
    page.on("requestfinished", lambda request: came.append(request.url))
    page.goto(file.as_uri())
    page.evaluate("""() => {
      const script = document.createElement("script");
      script.textContent = "window.ran = 1";
      document.body.append(script);
      document.body.insertAdjacentHTML("beforeend", `<img src="other.png" onerror="window.ran = 2">
        <p id="styled" style="color: rgb(1, 2, 3)">x</p>`);
    }""")
    refused = page.evaluate("fetch('other.json').then(() => 'came', () => 'refused')")
    page.wait_for_timeout(200)
    assert page.evaluate("window.ran") is None
    assert refused == "refused"
    assert page.evaluate("getComputedStyle(styled).color") != "rgb(1, 2, 3)"
    assert came == [file.as_uri()]
    page.close()


# ------------------------------------------------------------------------------------------ where it is shown


def test_in_a_notebook(opened):
    """As a notebook shows it: in a sandboxed frame, with nothing behind it. Names as hostile as above."""
    m, _ = hostile()
    shown_by = m.play(HOSTILE[1])._repr_html_()
    with opened(f"<!DOCTYPE html><title>notebook</title><h1>cells</h1>{shown_by}") as page:
        outer = page.locator("iframe")
        assert page.locator("body > *").count() == 2
        assert outer.get_attribute("sandbox") == "allow-scripts"
        frame = page.frame_locator("iframe")
        assert frame.locator("h1").text_content() == f"Play {HOSTILE[1]}"
        frame.get_by_role("button", name="one frame back").focus()
        page.keyboard.press("Home")
        frame.get_by_role("button", name="one frame on").click()
        page.keyboard.press("ArrowRight")
        assert frame.locator("input[type=range]").input_value() == "2"
        time = m.frames.time.iloc[2]
        assert frame.locator(".se-moment strong").inner_text() == f"{time:.2f} s after the snap"
        inner = page.frames[1]
        assert (
            inner.evaluate("(() => { try { return parent.document.title; } catch { return 'refused'; } })()")
            == "refused"
        )


def test_several_plays_in_a_page(m, opened):
    plays = m.game.measured()[:3]
    body = "<h1>three</h1><button data-se-theme></button>" + "".join(
        f"<details><summary>{play}</summary>{player.block(m, play)}</details>" for play in plays
    )
    text = player.page("three", f"<main>{body}</main>", scripts=[player.script()], styles=[player.style()])
    assert text.count("export function mount(") == 1
    with opened(text) as page:
        assert page.locator(".se-field").count() == 0
        for play in plays[:2]:
            page.get_by_text(play, exact=True).click()
        page.locator(".se-field").nth(1).wait_for()
        assert page.locator(".se-field").count() == 2
        sliders = page.locator("input[type=range]")
        first, second = (int(sliders.nth(k).input_value()) for k in (0, 1))
        assert [first, second] == [m.play(play).data["at"] for play in plays[:2]]
        page.keyboard.press("ArrowLeft")
        assert [int(sliders.nth(k).input_value()) for k in (0, 1)] == [first, second]
        page.get_by_role("group", name=f"play {plays[1]}").get_by_role("button", name="one frame back").focus()
        page.keyboard.press("ArrowLeft")
        assert [int(sliders.nth(k).input_value()) for k in (0, 1)] == [first, second - 1]
        width = page.locator(".se-field").first.bounding_box()["width"]
        assert width > 400
        assert browser.violations(page) == []


def test_sizes(m, foreign):
    """A page with one play, module, style and data of every rep in it: about 70 KB at 10 Hz, under 120 KB at 25 Hz
    (project aim)."""
    for measured, most in ((m, 75_000), (foreign, 120_000)):
        sizes = [len(measured.play(play).to_html().encode()) for play in measured.game.measured()[::6]]
        assert max(sizes) < most, sizes


def test_data_is_strict_json(m):
    for play in m.game.measured()[::10]:
        text = player.as_json(m.play(play).data)
        assert json.loads(text) == m.play(play).data
        assert "<" not in text


def test_files_and_errors(m, reps, foreign, tmp_path, capsys):
    made = m.play(PLAY)
    assert made.to_html(tmp_path / "p.html") == (tmp_path / "p.html").read_text(encoding="utf-8") == made.to_html()
    with pytest.raises(se.InputError, match="no play"):
        m.play("no such play")
    with pytest.raises(se.InputError, match="do not belong"):
        m.play(PLAY, reps=se.reps(foreign.game))
    game = tmp_path / "game.h5"
    m.game.save(game)
    out = tmp_path / "play.HTML"
    assert main(["show", str(game), PLAY, "-o", str(out)]) == 0
    assert capsys.readouterr().out == f"page in {out}\n"
    assert out.read_text(encoding="utf-8") == made.to_html()
    assert main(["show", str(game), PLAY, "--timeline", "-o", str(out)]) == 2
    assert "accepted with --at, --timeline and --moments: .svg, .png, .pdf" in capsys.readouterr().err


def test_results_from_a_folder_play_too(m, tmp_path):
    m.save(tmp_path / "results")
    again = se.read(tmp_path / "results").attach(m.game)
    assert again.play(BROKEN).data == m.play(BROKEN).data
