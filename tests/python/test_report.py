"""The pages to mail: their numbers are the tables', they run nothing but their own, and names are text in them."""

import html
import json
import math
import os
import pty
import re
import subprocess
import sys
from html.parser import HTMLParser
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binomtest

import browser
import shortedge as se
from shortedge.cli import main
from shortedge.pages import charts
from test_pictures import ODD

WITHOUT = ["screen", "moved pocket"]


class Page(HTMLParser):
    """Texts by section, tables as data frames of texts with their sort keys, and what could load or run anything."""

    EMPTY = ("meta", "link", "br", "img", "input")

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[tuple[str, dict[str, str | None]]] = []
        self.lines: list[str] = []
        self.tables: dict[str, pd.DataFrame] = {}
        self.keys: dict[str, list[list[str | None]]] = {}
        self.watched: list[dict[str, str | None]] = []
        self.data: list[dict] = []
        self.named: dict[str | None, dict] = {}
        self.rows: list[list[str]] = []
        self.sorts: list[list[str | None]] = []
        self.caption = ""
        self.feed(text)
        self.close()
        assert not self.open, [tag for tag, _ in self.open]

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.tags.append((tag, given))
        if tag not in self.EMPTY:
            self.open.append((tag, given))
        if tag == "table":
            self.rows, self.sorts = [], []
        elif tag == "tr":
            self.rows.append([])
            self.sorts.append([])
        elif tag in ("td", "th"):
            self.rows[-1].append("")
            self.sorts[-1].append(given.get("data-v"))
        elif tag == "li":
            self.lines.append("")
        elif tag == "caption":
            self.caption = ""
        elif tag == "details" and given.get("class") == "rp-watch":
            self.watched.append({**given, "text": ""})

    def handle_endtag(self, tag):
        if tag in self.EMPTY:
            return
        was, _ = self.open.pop()
        assert was == tag, (was, tag)
        if tag == "table":
            assert self.caption not in self.tables
            self.tables[self.caption] = pd.DataFrame(self.rows[1:], columns=self.rows[0])
            self.keys[self.caption] = self.sorts[1:]

    def handle_data(self, data):
        inside = [tag for tag, _ in self.open]
        if inside and inside[-1] == "script":
            if self.open[-1][1].get("type") == "application/json" and self.open[-1][1].get("class") != "rp-rows":
                given, name = json.loads(data), self.open[-1][1].get("id")
                self.named[name] = given
                self.data.append(self.named[given["of"]] | given if "of" in given else given)
            return
        if "caption" in inside:
            self.caption += data
        elif "td" in inside or "th" in inside:
            self.rows[-1][-1] += data
        elif "li" in inside:
            self.lines[-1] += data
        elif ("details", "rp-watch") in [(tag, one.get("class")) for tag, one in self.open] and "summary" in inside:
            self.watched[-1]["text"] += data


@pytest.fixture(scope="module")
def chromium():
    with browser.chromium() as running:
        yield running


@pytest.fixture(scope="module")
def game():
    return se.example()


@pytest.fixture(scope="module")
def m(game):
    return se.measure(game)


@pytest.fixture(scope="module")
def reps(m):
    return se.reps(m.game, m)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("pages")


@pytest.fixture(scope="module")
def report(game, m, reps, folder) -> str:
    out = folder / "report.html"
    se.report(game, out, m=m, reps=reps, without_label=WITHOUT)
    return out.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def season(game, folder) -> list[se.Game]:
    """The demo game twice, the second time without its first half, under another name."""
    core = game.core
    tracks = pd.DataFrame({name: core.tracks[name] for name in ("time", "x", "y")})
    tracks["play"] = np.array(core.plays, object)[core.tracks["play"]]
    tracks["player"] = np.array(core.players, object)[core.tracks["player"]]
    later = game.plays[game.plays.play >= "P031"]
    tables = (tracks[tracks.play.isin(later.play)], later, game.people[["player", "unit", "position", "name"]])
    return [game, se.from_tables(*tables, units="yd", origin="corner", y="up", name="second half (invented)")]


@pytest.fixture(scope="module")
def guard(season, folder) -> str:
    out = folder / "guard.html"
    se.player_page(season, "TK-63", out, without_label=WITHOUT)
    return out.read_text(encoding="utf-8")


def numbers(text: str) -> list[float]:
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)]


# --------------------------------------------------------------------------------------------- the same figures


