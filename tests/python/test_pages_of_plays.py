"""Every page of many plays, in a real browser: no text contradicts its table, no two labels overlap and none hides a
figure at three widths, every lost rep opens at its beat with both men drawn, and what is marked comes back.

Three plays and six of a man's reps usually; forty, and all of them, with --full.
"""

import csv
import io
import itertools
import math
import os
import re

import numpy as np
import pandas as pd
import pytest

import browser
import shortedge as se
import truth
from shortedge.pages import player
from shortedge.tell import moment
from shortedge.tell.called import called_in
from shortedge.tell.scene import Scene

WIDTHS = (390, 768, 1400)
LOST = ("beat", "driven", "free")
FULL = os.environ.get("SHORTEDGE_FULL") == "1"
MANY = 40 if FULL else 2


@pytest.fixture(scope="module")
def chromium():
    with browser.chromium() as running:
        yield running


@pytest.fixture(scope="module")
def games():
    """The demo game, the foreign one, and one with two men of every position, without numbers, of long names."""
    found = []
    for game in (se.example(), truth.foreign().game(), long_names()):
        m = se.measure(game)
        found.append((m, se.reps(game, m)))
    return found


def long_names():
    game = se.example()
    tracks, plays, people = tables_of(game)
    new = {
        old: f"Bartholomew Featherstonehaugh-{unit[0]}{n:02d} the {'Younger' if n % 2 else 'Elder'}"
        for n, (old, unit) in enumerate(zip(people.player, people.unit, strict=True))
    }
    people["position"] = people.position.replace({"RG": "G", "LG": "G", "LT": "T", "RT": "T"})
    people["name"] = people.player.map(new)
    kept = plays.play[plays.play.isin([f"P{n:03d}" for n in (2, 12, 33, 60)])]
    parts = (tracks[tracks.play.isin(kept)], plays[plays.play.isin(kept)], people.drop(columns=["number", "team"]))
    renamed = [part.replace({"player": new}) for part in parts]
    return se.from_tables(*renamed, units="yd", origin="corner", y="up", name="long names (invented)")


def tables_of(game):
    core = game.core
    tracks = pd.DataFrame({name: core.tracks[name] for name in ("time", "x", "y")})
    tracks["play"] = np.array(core.plays, object)[core.tracks["play"]]
    tracks["player"] = np.array(core.players, object)[core.tracks["player"]]
    return tracks, game.plays.copy(), game.people.copy()


def chosen(games):
    """Plays to look at: those with lost reps first, of every game some."""
    for (m, reps), share in zip(games, (0.5, 0.4, 0.1), strict=True):
        table = reps.table
        lost = table[table.outcome.isin(LOST)].play.drop_duplicates().tolist()
        plays = lost + [play for play in m.game.measured() if play not in lost]
        for play in plays[: max(1, round(share * MANY))]:
            yield m, reps, play


# By one look: texts and men with their boxes (px), the moment, the two men's table and the sentence. A text's box is
# its letters' height, not its line's.
LOOK = """(root) => {
  const boxes = (svg) => {
    const out = { texts: [], men: [] };
    const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    for (const text of svg.querySelectorAll("text")) {
      const box = text.getBoundingClientRect(), size = parseFloat(getComputedStyle(text).fontSize) * scale;
      if (!text.textContent.trim() || !box.width) continue;
      const middle = (box.top + box.bottom) / 2;
      out.texts.push([text.textContent, box.left, middle - 0.36 * size, box.right, middle + 0.36 * size,
        text.closest("[data-man]")?.dataset.man ?? null]);
    }
    for (const man of svg.querySelectorAll("[data-man]")) {
      const mark = man.querySelector("circle:not(.se-sets), rect, path").getBoundingClientRect();
      out.men.push([man.dataset.man, mark.left, mark.top, mark.right, mark.bottom, man.classList.contains("se-idle")]);
    }
    return out;
  };
  const of = (name) => Object.fromEntries([...root.querySelectorAll(`.se-${name} tbody tr`)].map(
    (row) => [row.firstChild.textContent, [...row.children].slice(1).map((cell) => cell.textContent)]));
  const shown = [...root.querySelectorAll("svg")].filter((svg) => svg.getBoundingClientRect().width);
  return { svgs: shown.map((svg) => [svg.getAttribute("class"), boxes(svg)]),
    says: root.querySelector(".se-says").textContent, moment: root.querySelector(".se-moment strong").textContent,
    frame: Number(root.querySelector("input[type=range]").value),
    two: of("two"), picks: [...root.querySelectorAll(".se-who button")].map((one) => one.textContent),
    ways: [...root.querySelectorAll(".se-field [data-way]")].map((one) => one.dataset.way),
    wide: document.documentElement.scrollWidth };
}"""


