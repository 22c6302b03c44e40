"""What linemen see and decide, on the pages: the tables' counts, the sentences of slot blitzes, who comes marked from
the snap."""

import re
from dataclasses import replace

import pytest
import scipy.stats

import browser
import chair_script
import shortedge as se
from shortedge.cli import main
from shortedge.pages.html import NONE
from test_report import Page


@pytest.fixture(scope="module")
def made():
    """Two plays of every kind, with film times and a column of the user's own."""
    made = chair_script.make_game(12, 2 * len(chair_script.KINDS), list(chair_script.KINDS) * 2)
    tracks, snaps, people = made.tables
    snaps = snaps.assign(
        film_time=[100.0 + 30 * n for n in range(len(snaps))], down=[1 + n % 3 for n in range(len(snaps))]
    )
    return replace(made, tables=(tracks, snaps, people))


@pytest.fixture(scope="module")
def reps(made):
    game = se.from_tables(*made.tables, **chair_script.HOW)
    return se.reps(game, progress=False)


@pytest.fixture(scope="module")
def game(reps):
    return reps._game


@pytest.fixture(scope="module")
def chromium():
    with browser.chromium() as running:
        yield running


def page_of(write, folder, *given):
    write(*given, folder / "page.html")
    return Page((folder / "page.html").read_text(encoding="utf-8"))


def shares(text: str) -> tuple[int, int, float, float]:
    count, of, low, high = map(int, re.fullmatch(r"(\d+) of (\d+), (\d+) to (\d+) %", text).groups())
    return count, of, low, high


def test_the_report_counts_looks_as_the_table_does(game, reps, tmp_path):
    """How often who stood where came, with scipy's Wilson interval."""
    page = page_of(se.report, tmp_path, game)
    told = page.tables["Who showed at the snap, and came"]
    where = {"on the line": "line", "in the box": "box", "over the slot": "slot", "wide of the line": "wide"}
    assert set(told["stood"]) >= {"on the line", "in the box", "over the slot"}
    for row in told.to_dict("records"):
        deep = row["behind him"] == "deep man over him"
        rows = reps.looks[(reps.looks.spot == where[row["stood"]]) & (reps.looks.deep_over == deep)]
        count, of, low, high = shares(row["came, share"])
        assert (count, of) == (int(rows.rushed.sum()), len(rows)) == (int(row["came"]), int(row["showed"]))
        found = scipy.stats.binomtest(count, of).proportion_ci(method="wilson")
        assert (low, high) == (round(100 * found.low), round(100 * found.high))
        assert (row["few"] == "few") == (len(rows) < 10)
    assert sum(map(int, told["showed"])) == len(reps.looks)


def test_the_report_counts_pairs_and_searches(game, reps, tmp_path):
    page = page_of(se.report, tmp_path, game)
    pairs = page.tables["Rushers who changed hands"].set_index("the two")
    ends = reps.exchanges[["from_slot", "to_slot"]].apply(lambda two: set(two.dropna()), axis=1)
    twists = reps.exchanges[(reps.exchanges.kind == "twist") & (ends == {"RG", "RT"})]
    assert int(pairs.loc["RG-RT", "twists"]) >= len(twists) > 0  # and those one end of which is not known
    kinds = pairs[["twists", "passed off", "stayed"]].astype(int).to_numpy().sum()
    assert kinds == len(reps.exchanges)
    found = page.tables["Who looked for work"]
    assert found["searches"].astype(int).sum() == len(reps.searches)
    backs = found[found["why"] == "back"]
    mine = reps.searches[reps.searches.why == "back"]
    assert backs["nobody"].astype(int).sum() == (mine.found == "nobody").sum() > 0


def test_a_mans_page_has_his_rows(game, reps, tmp_path):
    """Of a guard, the centre, a back and a rusher; the same over two games, added."""
    for man in ("68", "55", "31"):
        page = page_of(se.player_page, tmp_path, game, man)
        mine = reps.exchanges[(reps.exchanges.from_man == man) | (reps.exchanges.to_man == man)]
        if len(mine):
            assert page.tables["Every one of them"]["play"].tolist() == mine.play.tolist()
            assert page.tables["Every one of them"]["kind"].tolist() == mine.kind.tolist()
            assert (page.tables["Every one of them"]["late"] == "late").tolist() == mine.late.tolist()
        searched = reps.searches[reps.searches.man == man]
        if len(searched):
            told = page.tables["Every search"]
            assert told["play"].tolist() == searched.play.tolist()
            assert (told["found"] == "nobody").tolist() == (searched.found == "nobody").tolist()
        stunts = page.tables["Every rep"]["stunt"]
        his = reps.table[reps.table.protector == man]
        assert (stunts != NONE).tolist() == his.exchanged.tolist()
    assert len(reps.searches[(reps.searches.man == "31") & (reps.searches.found == "nobody")]) > 0
    page = page_of(se.player_page, tmp_path, game, "68")
    split = page.tables["Straight rushes and stunts"].set_index("his rusher")
    judged = reps.table[(reps.table.protector == "68") & reps.table.outcome.isin(["held", "beat", "driven"])]
    assert int(split.loc["came straight", "judged"]) == (~judged.exchanged).sum() > 0
    assert int(split.loc["changed hands or crossed", "judged"]) == judged.exchanged.sum() > 0
    rusher = page_of(se.player_page, tmp_path, game, "193")
    showed = rusher.tables["Where he stood at the snap, and came"]
    assert showed["showed"].astype(int).sum() == (reps.looks.defender == "193").sum()