def test_players_tables_are_the_summaries(report, reps):
    page = Page(report)
    for caption, by in (("Protectors", "protector"), ("Rushers: what became of the men against them", "rusher")):
        shown = page.tables[caption].set_index("player")
        summary = reps.summary(by, without_label=WITHOUT).dropna(subset=by).set_index(by)
        assert shown.index.tolist() == summary.index.tolist()
        names = {"beaten": "beat", "driven back": "driven", "ball out": "ball_out"} | (
            {"helped": "help", "had nobody": "uncovered"} if by == "protector" else {"free": "free"}
        )
        for title in ("judged", "held", "pressures", *names):
            assert shown[title].astype(int).tolist() == summary[names.get(title, title)].tolist(), title
        for player, text in shown["beaten, share"].items():
            one = summary.loc[player]
            if one.judged == 0:
                assert text == "–"  # noqa: RUF001
                continue
            # Against another library's interval.
            low, high = binomtest(int(one.beat), int(one.judged)).proportion_ci(method="wilson")
            assert text == f"{one.beat} of {one.judged}, {100 * low:.0f} to {100 * high:.0f} %"
        assert (shown["few"] == "few").tolist() == (summary.judged < 10).tolist()
        for title, name in (("exposed outside", "peak_outside"), ("short edge, s", "short_edge_seconds")):
            expected = [f"{v:.2f}" if math.isfinite(v) else "–" for v in summary[f"median_{name}"]]  # noqa: RUF001
            assert shown[title].tolist() == expected


def test_ten_lines_hold_the_tables_numbers(report, m, reps):
    page = Page(report)
    lines = lines_of(page)[:10]
    drops = reps.dropbacks[~reps.dropbacks.label.isin(WITHOUT)]
    rows = reps.table[reps.table.play.isin(drops.play)]
    count = rows.outcome.value_counts()
    beats = rows[rows.outcome == "beat"].beat_side.value_counts()
    assert numbers(lines[0]) == [len(reps.dropbacks), 0, *reps.dropbacks.label.value_counts()[WITHOUT]]
    starts = drops.alignment.value_counts()
    order = [starts[name] for name in ("under", "pistol", "short gun", "gun") if name in starts]
    assert numbers(lines[1]) == [round(drops.drop_depth.median(), 1), *order]
    thrown = drops.throw_time.dropna()
    assert numbers(lines[2]) == [round(thrown.median(), 1), len(drops) - len(thrown)]
    frames = m.frames.merge(drops[["play", "throw_time"]])
    last = frames[frames.time <= frames.throw_time + 1e-6].groupby("play").tail(1)
    ok = last[last.status == "ok"]
    sizes = [round(ok.pocket_width.median(), 1), round(ok.pocket_depth.median(), 1)]
    assert numbers(lines[3]) == pytest.approx([*sizes, len(ok)], abs=0.051)
    place = {"T": "tackle", "G": "guard", "C": "centre"}
    slot = {(play, man.player): man.slot for play in drops.play for man in m.game.play(play).men}
    short = rows[rows.short_edge_seconds > 0]
    slots = pd.Series([slot[key] for key in zip(short.play, short.protector, strict=True)], index=short.index)
    sides = short.groupby(slots.str[:1]).play.nunique()
    assert numbers(lines[4])[:3] == [short.play.nunique(), sides["L"], sides["R"]]
    set_by = short.groupby(slots.str[-1].map(place)).play.nunique()
    said = re.findall(r"the (tackle|guard) in (\d+)", lines[4])
    assert {name: int(count) for name, count in said} == {name: set_by[name] for name, _ in said}  # plays, all of them
    assert len(said) == 2
    judged = count["held"] + count["beat"] + count["driven"]
    of_centre = beats.get("left", 0) + beats.get("right", 0)
    outcome = [judged, count["held"], count["beat"], beats["outside"], beats["inside"], of_centre, count["driven"]]
    assert numbers(lines[5]) == [*outcome, count["free"]]
    assert numbers(lines[6]) == [rows.ball_out.sum(), count["beat"]]
    low, high = binomtest(int(drops.pressure.sum()), len(drops)).proportion_ci(method="wilson")
    assert numbers(lines[7]) == [drops.pressure.sum(), len(drops), round(100 * low), round(100 * high)]
    worst = drops.loc[drops.push.idxmax()]
    assert worst.play in lines[8]
    assert numbers(lines[8])[:2] == [round(drops.push.median(), 1), round(worst.push, 1)]
    deep = rows.merge(drops[["play", "drop_depth"]])
    deep = deep[deep.outcome.isin(["held", "beat", "driven"])]
    for part, mine in zip(lines[9].split(", "), (deep[deep.drop_depth < 8], deep[deep.drop_depth >= 8]), strict=True):
        assert numbers(part)[:2] == [(mine.outcome != "held").sum(), len(mine)]