def overlap(a, b, by: float = 1.0) -> bool:
    """Whether two boxes share more than `by` px both ways."""
    return min(a[3], b[3]) - max(a[1], b[1]) > by and min(a[4], b[4]) - max(a[2], b[2]) > by


def check_labels(look, where: str) -> int:
    seen = 0
    for name, boxes in look["svgs"]:
        for a, b in itertools.combinations(boxes["texts"], 2):
            assert not overlap(a, b), (where, name, a, b)
        if "se-course" in name:
            continue
        for text in boxes["texts"]:
            for man in boxes["men"]:
                assert text[5] == man[0] or not overlap(text, man, 1.5), (where, name, text, man)
        seen += len(boxes["texts"])
    return seen


def figure(value: float, unit: str = "") -> str:
    return "—" if math.isnan(value) else f"{value:.2f} {unit}".strip().replace("-0.00", "0.00")


def check_rep(look, m, reps, row, label) -> None:
    """The rep that is shown: its sentence, its moment, both men drawn in full, and its table against the tables'."""
    assert look["says"] == re.sub("[\u2068\u2069]", "", look["says"]) == reps.words(row)
    times = m.frames.time[m.frames.play == row["play"]].to_numpy()
    time = times[look["frame"]]
    wanted = moment.of_rep(m, row)[1]
    assert abs(time - wanted) <= np.abs(times - wanted).min() + 1e-9
    assert look["moment"] == f"{time:.2f} s after the snap"
    if row["outcome"] == "beat":
        assert abs(time - row["beat_time"]) < 0.06
    men = {name: row[name] for name in ("protector", "rusher") if isinstance(row[name], str)}
    field = next(boxes for name, boxes in look["svgs"] if "se-field" in name)
    drawn = {man[0] for man in field["men"] if not man[5]}
    assert set(men.values()) <= drawn, (row["play"], men, drawn)
    texts = {text[0]: text[5] for text in field["texts"]}
    for name in men.values():
        assert texts.get(label[name]) == name or list(texts).count(label[name]), (row["play"], name, texts)
    his = m.rushers[(m.rushers.play == row["play"]) & (m.rushers.time == time) & (m.rushers.rusher == row["rusher"])]
    two = {title: cells[0] for title, cells in look["two"].items()}
    if his.empty or his.iloc[0].blocker != row["protector"]:
        assert two["apart"] == "—"
        return
    one = his.iloc[0]
    engaged = "engaged" if one.engaged else "not engaged"
    assert two["apart"] == f"{one.blocker_range:.2f} yd, {engaged}"
    assert two["exposure outside"] == figure(one.outside_exposure)
    assert two["exposure inside"] == figure(one.inside_exposure)
    assert two["corner held"] == figure(one.corner_held, "yd")
    shown = figure(one.short_edge, "yd") if one.outside_exposure >= 0.2 else "exposure under 0.2"
    assert two["short edge"] == ("—" if math.isnan(one.short_edge) else shown)
    assert two["rusher to passer"] == figure(one.distance, "yd")
    stands = Scene(m, row["play"]).stands(look["frame"], row["rusher"])
    assert (
        set(look["ways"]) == {f"rep {which}" for which, way in stands.ways.items() if not math.isnan(way[0])} != set()
    )