def test_his_looks_are_those_of_his_side(game, reps, tmp_path):
    """A right guard's page counts defenders on the right in plays in which he has a row; the centre's both sides."""
    for man, sides in (("68", ["right"]), ("55", ["left", "right"])):
        page = page_of(se.player_page, tmp_path, game, man)
        told = page.tables["Who showed at the snap on his side in his plays, and came"]
        his = reps.looks.play.isin(reps.table[reps.table.protector == man].play) & reps.looks.side.isin(sides)
        assert told["showed"].astype(int).sum() == his.sum() > 0


def test_two_games_are_added(made, reps, tmp_path):
    tracks, snaps, people = made.tables
    other = se.from_tables(tracks, snaps, people, **{**chair_script.HOW, "name": "second"})
    two = page_of(se.player_page, tmp_path, [reps._game, other], "68")
    one = page_of(se.player_page, tmp_path, reps._game, "68")
    for caption in ("Rushers who changed hands", "Who showed at the snap on his side in his plays, and came"):
        counts = [
            page.tables[caption].filter(["twists", "passed off", "stayed", "showed", "came"]) for page in (one, two)
        ]
        assert (2 * counts[0].astype(int)).equals(counts[1].astype(int))
    assert set(two.tables["Every search"]["game"]) == {reps._game.name, "second"}


def test_a_slot_blitz_is_said_as_scripted(made, game, reps, tmp_path):
    """By the script's truth: picked up outside in, by nobody, by a back; at most 25 words; and on the play's page."""
    page = page_of(se.report, tmp_path, game)
    caption = next(name for name in page.tables if name.startswith("Who picked up"))
    told = dict(page.tables[caption][["play", "blitz from the slot"]].to_numpy().tolist())
    truth = made.looks[made.looks.pickup.notna() & (made.looks.pickup != "")]
    assert set(truth.pickup) >= {"outside in", "nobody", "back"}
    assert set(told) == set(truth.play)
    place = {man.player: man.slot or man.position for man in game.play(next(iter(told))).men}
    for row in truth.itertuples():
        says = told[row.play]
        assert len(says.split()) <= 25
        assert ("picked up outside in" in says) == (row.pickup == "outside in")
        assert ("nobody picked him up" in says) == (row.pickup == "nobody")
        if row.taken_by:
            assert re.search(rf"\b{place[row.taken_by]} (to the blitzer|picked him up)", says)
        assert says in " ".join(reps._game and se.measure(game).play(row.play).data["seen"])


def test_who_comes_is_marked_from_the_snap(game, reps, chromium, tmp_path):
    """At the first frame and the last, each man of the looks who came and nobody else."""
    m = se.measure(game)
    for play in reps.looks[reps.looks.came > 0].play.unique()[:2]:
        wanted = set(reps.looks[(reps.looks.play == play) & reps.looks.rushed].defender)
        with browser.opened(chromium, m.play(play, reps=reps).to_html(), tmp_path) as page:
            for key in ("Home", "End"):
                page.keyboard.press(key)
                marked = page.locator(".se-field .se-came").evaluate_all(
                    "(all) => all.map((one) => one.closest('[data-man]').dataset.man)"
                )
                assert set(marked) <= wanted
                assert key == "End" or set(marked) == wanted
            says = page.locator(".se-seen").inner_text()
            assert re.match(r"Came: [^.]+\.", says)[0].count(",") == len(wanted) - 1
            assert browser.violations(page) == []


def test_by_a_brought_column_and_the_hash_at_the_command_line(made, reps, tmp_path, capsys):
    """`reps --by down`, `--by hash --marks college`, `player --by down`: counts as in the tables."""
    game = tmp_path / "game.h5"
    reps._game.save(game)
    assert main(["reps", str(game), "--by", "down", "-o", str(tmp_path / "reps.h5")]) == 0
    down = dict(zip(made.tables[1].play.astype(str), made.tables[1].down, strict=True))
    judged = reps.table[reps.table.outcome.isin(["held", "beat", "driven"])]
    said = capsys.readouterr().out
    for value, count in judged.play.map(down).value_counts().items():
        assert re.search(rf"^\W*{value}\b.*\b{count}\b", said, re.M), (value, count, said)
    assert main(["reps", str(game), "--by", "hash", "--marks", "college", "-o", str(tmp_path / "reps.h5")]) == 0
    assert main(["player", "68", str(game), "--by", "down", "-o", str(tmp_path / "man.html")]) == 0
    page = Page((tmp_path / "man.html").read_text(encoding="utf-8"))
    split = page.tables["By down"]
    mine = judged[judged.protector == "68"].play.map(down).value_counts()
    assert split.set_index("down")["judged"].astype(int).to_dict() == {str(k): n for k, n in mine.items()}
    with pytest.raises(SystemExit):
        main(["reps", str(game), "--marks", "moon", "-o", str(tmp_path / "reps.h5")])
    capsys.readouterr()
    assert main(["player", "68", str(game), "--by", "weather", "-o", str(tmp_path / "man.html")]) == 2
    assert "down" in capsys.readouterr().err