def test_the_reps_to_watch_are_the_lost_ones_first(report, reps, m):
    page = Page(report)
    assert len(page.watched) == len(page.data) == 10
    rows = reps.table[~reps.table.play.isin(reps.dropbacks[reps.dropbacks.label.isin(WITHOUT)].play)]
    lost = rows[rows.outcome.isin(["beat", "driven", "free"])]
    exposed = lost[["peak_outside", "peak_inside"]].fillna(0).max(axis=1)
    pressed = lost.assign(exposed=exposed)[lost.pressure].sort_values("exposed", ascending=False, kind="stable")
    plays = [one["data-play"] for one in page.watched]
    expected = pressed.play.tolist()[: len(plays)]
    assert plays[: len(expected)] == expected
    assert set(plays) <= set(lost.play)
    words = m.words(reps=reps).set_index("play").words
    film = m.game.plays.set_index("play")
    for one, data in zip(page.watched, page.data, strict=True):
        play = one["data-play"]
        assert data["play"] == play
        protector, rusher, *_, said, _, _ = data["reps"][data["rep"]]
        two = [None if man is None else data["men"][man][7] for man in (protector, rusher)]
        row = lost[(lost.play == play) & (lost.protector.isna() if two[0] is None else lost.protector == two[0])]
        assert said in [reps.words(of) for of in row[row.rusher == two[1]].to_dict("records")]
        assert one["text"].startswith(said)
        assert report.count(f"The whole play: </b>{html.escape(words[play])}</p>") == 1
        minutes, seconds = re.search(r"(\d+):(\d\d\.\d)", one["text"]).groups()
        at = float(re.search(rf"{play}, [a-z ]+ at (\d+\.\d) s", one["text"])[1])
        assert 60 * int(minutes) + float(seconds) == pytest.approx(film.film_time[play] + at, abs=0.11)
        assert film.film_file[play] in one["text"]
        assert m.game.play(play).time[data["at"]] == pytest.approx(at, abs=0.11)


def test_every_play_stands_there_in_words(report, reps, m):
    shown = Page(report).tables["Every play"].set_index("play")
    words = m.words(reps=reps).set_index("play").words
    assert shown["in words"].to_dict() == words.to_dict()
    assert shown["drop, yd"].tolist() == [f"{depth:.1f}" for depth in reps.dropbacks.drop_depth]


def test_the_charts_points_are_the_plays(report, m, reps):
    said = re.findall(r"<title>(P\d+): (\d+\.\d) yd, (\d+\.\d\d)( s)?</title>", report)
    drops = reps.dropbacks.set_index("play")
    rows = reps.table[reps.table.protector.notna() & reps.table.rusher.notna()]
    tackles = rows[rows.protector.str.endswith(("-74", "-78")) & np.isfinite(rows.peak_cutoff_ratio)]
    ratio, short = tackles.groupby("play").peak_cutoff_ratio.max(), rows.groupby("play").short_edge_seconds.max()
    kept = drops[~drops.label.isin(WITHOUT)].index
    assert {play for play, *_, unit in said if not unit} == set(ratio.index) & set(kept)
    for play, depth, value, unit in said:
        assert depth == f"{drops.drop_depth[play]:.1f}"
        assert value == f"{(short if unit else ratio)[play]:.2f}"


def test_a_mans_page_pools_his_games(guard, season):
    page = Page(guard)
    found = [se.reps(game) for game in season]
    for title, by in (("By drop depth", "drop_depth"), ("By alignment of the rusher", "technique")):
        groups = pd.concat(
            [one.summary(["protector", by], without_label=[w for w in WITHOUT if w in one.labels]) for one in found]
        )
        his = groups[groups.protector == "TK-63"].groupby(by)[["judged", "held", "beat", "driven", "pressures"]].sum()
        his = his[his.judged > 0]
        shown = page.tables[title]
        shown = shown.set_index(shown.columns[0])
        assert set(shown.index) == set(his.index)
        for key, one in his.iterrows():
            assert shown.loc[key, ["judged", "held", "beaten", "driven back", "pressures"]].astype(int).tolist() == [
                *one
            ]
            low, high = binomtest(int(one.beat), int(one.judged)).proportion_ci(method="wilson")
            share = f"{one.beat} of {one.judged}, {100 * low:.0f} to {100 * high:.0f} %"
            assert shown.loc[key, "beaten, share"] == share
            assert (shown.loc[key, "few"] == "few") == (one.judged < 10)
    assert page.tables["By game"]["game"].tolist() == [game.name for game in season]
    rows = sum(len(one.table[one.table.protector == "TK-63"]) for one in found)
    assert 0 <= rows - len(page.tables["Every rep"]) <= 4  # those of screens and moved pockets
    assert len(page.watched) == len(page.tables["Every rep"])  # each of them opens