def test_every_page_of_many_plays(games, chromium, tmp_path):
    """Each play's page at the moment it opens at, and each of its lost reps, at three widths."""
    labels = lost = 0
    for m, reps, play in chosen(games):
        ready, table = m.game.play(play), reps.table
        rows = table[table.play == play].to_dict("records")
        label = {man.player: one.label for man, one in zip(ready.men, called_in(m.game, ready), strict=True)}
        with browser.opened(chromium, m.play(play, reps=reps).to_html(), tmp_path) as page:
            root = page.locator(".se-player")
            first = root.evaluate(LOOK)
            assert first["frame"] == np.abs(ready.time - moment.of_play(m, rows)[1]).argmin()
            assert sorted(first["picks"]) == sorted([*(reps.words(row) for row in rows), "the whole play"])
            for width in WIDTHS:
                page.set_viewport_size({"width": width, "height": 1000})
                page.wait_for_timeout(120)
                page.get_by_role("button", name="the whole play").click()
                look = root.evaluate(LOOK)
                assert look["wide"] <= width
                labels += check_labels(look, f"{play} at {width}")
                for k, row in enumerate(rows):
                    if row["outcome"] not in LOST or [one["outcome"] for one in rows].index(row["outcome"]) != k:
                        continue
                    lost += 1
                    root.locator(".se-who button", has_text=reps.words(row)).first.click()
                    look = root.evaluate(LOOK)
                    assert look["wide"] <= width
                    labels += check_labels(look, f"{play} {reps.words(row)} at {width}")
                    check_rep(look, m, reps, row, label)
    assert lost >= MANY
    assert labels > 100 * MANY


def test_labels_tell_two_men_apart(games):
    """No two of a unit share one, and none is longer than it may be."""
    for m, _ in games:
        for play in m.game.measured():
            ready = m.game.play(play)
            for unit in ("offense", "defense"):
                found = [
                    one.label for man, one in zip(ready.men, called_in(m.game, ready), strict=True) if man.unit == unit
                ]
                assert len(set(found)) == len(found), (play, found)
                assert max(map(len, found)) <= 10


@pytest.mark.parametrize("width", [390, *(pytest.param(width, marks=pytest.mark.full) for width in WIDTHS[1:])])
def test_every_lost_rep_of_a_mans_page_opens(games, chromium, tmp_path, width):
    """The list first; then each at its moment with its two men, pressures first, inside beats among the outside ones;
    and nothing that axe finds."""
    m, reps = games[0]
    player_id = "TK-74"
    se.player_page(m.game, player_id, tmp_path / "man.html")
    text = (tmp_path / "man.html").read_text(encoding="utf-8")
    mine = reps.table[(reps.table.protector == player_id) & reps.table.outcome.isin(LOST)]
    exposed = mine[["peak_outside", "peak_inside"]].fillna(0).max(axis=1)
    order = mine.assign(exposed=exposed).sort_values(["pressure", "exposed"], ascending=False, kind="stable")
    assert {"outside", "inside"} <= set(order.beat_side.dropna())
    with browser.opened(chromium, text, tmp_path, width=width) as page:
        assert page.locator("details[open]").count() == 0
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        opened = page.locator("#lost details")
        assert opened.count() == len(order)
        for k, row in enumerate(order.to_dict("records")[: None if FULL else 3]):
            one = opened.nth(k)
            assert one.locator(".rp-who").inner_text() == reps.words(row)
            one.locator("summary").click()
            one.locator(".se-field").wait_for()
            ready = m.game.play(row["play"])
            label = {man.player: name.label for man, name in zip(ready.men, called_in(m.game, ready), strict=True)}
            look = one.locator(".se-player").evaluate(LOOK)
            check_labels(look, f"{row['play']} at {width}")
            check_rep(look, m, reps, row, label)
        assert browser.violations(page) == []
        folded = page.locator("#seen details")
        for k in range(folded.count()):
            folded.nth(k).locator("summary").click()
        page.wait_for_timeout(200)
        hidden = page.evaluate("""() => [...document.querySelectorAll(".rp-wide")].map((one) => [
          one.scrollWidth > one.clientWidth + 1,
          one.querySelector("caption").textContent.includes("scroll sideways"),
          (() => { const all = document.createRange();
            all.selectNodeContents(one.querySelector("caption"));
            return all.getBoundingClientRect().right <= one.getBoundingClientRect().right + 1; })()])""")
        assert all(scrolls == says for scrolls, says, _ in hidden)
        assert any(scrolls for scrolls, _, _ in hidden) == (width < 1000)
        assert all(seen for _, _, seen in hidden)  # without scrolling