def test_a_rushers_page_and_a_small_sample(game, folder):
    for player, says in (("QM-94", "He beat his man in"), ("QM-24", "too few to compare")):
        out = folder / "rusher.html"
        se.player_page(game, player, out)
        assert says in out.read_text(encoding="utf-8")
    with pytest.raises(se.InputError, match='no rep of player "nobody"'):
        se.player_page(game, "nobody", out)


def test_nobody_is_graded(report, guard):
    for text in (report, guard):
        shown = re.sub(r"<(script|style)[^>]*>.*?</\1>", "", text, flags=re.DOTALL)
        shown = re.sub(r"<[^>]+>", " ", shown)
        for word in ("rating", "score", "rank", "overall", "best", "elite", "probable"):
            assert not re.search(rf"\b{word}", shown, re.IGNORECASE), word
        for match in re.finditer(r"threat|probabilit|grade", shown):
            before = shown[max(0, match.start() - 90) : match.start()]
            assert re.search(r"\b(not|no)\b", before, re.IGNORECASE), before


# ------------------------------------------------------------------------------------------- what a page may do


@pytest.mark.parametrize("which", ["report", "guard"])
def test_a_page_loads_nothing_and_runs_only_its_own(which, request):
    text = request.getfixturevalue(which)
    page = Page(text)
    policy = next(given["content"] for tag, given in page.tags if given.get("http-equiv") == "Content-Security-Policy")
    assert policy.startswith("default-src 'none'; script-src 'sha256-")
    assert "unsafe" not in policy
    assert not re.search(r"https?:|\*|data:", policy)
    for tag, given in page.tags:
        assert not [name for name in given if name in ("style", "src") or name.startswith("on")], (tag, given)
        assert given.get("href", "#").startswith("#")
        assert tag not in ("link", "iframe", "object", "embed", "img", "base", "form")
    outside = re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]+", text)
    assert set(outside) <= {"http://www.w3.org"}  # the name of SVG's own elements


def test_a_game_of_sixty_at_25_a_second_stays_under_5_mb(game, folder):
    core = game.core
    tracks = pd.DataFrame({name: core.tracks[name] for name in ("play", "player", "time", "x", "y")})
    parts = []
    for (play, player), path in tracks.groupby(["play", "player"]):
        time = np.arange(path.time.min(), path.time.max(), 0.04)
        where = {name: np.interp(time, path.time, path[name]) for name in ("x", "y")}
        parts.append(pd.DataFrame({"play": core.plays[play], "player": core.players[player], "time": time, **where}))
    people = game.people[["player", "unit", "position", "name"]]
    dense = se.from_tables(pd.concat(parts), game.plays, people, units="yd", origin="corner", y="up", name="dense")
    out = folder / "dense.html"
    se.report(dense, out)
    assert len(dense.measured()) == 60
    assert 100_000 < out.stat().st_size < 2_000_000


# ------------------------------------------------------------------------------------------------- in a browser


def test_it_opens_fast_and_has_no_serious_fault(report, guard, chromium, tmp_path):
    both = os.environ.get("SHORTEDGE_FULL") == "1"  # else axe looks at one page in the light and the other in the dark
    for text, light in ((report, True), (guard, False)):
        with browser.opened(chromium, text, tmp_path) as page:
            assert page.locator("details[open]").count() == 0  # the list comes first
            page.locator("details.rp-watch summary").first.click()
            page.wait_for_selector(".se-player svg")
            took = page.evaluate("performance.getEntriesByType('navigation')[0].loadEventEnd")
            assert 0 < took < 2000
            assert not (light or both) or browser.violations(page) == []
        with browser.opened(chromium, text, tmp_path, color_scheme="dark", width=420) as page:
            page.locator("details.rp-watch summary").first.click()
            page.wait_for_selector(".se-player svg")
            assert (light and not both) or browser.violations(page) == []
            assert page.evaluate("document.documentElement.scrollWidth") <= 420


def test_tables_sort_by_mouse_and_keys(report, chromium, tmp_path):
    def column(title):
        k = headings.index(title)
        return [text.strip() for text in table.locator(f"tbody tr > :nth-child({k + 1})").all_inner_texts()]

    with browser.opened(chromium, report, tmp_path) as page:
        table = page.locator("table", has=page.locator("caption", has_text="Protectors"))
        headings = table.locator("thead th").all_inner_texts()
        before = column("player")
        table.locator("thead button", has_text="judged").click()
        judged = [int(text) for text in column("judged")]
        assert judged == sorted(judged, reverse=True)
        assert table.locator('th[aria-sort="descending"]').inner_text() == "judged"
        table.locator("thead button", has_text="judged").press("Enter")
        judged = [int(text) for text in column("judged")]
        assert judged == sorted(judged)
        assert table.locator("th[aria-sort]").count() == 1
        for _ in range(2):  # the missing ones stay last, whichever way
            table.locator("thead button", has_text="exposed").click()
            shown = column("exposed outside")
            figures = [text for text in shown if text != "–"]  # noqa: RUF001
            assert shown[len(figures) :] == ["–"] * (len(shown) - len(figures))  # noqa: RUF001
            assert len(figures) > 5
        table.locator("thead button", has_text="player").click()
        assert column("player") == sorted(before)


def test_a_rep_to_watch_opens_at_its_moment(report, chromium, tmp_path):
    page_of = Page(report)
    with browser.opened(chromium, report, tmp_path) as page:
        second = page.locator("details.rp-watch").nth(1)
        assert second.locator(".se-player svg").count() == 0
        second.locator("summary").click()
        second.locator(".se-player svg").first.wait_for()
        assert int(second.locator("input[type=range]").input_value()) == page_of.data[1]["at"]


def odd_game(game):
    """The demo game with markup for names: of players, plays, the game, labels, and films."""
    core = game.core
    tracks = pd.DataFrame({name: core.tracks[name] for name in ("time", "x", "y")})
    tracks["play"] = np.array(core.plays, object)[core.tracks["play"]]
    tracks["player"] = np.array(core.players, object)[core.tracks["player"]]
    kept = game.plays.play[1:12]  # a few plays, among them a screen
    tracks, plays = tracks[tracks.play.isin(kept)], game.plays[game.plays.play.isin(kept)].copy()
    people = game.people[["player", "unit", "position", "name"]].copy()
    there = people[people.player.isin(set(tracks.player))].player
    new = {player: f"{ODD[k % 6]}{k}" for k, player in enumerate(there)}
    rename = {"player": new, "play": {play: f"{ODD[k % 6]} {k}" for k, play in enumerate(kept)}}
    people["name"] = ODD[2]
    plays["label"] = ODD[2]
    plays["film_file"] = ODD[0]
    tables = (tracks.replace(rename), plays.replace(rename), people.replace(rename))
    return se.from_tables(*tables, units="yd", origin="corner", y="up", name=ODD[2]), new


def test_names_are_text_and_run_nowhere(game, chromium, tmp_path):
    odd, new = odd_game(game)
    se.report(odd, tmp_path / "report.html")
    player = next(name for old, name in new.items() if old.endswith("-78"))
    se.player_page(odd, player, tmp_path / "player.html")
    for name in ("report", "player"):
        text = (tmp_path / f"{name}.html").read_text(encoding="utf-8")
        page = Page(text)
        scripts = [given for tag, given in page.tags if tag == "script"]
        assert {given["type"] for given in scripts} == {"module", "application/json"}
        assert len([given for given in scripts if given["type"] == "module"]) == 2
        assert all(given.get("class") == "rp-ended" for tag, given in page.tags if tag == "b")
        with browser.opened(chromium, text, tmp_path) as opened:
            opened.locator("details.rp-watch summary").first.click()
            opened.wait_for_selector(".se-player svg")
            said = opened.locator("body").inner_text()
            assert ODD[2] in said
            assert ODD[0] in said


# ------------------------------------------------------------------------------------------------ arguments, files