# ------------------------------------------------------------------------------------------------------ the marks


def marked(page) -> str:
    """The table of corrections that the page writes."""
    with page.expect_download() as told:
        page.get_by_role("button", name="save my marks as a file").first.click()
    return told.value.path().read_text(encoding="utf-8")


def counts(page, row: str) -> list[int]:
    cells = page.locator("#marks table tr", has=page.get_by_role("rowheader", name=row, exact=True)).locator("td")
    return [int(text) for text in cells.all_inner_texts()]


def test_marks_come_back_as_corrections(games, chromium, tmp_path):
    """Four reps marked by hand in the page: counts on it, the file it writes, and what the library makes of it."""
    m, reps = games[0]
    man, other = "TK-74", "TK-66"
    his = reps.table[reps.table.protector == man]
    beat, held = his[his.outcome == "beat"], his[his.outcome == "held"]
    se.player_page(m.game, man, tmp_path / "man.html")
    text = (tmp_path / "man.html").read_text(encoding="utf-8")

    def open_rep(page, row):
        one = page.locator(f'details[data-play="{row.play}"]', has_text=reps.words(row)).first
        one.locator("summary").click()
        one.locator(".se-mine").wait_for()
        return one

    with browser.opened(chromium, text, tmp_path, accept_downloads=True) as page:
        assert counts(page, "as measured") == counts(page, "as marked")
        assert counts(page, "as measured")[:4] == [len(his[his.outcome.isin(["held", "beat", "driven"])])] + [
            int((his.outcome == name).sum()) for name in ("held", "beat", "driven")
        ]
        one = open_rep(page, beat.iloc[0])
        one.get_by_label("how it ended").select_option(label="held")
        one.get_by_label("note").fill('he slipped, "late" hands')
        one.get_by_label("note").blur()
        one = open_rep(page, held.iloc[0])
        one.get_by_role("button", name="this moment").is_disabled()
        one.get_by_label("how it ended").select_option(label="lost")
        one.locator("input[type=range]").fill("12")
        one.get_by_role("button", name="this moment").click()
        one = open_rep(page, held.iloc[1])
        one.get_by_label("how it ended").select_option(label="no rep")
        one = open_rep(page, held.iloc[2])
        whose = one.get_by_label("whose man")
        assert whose.locator("option[hidden]").evaluate_all("all => all.map((one) => one.value)") == [man]
        whose.select_option(other)
        one.get_by_label("help", exact=True).select_option(label="yes")
        judged, *rest = counts(page, "as measured")
        assert counts(page, "with your marks")[:4] == [judged - 2, rest[0] - 2, rest[1], rest[2]]
        assert "your mark: held, he slipped" in page.locator(".rp-mark").filter(has_text="slipped").inner_text()
        page.reload()  # the page's own storage has them
        assert counts(page, "with your marks")[:4] == [judged - 2, rest[0] - 2, rest[1], rest[2]]
        table = marked(page)
    rows = list(csv.DictReader(io.StringIO(table)))
    assert len(rows) == 4
    assert {row["game"] for row in rows} == {m.game.name}
    (tmp_path / "marks.csv").write_text(table, encoding="utf-8")
    new = reps.correct(tmp_path / "marks.csv")
    now = new.table[new.table.protector == man]
    assert [int((now.outcome == name).sum()) for name in ("held", "beat", "driven")] == [rest[0] - 2, rest[1], rest[2]]
    assert len(new.table) == len(reps.table) - 1
    given = new.table[(new.table.play == held.iloc[2].play) & (new.table.rusher == held.iloc[2].rusher)]
    assert other in given.protector.tolist()
    assert given[given.protector == other].helped.all()
    late = new.table[(new.table.play == held.iloc[0].play) & (new.table.protector == man)]
    time = m.frames.time[m.frames.play == held.iloc[0].play].to_numpy()[12]
    assert (late.outcome.tolist(), late.beat_time.tolist()) == (["beat"], [pytest.approx(time, abs=0.0051)])
    both = new.summary("protector").set_index("protector").loc[man]
    assert (both.held, both.held_measured, both.beat, both.beat_measured) == (rest[0] - 2, rest[0], rest[1], rest[1])
    assert len(reps.summary("protector")) == len(new.summary("protector"))
    # What was marked stands on the page that is made of it, and is written out again.
    se.player_page(m.game, man, tmp_path / "again.html", reps=new)
    again = (tmp_path / "again.html").read_text(encoding="utf-8")
    with browser.opened(chromium, again, tmp_path, accept_downloads=True) as page:
        page.evaluate("localStorage.clear()")
        page.reload()
        assert counts(page, "as measured")[:4] == [judged, *rest[:3]]
        assert counts(page, "as marked")[:4] == [judged - 2, rest[0] - 2, rest[1], rest[2]]
        assert 'he slipped, "late" hands' in page.locator("#others").inner_text()
        written = list(csv.DictReader(io.StringIO(marked(page))))
        for row in (*written, *rows):
            row["beat_time"] = row["beat_time"] and f"{float(row['beat_time']):.2f}"
        assert sorted(map(str, written)) == sorted(map(str, rows))