def test_refused_and_left_whole(game, m, reps, tmp_path):
    other = se.from_tables(*first_play(game), units="yd", origin="corner", y="up")
    out = tmp_path / "report.html"
    out.write_text("old")
    for call, says in (
        (lambda: se.report(other, out, m=m), "do not belong to game"),
        (lambda: se.report(other, out, m=None, reps=reps), "do not belong"),
        (lambda: se.report(game, out, m=m, reps=reps, without_label=["no such"]), "no play has the label"),
        (lambda: se.report("game", out), "accepted: a Game"),
        (lambda: se.player_page([game, game], "TK-63", out), "two games called"),
    ):
        with pytest.raises(se.InputError, match=says):
            call()
    assert out.read_text() == "old"
    with pytest.raises(se.FileError, match="cannot be written"):
        se.report(game, tmp_path / "no" / "report.html", m=m, reps=reps)


def first_play(game):
    core = game.core
    first = core.plays[0]
    tracks = pd.DataFrame({name: core.tracks[name] for name in ("time", "x", "y")})
    tracks["play"] = np.array(core.plays, object)[core.tracks["play"]]
    tracks["player"] = np.array(core.players, object)[core.tracks["player"]]
    people = game.people[["player", "unit", "position"]]
    return tracks[tracks.play == first], game.plays[game.plays.play == first], people


def test_the_clock_of_the_film_has_sixty_seconds(game, tmp_path):
    tracks, plays, people = first_play(game)
    for time, says in ((119.96, "2:00.0"), (119.94, "1:59.9"), (3599.97, "60:00.0"), (59.0, "0:59.0")):
        short = se.from_tables(tracks, plays.assign(film_time=time), people, units="yd", origin="corner", y="up")
        se.report(short, tmp_path / "report.html")
        page = Page((tmp_path / "report.html").read_text(encoding="utf-8"))
        assert page.tables["Every play"]["film"].iloc[0].split()[-1] == says
        for one in page.watched:
            seconds = float(re.search(r"\d+:(\d\d\.\d)", one["text"])[1])
            assert seconds < 60


def lines_of(page: Page) -> list[str]:
    """The lines below the links of the page."""
    return page.lines[page.lines.index("Made with") + 1 :]


def test_a_game_of_which_no_play_counts(game, m, reps, tmp_path):
    labels = sorted(reps.dropbacks.label.dropna().unique())
    labelled = game.plays.dropna(subset="label")
    core = game.core
    tracks = pd.DataFrame({name: core.tracks[name] for name in ("time", "x", "y")})
    tracks["play"] = np.array(core.plays, object)[core.tracks["play"]]
    tracks["player"] = np.array(core.players, object)[core.tracks["player"]]
    people = game.people[["player", "unit", "position"]]
    tables = (tracks[tracks.play.isin(labelled.play)], labelled, people)
    only = se.from_tables(*tables, units="yd", origin="corner", y="up")
    se.report(only, tmp_path / "report.html", without_label=labels)
    text = (tmp_path / "report.html").read_text(encoding="utf-8")
    lines = lines_of(Page(text))[:2]
    assert numbers(lines[0]) == [len(labelled), 0, *labelled.label.value_counts()[lines_order(lines[0], labels)]]
    assert lines[1] == "No drop-back is left to count."
    assert not re.search(r"\bnan\b|0 of 0|; \.", re.sub(r"<(script|style)[^>]*>.*?</\1>", "", text, flags=re.DOTALL))


def lines_order(line: str, labels: list[str]) -> list[str]:
    return sorted(labels, key=line.index)


def test_the_definitions_are_those_of_the_rules(game, tmp_path):
    """Each figure a user can change stands in the definitions as he changed it, and no longer as it was."""
    tracks, plays, people = first_play(game)
    short = se.from_tables(tracks, plays, people, units="yd", origin="corner", y="up", name="short")
    rules = se.Rules(reach=1.17, cushion=0.83, detach=3.77, horizon=1.61)
    m = se.measure(short, rules=rules)
    se.report(short, tmp_path / "report.html", m=m)
    protector = m.game.play(m.game.measured()[0]).men
    lineman = next(man.player for man in protector if man.slot == "LT")
    se.player_page(short, lineman, tmp_path / "player.html", rules=rules)
    for name in ("report", "player"):
        text = (tmp_path / f"{name}.html").read_text(encoding="utf-8")
        said = dict(re.findall(r"<dt><b[^>]*>\d+</b> (.*?)</dt><dd>(.*?)</dd>", html.unescape(text)))
        assert len(said) == 15
        assert numbers(said["Pocket"]) == [0.83]
        assert numbers(said["Width"]) == [3.77]
        assert numbers(said["Short edge"])[:2] == [0, 1.17]
        assert "1 - time / 1.61 s" in said["Exposure"]
    most = m.edges.short_edge.max()
    assert most <= 1.17
    for reps in (se.reps(short), se.reps(short, se.measure(short, rules=se.Rules(reach=1.2)))):
        with pytest.raises(se.InputError, match=r"reps were made with reach=1\.(04|2), measures with reach=1\.17"):
            se.report(short, tmp_path / "mixed.html", m=m, reps=reps)
    with pytest.raises(se.InputError, match="accepted: the same rules"):
        se.player_page(short, lineman, tmp_path / "mixed.html", rules=rules, reps=se.reps(short))
    assert not (tmp_path / "mixed.html").exists()


def test_skipped_plays_are_listed_with_their_reason(game, tmp_path):
    tracks, plays, people = first_play(game)
    twice = pd.concat([plays, plays.assign(play="ghost <1>")])
    short = se.from_tables(tracks, twice, people, units="yd", origin="corner", y="up", name="short")
    se.report(short, tmp_path / "report.html")
    shown = Page((tmp_path / "report.html").read_text(encoding="utf-8")).tables["Plays that were skipped"]
    assert shown["play"].tolist() == short.problems.play.tolist() == ["ghost <1>"]
    assert shown["why"].tolist() == short.problems.reason.tolist()


def test_pages_from_the_command_line(season, tmp_path, capsys):
    folder = tmp_path / "season"
    folder.mkdir()
    for k, game in enumerate(season):
        game.save(folder / f"week{k}.h5")
    one = str(folder / "week1.h5")
    assert main(["report", one, "-o", str(tmp_path / "report.html"), "--without-label", "moved pocket"]) == 0
    assert "left out: moved pocket 1" in (tmp_path / "report.html").read_text(encoding="utf-8")
    assert main(["report", str(folder), "-o", str(tmp_path / "pages")]) == 0
    assert sorted(path.name for path in (tmp_path / "pages").iterdir()) == ["week0.html", "week1.html"]
    assert main(["player", "TK-63", str(folder), "-o", str(tmp_path / "guard.html")]) == 0
    assert "2 games" in (tmp_path / "guard.html").read_text(encoding="utf-8")
    capsys.readouterr()
    for arguments, says in (
        (["report", one, "-o", str(tmp_path / "report.txt")], "accepted: a name that ends in .html"),
        (["report", str(folder), "-o", str(tmp_path / "all.html")], "accepted for 2 games: a folder"),
        (["player", "nobody", one, "-o", str(tmp_path / "x.html")], 'no rep of player "nobody"'),
        (["player", "TK-63", one, "-o", str(tmp_path / "x.pdf")], "accepted: a name that ends in .html"),
    ):
        assert main(arguments) == 2
        error = capsys.readouterr().err
        assert says in error
        assert error.count("\n") == 1


# ------------------------------------------------------------------------------------------------- the terminal

COMMANDS = ("measure", "check", "show", "reps", "cut", "report", "player", "completion")


@pytest.mark.parametrize("command", [None, *COMMANDS])
def test_help_teaches(command, capsys):
    with pytest.raises(SystemExit) as ended:
        main([command, "--help"] if command else ["--help"])
    assert ended.value.code == 0
    said = capsys.readouterr().out
    assert "exit codes:\n  0    clean\n  1    done, but plays were skipped" in said
    assert said.count(f"  shortedge {command or 'check'} ") >= 2
    if command is None:
        assert all(name in said for name in COMMANDS)


def test_wrong_arguments_are_said_in_one_line(capsys):
    for arguments in ([], ["measure"], ["reps", "x", "-o", "y", "--marks", "luck"], ["show", "--at", "soon"]):
        with pytest.raises(SystemExit) as ended:
            main(arguments)
        assert ended.value.code == 2
        error = capsys.readouterr().err
        assert error.count("\n") == 1
        assert error.startswith("shortedge")
        assert "--help" in error


def on_a_terminal(arguments, tmp_path, **environment) -> str:
    master, slave = pty.openpty()
    command = [sys.executable, "-m", "shortedge.cli", *arguments]
    plain = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "TERM")}
    run = subprocess.Popen(command, stdout=slave, stderr=subprocess.PIPE, env=plain | environment, cwd=tmp_path)
    os.close(slave)
    said = b""
    while True:
        try:
            part = os.read(master, 65536)
        except OSError:
            break
        if not part:
            break
        said += part
    os.close(master)
    assert run.wait() == 0
    return said.decode().replace("\r\n", "\n")