def test_a_page_without_storage_says_so(games, chromium, tmp_path):
    """In a sandboxed frame there is none: marks hold while the page is open, and it says that it keeps none."""
    m, reps = games[0]
    shown = m.play("P002", reps=reps)._repr_html_()
    with browser.opened(chromium, f"<!DOCTYPE html><title>notebook</title><h1>cells</h1>{shown}", tmp_path) as page:
        frame = page.frame_locator("iframe")
        frame.locator(".se-who button").first.click()
        frame.get_by_label("how it ended").select_option("held")
        assert "may keep nothing" in frame.locator(".se-state").inner_text()


def test_the_sheet_is_one_side_of_paper(games, chromium, tmp_path):
    """A4 and Letter: the first page ends before the lost reps begin, with three splits and six moments on it; and of
    the sheet alone there is one page."""
    m, _ = games[0]
    se.player_page(m.game, "TK-74", tmp_path / "man.html")
    for paper in ("A4", "Letter"):
        page = chromium.new_page()
        page.goto((tmp_path / "man.html").as_uri())
        assert page.locator("#short .rp-six li").count() == 6
        assert page.locator("#short .rp-three table").count() == 3
        films = page.locator("#short .rp-six li b").all_inner_texts()
        assert all(re.search(r"\d+:\d\d\.\d$", text) for text in films)
        whole = pages_of(page.pdf(format=paper))
        page.evaluate("document.documentElement.dataset.print = 'sheet'")
        assert pages_of(page.pdf(format=paper)) == 1
        assert whole > 3
        page.close()


def pages_of(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


def test_the_link_to_move_the_men(games, chromium, tmp_path):
    """A page given a board links to it with where everybody stands in the frame that is shown."""
    m, reps = games[0]
    body = f"<h1>x</h1><main>{player.block(m, 'P002', reps, board='board.html')}</main>"
    text = player.page("x", body, scripts=[player.script()], styles=[player.style()])
    with browser.opened(chromium, text, tmp_path) as page:
        page.keyboard.press("Home")
        link = page.get_by_role("link", name="move the men")
        said = page.evaluate("(one) => JSON.parse(decodeURIComponent(one.hash.slice(7)))", link.element_handle())
        assert link.get_attribute("href").startswith("board.html#frame=")
    ready = m.game.play("P002")
    where = {man.player: ready.place[0][i] for i, man in enumerate(ready.men)}
    assert (said["play"], said["time"]) == ("P002", pytest.approx(ready.time[0], abs=0.005))
    for man in said["men"]:
        assert (man["u"], man["v"]) == pytest.approx(tuple(where[man["id"]]), abs=0.0051)
    assert {man["id"] for man in said["men"] if man["role"] == "passer"} == {"TK-8"} or said["men"]