def test_colours_only_where_they_are_wanted(season, tmp_path):
    season[1].save(tmp_path / "game.h5")
    arguments = ["measure", "game.h5", "-o", "out.h5"]
    coloured = on_a_terminal(arguments, tmp_path, TERM="xterm")
    assert "\033[1m" in coloured
    assert "\033[38;5;166m" in coloured
    bare = re.sub(r"\033\[[0-9;]*m", "", coloured)
    piped = subprocess.run(
        [sys.executable, "-m", "shortedge.cli", *arguments], capture_output=True, text=True, check=True, cwd=tmp_path
    ).stdout
    assert [line.rstrip() for line in bare.splitlines()] == piped.splitlines()
    assert on_a_terminal(arguments, tmp_path, TERM="xterm", NO_COLOR="1") == piped
    assert on_a_terminal(arguments, tmp_path, TERM="dumb") == piped
    words = se.measure(season[1]).words().set_index("play").words
    told = re.findall(r"^(P\d+): (.*)$", piped, re.MULTILINE)
    assert len(told) == 10
    assert all(words[play] == text for play, text in told)


def test_the_completion_script_completes(tmp_path, capsys):
    assert main(["completion", "bash"]) == 0
    script = tmp_path / "completion.bash"
    script.write_text(capsys.readouterr().out)

    def completed(*typed: str) -> set[str]:
        words = " ".join(f"'{word}'" for word in typed)
        ask = f"source {script}; COMP_WORDS=({words}); COMP_CWORD={len(typed) - 1}; _shtab_shortedge"
        told = f'{ask} shortedge "{typed[-1]}" "{typed[-2]}"; printf "%s\\n" "${{COMPREPLY[@]}}"'
        return set(subprocess.run(["bash", "-c", told], capture_output=True, text=True, check=True).stdout.split())

    assert completed("shortedge", "re") == {"reps", "report"}
    assert completed("shortedge", "") >= set(COMMANDS)
    assert "--without-label" in completed("shortedge", "report", "--w")
    for shell in ("zsh", "fish"):
        assert main(["completion", shell]) == 0
        assert "report" in capsys.readouterr().out


def test_no_ring_covers_a_name_where_edges_opened(report):
    rings = re.findall(r'cx="([\d.]+)" cy="([\d.]+)" r="4.5" class="rp-ring"', report)
    names = re.findall(r'x="([\d.]+)" y="([\d.]+)" text-anchor="middle" class="rp-small rp-quiet">(\w+)<', report)
    assert len(rings) > 20
    assert {name for *_, name in names} == {"LT", "LG", "C", "RG", "RT"}
    for x, y, name in names:
        for cx, cy in rings:
            away = abs(float(cx) - float(x)) - 4 * len(name), abs(float(cy) - float(y) + 4) - 5
            assert max(away) > 4.5, name


def test_names_in_small_pictures_stand_clear_of_men_and_ways(m, reps):
    """Of every lost rep, at its moment: no name on a way or on the mark of a man; both of the two are named."""
    lost = [row for row in reps.table.to_dict("records") if row["outcome"] == "beat"]
    crowded = 0
    for row in lost:
        drawn = str(charts.small(m, row, row["beat_time"], lambda player: player[-2:]))
        number = r"(-?[\d.]+)"
        names = re.findall(rf'x="{number}" y="{number}" text-anchor="middle" class="rp-small rp-strong rp-halo"', drawn)
        assert len(names) == 2, row["play"]
        ways = [
            np.array(re.findall(rf"{number},{number}", one), float)
            for one in re.findall(r'points="([^"]*)" class="rp-go', drawn)
        ]
        marks = np.array(
            re.findall(rf'cx="{number}" cy="{number}"', drawn) + re.findall(rf'd="M{number},{number}l', drawn), float
        )
        points = [a + (b - a) * np.linspace(0, 1, 50)[:, None] for way in ways for a, b in pairwise(way)]
        for x, y in np.array(names, float):
            spots = np.concatenate([*points, marks])
            crowded += bool(((np.abs(spots[:, 0] - x) < 6) & (np.abs(spots[:, 1] - y + 4) < 4)).any())
    assert len(lost) >= 15
    assert crowded == 0
