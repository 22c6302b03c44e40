"""Formations: the words mean what the trade means by them, a recorded snap gives the recorded men."""

import io
import itertools
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import shortedge as se
from shortedge.simulation import at_snap, fronts

DEMO = Path(__file__).parents[2] / "data" / "demo_game"


def has(f: se.Formation) -> dict[str, str]:
    return {one.name: one.man for one in f.protectors if one.man}


def places(f: se.Formation) -> dict[str, tuple[float, float]]:
    return {one.name: one.at for one in (*f.protectors, *f.rushers)}


def test_the_base_case() -> None:
    """As spec 8.9 and the header state it: four rushers, wide ends 2.6 yd outside the tackles, five protectors."""
    f = se.formation()
    assert f.takes == "under"
    assert f.passer == (0.0, 1.0)
    line = {"LT": (-3.2, 0.7), "LG": (-1.6, 0.5), "C": (0.0, 0.3), "RG": (1.6, 0.5), "RT": (3.2, 0.7)}
    at = places(f)
    assert all(at[name] == pytest.approx(place) for name, place in line.items())
    assert [one.at for one in f.rushers] == [
        pytest.approx(place) for place in ((-5.8, -0.9), (-1.9, -0.9), (1.0, -0.9), (5.8, -0.9))
    ]
    assert [one.inside for one in f.rushers] == [False, True, True, False]
    assert has(f) == {"LT": "wide L", "LG": "3 L", "RG": "2i R", "RT": "wide R"}


def test_by_coordinates() -> None:
    f = se.formation(
        passer="under",
        protectors={"LT": (-3, 0.8), "C": (0, 0.5), "RB": (1, 4.5)},
        rushers={"LE": (-5, -1), "N": (0.2, -0.9)},
        man={"LT": "LE", "C": "N"},
    )
    assert has(f) == {"LT": "LE", "C": "N"}
    assert [one.slot for one in f.protectors] == ["LT", "C", ""]
    assert "free to help: RB" in repr(f)
    assert se.formation(protectors={"LT": (-3, 0.8)}, rushers={"A": (-5, -1)}, man={}).protectors[0].man == ""


# ------------------------------------------------------------------------------------------------- the words


@pytest.mark.parametrize("technique", ["0", "1", "2i", "2", "3", "4i", "4", "5", "6", "7", "9", "wide"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_technique_is_what_reps_call_it(technique: str, side: str) -> None:
    """The front's words against the technique that reps find in the simulated plays' coordinates."""
    letter = "" if technique == "0" else f" {side[0].upper()}"
    f = se.formation(front=technique + letter, tight_end=side if technique in ("6", "7", "9") else None)
    game = se.simulate(f, depths=[7], draws=1).as_game(7, draws=None)
    row = se.reps(game).table.dropna(subset=["rusher"]).iloc[0]
    assert row["technique"] == technique
    assert technique == "0" or row["technique_side"] == side


def test_splits_and_width() -> None:
    f = se.formation(splits=1.2, width=1.0)
    assert places(f)["RT"][0] == pytest.approx(2.4)
    assert places(f)["wide R"][0] == pytest.approx(3.4)
    beside = se.formation(tight_end="right", width=1.0)
    assert places(beside)["TE"][0] == pytest.approx(4.8)
    assert places(beside)["wide R"][0] == pytest.approx(5.8)
    assert places(beside)["wide L"][0] == pytest.approx(-4.2)


def cost(men: tuple[int, ...], rush: tuple[int, ...], blockers: list[float], rushers: list[float]) -> float:
    ground = sum(abs(blockers[i] - rushers[j]) for i, j in zip(men, rush, strict=True))
    return ground - sum(abs(u) for j, u in enumerate(rushers) if j not in rush)


def test_men_are_paired_as_every_way_of_pairing_says(rng: np.random.Generator) -> None:
    """Most rushers had, no two pairs crossing, least ground between them: against all pairings."""
    for _ in range(200):
        blockers = sorted(rng.uniform(-5, 5, rng.integers(1, 6)).tolist())
        rushers = sorted(rng.uniform(-8, 8, rng.integers(1, 6)).tolist())
        found = fronts.in_order(
            [(str(k), u) for k, u in enumerate(blockers)], [(str(k), u) for k, u in enumerate(rushers)]
        )
        had = min(len(blockers), len(rushers))
        assert len(found) == had
        pairs = sorted((int(blocker), int(rusher)) for blocker, rusher in found.items())
        assert [rusher for _, rusher in pairs] == sorted(rusher for _, rusher in pairs)

        best = min(
            cost(men, rush, blockers, rushers)
            for men in itertools.combinations(range(len(blockers)), had)
            for rush in itertools.combinations(range(len(rushers)), had)
        )
        assert cost(*zip(*pairs, strict=True), blockers, rushers) == pytest.approx(best)


def test_slides_and_backs() -> None:
    left, right = (se.formation(protection=f"slide {side}") for side in ("left", "right"))
    assert has(left) == {"LT": "wide L", "LG": "3 L", "RG": "2i R", "RT": "wide R"}
    assert has(right) == {"LT": "wide L", "LG": "3 L", "C": "2i R", "RT": "wide R"}
    assert {one.job for one in left.protectors} == {"zone"}
    backed = se.formation(protection="slide left", back="right")
    assert has(backed)["RB"] == "wide R"
    five = se.formation(front="wide L, 3 L, 0, 3 R, wide R", back="left")
    assert has(five) == {"LT": "wide L", "LG": "3 L", "C": "0", "RG": "3 R", "RT": "wide R"}
    six = se.formation(front="slot L, wide L, 3 L, 0, 3 R, wide R", back="left")
    assert has(six) == {"LT": "wide L", "LG": "3 L", "C": "0", "RG": "3 R", "RT": "wide R", "RB": "slot L"}


def test_a_slide_passes_a_stunt_off() -> None:
    """Guard and tackle in a zone exchange the men who cross; one who has his man follows him (the free centre meets him
    too)."""
    ends, stays = {}, se.Assumptions(man_changes=0.0)
    for protection in ("man", "slide left"):
        f = se.formation(protection=protection, front="wide L, 3 L, 3 R, wide R").with_stunts(("3 L", "wide L"))
        reps = se.reps(se.simulate(f, depths=[7], draws=1, assumptions=stays).as_game(7, draws=range(12))).table
        late = reps[reps["end"] >= 1.8].dropna(subset=["protector", "rusher"])
        late = late[late["outcome"] != "help"]
        ends[protection] = late.groupby("rusher")["protector"].agg(lambda men: men.mode()[0]).to_dict()
    assert ends["man"]["wide L"] in ("LT", "C")
    assert ends["man"]["3 L"] == "LG"
    assert ends["slide left"]["wide L"] in ("LG", "C")
    assert ends["slide left"]["3 L"] == "LT"


def test_the_tackle_goes_out_to_a_slot_blitzer_and_the_guard_has_the_man_inside() -> None:
    """Common practice, no source. He meets the blitzer on his way in, farther out than he stood."""
    f = se.formation(front="wide L, 3 L, 3 R, slot R")
    assert has(f)["RT"] == "slot R"
    assert has(f)["RG"] == "3 R"
    game = se.simulate(f, depths=[7], draws=1).as_game(7, draws=range(10))
    reps = se.reps(game).table.set_index(["play", "protector"])
    for play in game.measured():
        rep, shot = reps.loc[(play, "RT")], game.play(play)
        assert rep["rusher"] == "slot R"
        tackle = next(i for i, man in enumerate(shot.men) if man.player == "RT")
        met = np.argmin(np.abs(shot.time - rep["contact_time"]))
        assert shot.place[met, tackle, 0] > places(f)["RT"][0] + 0.3


def test_a_chip_meets_his_man_once_and_leaves() -> None:
    f = se.formation(chip="wide L")
    chip = next(one for one in f.protectors if one.job == "chip")
    assert (chip.name, chip.man) == ("wing L", "wide L")
    assert has(f)["LT"] == "wide L"
    play = se.simulate(f, depths=[7], draws=1).as_game(7, draws=None).play("7 yd, as assumed")
    code = {man.player: i for i, man in enumerate(play.men)}
    apart = np.linalg.norm(play.place[:, code["wing L"]] - play.place[:, code["wide L"]], axis=-1)
    assert apart.min() < 1.3
    assert apart[-1] > 3
    two = se.formation(chip=["wide L", "wide R"])
    assert [one.name for one in two.protectors if one.job == "chip"] == ["wing L", "wing R"]
    assert se.formation(tight_end="right", chip={"TE": "wide R"}).protectors[-1].job == "chip"


def test_paths() -> None:
    f = se.formation().with_paths({"wide L": [(-4, -1.5), (-1, 0.5)]})
    assert f.rushers[0].path == ((-4.0, -1.5), (-1.0, 0.5))
    play = se.simulate(f, depths=[7], draws=1).as_game(7, draws=None, rate=50).play("7 yd, as assumed")
    end = next(i for i, man in enumerate(play.men) if man.player == "wide L")
    for place in f.rushers[0].path:
        assert np.nanmin(np.linalg.norm(play.place[:, end] - place, axis=-1)) < 0.7


# ---------------------------------------------------------------------------------------------- own speeds


def test_own_speeds() -> None:
    f = se.formation().with_speeds({"LT": {"kick_speed": 2.5, "tau": 0.8}, "wide L": {"top_speed": 9, "tau": 1.0}})
    tackle, end = f.protectors[0], f.rushers[0]
    assert (tackle.kick_speed, tackle.tau) == (2.5, 0.8)
    assert math.isnan(tackle.run_speed)
    assert (end.top_speed, end.tau) == (9, 1.0)
    assert all(math.isnan(one.kick_speed) for one in f.protectors[1:])


def test_fitted_speeds_count_where_they_were_fitted() -> None:
    table = pd.DataFrame(
        {
            "player": ["wide L", "wide R", "LT"],
            "duty": ["rusher", "rusher", "protector"],
            "top_speed": [9.1, 9.7, 8.9],
            "top_speed_fitted": [True, False, False],
            "tau": [0.8, 0.9, 0.9],
            "tau_fitted": [True, False, False],
            "kick_speed": [np.nan, np.nan, 2.6],
            "kick_speed_fitted": [False, False, True],
        }
    )
    f = se.formation().with_speeds(table)
    assert (f.rushers[0].top_speed, f.rushers[0].tau) == (9.1, 0.8)
    assert math.isnan(f.rushers[-1].top_speed)
    assert f.protectors[0].kick_speed == 2.6
    assert math.isnan(f.protectors[0].tau)


def test_a_faster_kick_is_his_own() -> None:
    """The same draws: only the left tackle's hips open less often."""
    slow = se.simulate(depths=[9], draws=150, throw_per_yard=0)
    quick = se.formation().with_speeds({"LT": {"kick_speed": 3.2}})
    fast = se.simulate(quick, depths=[9], draws=150, throw_per_yard=0)
    hips = [study.protectors.query("throw == 'clock'").set_index("protector")["hips"] for study in (slow, fast)]
    assert hips[1]["LT"] < hips[0]["LT"] - 0.1
    assert abs(hips[1]["RT"] - hips[0]["RT"]) < 0.1


# ------------------------------------------------------------------------------------------- a recorded snap


@pytest.mark.parametrize("play", ["P001", "P017", "P033", "P052"])
def test_a_snap_frame_has_the_recorded_men(play: str) -> None:
    """Against the demo game's own files: places at the snap, and the first man the script gave each rusher."""
    game = se.example()
    f = se.formation_of(game, play)
    snap = pd.read_csv(DEMO / "snaps.csv").set_index("play").loc[play]
    tracks = pd.read_csv(DEMO / "tracks.csv.gz")
    tracks = tracks[(tracks["play"] == play) & (tracks["time"] >= snap["snap_time"] - 1e-6)]
    first = tracks.sort_values("time").groupby("player").first()
    for name, (u, v) in {**places(f), f.passer_name: f.passer}.items():
        there = (
            snap["direction"] * (snap["ball_y"] - first["y"][name]),
            snap["direction"] * (snap["ball_x"] - first["x"][name]),
        )
        assert (u, v) == pytest.approx(there, abs=1e-6)
    roles = {role: {man.player for man in game.play(play).men if man.role == role} for role in ("protector", "rusher")}
    assert {one.name for one in f.rushers} == roles["rusher"]
    assert {one.name for one in f.protectors if one.job != "chip"} == roles["protector"]
    truth = pd.read_csv(DEMO / "truth.csv")
    truth = truth[(truth["play"] == play) & ~truth["outcome"].isin(["help", "uncovered", "free"])].sort_values(
        "start_s"
    )
    scripted = dict(zip(truth["rusher"][::-1], truth["protector"][::-1], strict=True))
    found = {rusher: protector for protector, rusher in has(f).items()}
    assert {rusher: found.get(rusher) for rusher in scripted} == scripted


def test_every_play_of_the_demo_game_can_be_simulated() -> None:
    game = se.example()
    made = se.reps(game)
    for play in game.measured():
        f = at_snap.recorded(game, play, made)
        assert f.rushers
        assert len({one.slot for one in f.protectors if one.slot}) == 5


# ------------------------------------------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"passer": "shotgun"}, 'passer is "shotgun"; accepted: "under", "pistol", "gun"'),
        ({"protection": "zone"}, 'protection is "zone"'),
        ({"front": ""}, "front is"),
        ({"front": "wide L, 8 R"}, 'front: found "8 R"; accepted: 0, 1, 2i'),
        ({"front": "3"}, 'front: found "3"'),
        ({"front": "0 L"}, 'front: found "0 L"'),
        ({"front": "3 R, wide L"}, 'front: found "wide L" after "3 R"; accepted: left to right'),
        ({"front": "3 L, 3 L"}, "each once"),
        ({"front": "6 R"}, 'front: found 6 R; accepted with tight_end="right"'),
        ({"width": -1}, "width is -1 yd; accepted: 0 to 12 yd"),
        ({"width": "2"}, "width is"),
        ({"splits": math.nan}, "splits is nan yd"),
        ({"tight_end": "both"}, 'tight_end is "both"; accepted: "left", "right"'),
        ({"back": 1}, "back is 1"),
        ({"chip": "3 R"}, 'chip: found "3 R"; accepted: rushers'),
        ({"chip": {"LT": "wide L"}}, "a lineman"),
        ({"chip": {"TE": "wide L"}}, 'chip: found "TE"; accepted: a protector'),
        ({"man": {"LT": "nobody"}}, 'man["LT"] is "nobody"; accepted: a rusher'),
        ({"man": {"XX": "wide L"}}, 'man: found "XX"; accepted: protectors'),
        ({"man": {"LT": "wide L", "LG": "wide L"}}, 'both have "wide L"'),
        ({"protectors": {"LT": (-3, 99)}}, 'protectors["LT"] is (-3, 99) yd; accepted: within 30 yd'),
        ({"protectors": {"LT": "near"}}, "two numbers in yd"),
        ({"rushers": {"A": (1, -1), "B": (1, -1)}}, '"A" and "B" stand within 0.1 yd'),
        ({"rushers": {"LT": (5, -1)}}, 'two men are called "LT"'),
        ({"rushers": {"A": (1, -1)}, "front": "0"}, "front: found beside rushers"),
        ({"passer_at": (0, -1)}, "v = -1"),
        ({"chip": 5}, "chip is 5; accepted: a rusher"),
        ({"chip": [["wide L"]]}, "chip: found"),
        ({"chip": {"TE": ["wide L"]}, "tight_end": "left"}, 'chip["TE"] is'),
        ({"man": {"LT": ["wide L"]}}, 'man["LT"] is'),
        ({"chip": "wide L", "man": {"wing L": "wide L"}}, 'man: found "wing L", who chips'),
    ],
)
def test_nonsense_is_refused_by_name(given: dict[str, object], says: str) -> None:
    with pytest.raises(se.InputError) as why:
        se.formation(**given)  # type: ignore[arg-type]
    assert says in str(why.value)


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (lambda f: f.with_stunts("wide L"), "stunts is"),
        (lambda f: f.with_stunts(("wide L", "5 R")), 'stunts: found "5 R"'),
        (lambda f: f.with_stunts(("wide L", "wide L")), "two rushers, each in one stunt"),
        (lambda f: f.with_stunts(5), "stunts is (5,)"),
        (lambda f: f.with_stunts((["3 L"], "wide L")), "stunts: found"),
        (
            lambda f: f.with_paths({"wide L": [(math.inf, 0)]}),
            'paths["wide L"][0] is (inf, 0) yd; accepted: within 30 yd',
        ),
        (lambda f: f.with_paths({"nobody": []}), 'paths: found "nobody"; accepted: a rusher'),
        (lambda f: f.with_speeds({"LT": {"kick": 2}}), 'speeds["LT"]: found "kick"'),
        (lambda f: f.with_speeds({"LT": {"kick_speed": -1}}), "is -1 yd/s; accepted: more than 0 to 15 yd/s"),
        (lambda f: f.with_speeds({"Nobody": {"tau": 1}}), 'speeds: found "Nobody"; accepted: men who are there'),
        (lambda f: f.with_speeds(3), "speeds is int"),
    ],
)
def test_nonsense_laid_over_is_refused_by_name(more: Callable[[se.Formation], object], says: str) -> None:
    with pytest.raises(se.InputError) as why:
        more(se.formation())
    assert says in str(why.value)


def test_a_play_that_is_not_there_has_no_formation() -> None:
    with pytest.raises(se.InputError, match="no play"):
        se.formation_of(se.example(), "none such")


def test_speeds_may_be_of_any_men_of_the_game() -> None:
    game = se.example()
    f = se.formation_of(game, "P001")
    playing = f.protectors[0].name
    away = next(man for man in game.player_ids if man not in str(f))
    own = se.formation_of(game, "P001", speeds={playing: {"kick_speed": 3.0}, away: {"kick_speed": 1.0}})
    assert own.protectors[0].kick_speed == 3.0
    assert len(own.protectors) == len(f.protectors)
    with pytest.raises(se.InputError, match="men who are there"):
        se.formation_of(game, "P001", speeds={"nobody of that name": {"tau": 1}})


def test_who_is_seen_late_did_not_stand_there_at_the_snap() -> None:
    game, folder = se.example(), Path(__file__).parents[2] / "data" / "demo_game"
    tracks, snaps, people = (pd.read_csv(folder / name) for name in ("tracks.csv.gz", "snaps.csv", "people.csv"))
    end = se.formation_of(game, "P001").rushers[0].name
    shot = tracks["play"] == "P001"
    snap = float(snaps.set_index("play").loc["P001", "snap_time"])
    late = tracks[~(shot & (tracks["player"] == end) & (tracks["time"] < snap + 1.2))]
    changed = se.from_tables(late, snaps, people, units="yd", origin="corner", y="up")
    names = [one.name for one in se.formation_of(changed, "P001").rushers]
    assert end not in names
    assert names == [one.name for one in se.formation_of(game, "P001").rushers[1:]]


def test_a_slide_shifts_by_half_of_the_splits_there_are() -> None:
    """In the slide each lineman has the gap to that side, which reaches to his neighbour: the pairing left to right
    that is nearest to the middles of the gaps, of every pairing there is."""
    places = {"one": (-2.9, -0.9), "two": (-1.1, -0.9), "three": (5.1, -0.9), "four": (6.9, -0.9)}
    wide = se.formation(rushers=places, protection="slide right", splits=4.0)
    had = {one.man: one.name for one in wide.protectors if one.man}
    middles = {one.name: one.at[0] + 2.0 for one in wide.protectors}  # the middle of each man's gap
    ways = itertools.combinations(sorted(middles, key=lambda name: middles[name]), len(places))

    def ground(way: tuple[str, ...]) -> float:
        return sum(abs(middles[man] - at[0]) for man, at in zip(way, places.values(), strict=True))

    assert had == dict(zip(places, min(ways, key=ground), strict=True))


# -------------------------------------------------------------------------------------------------- pictures

HOSTILE = ['<script>alert("1")</script>', "מרכז $x_1$", "=1+1", "a" * 300]


def texts(f: se.Formation) -> list[str]:
    return [text.get_text() for text in f.draw().findobj(lambda artist: hasattr(artist, "get_text"))]


def test_hostile_names_are_names() -> None:
    rushers = {name: (k * 2.0 - 3, -0.9) for k, name in enumerate(HOSTILE)}
    f = se.formation(rushers=rushers)
    assert [one.name for one in f.rushers] == HOSTILE
    game = se.simulate(f, depths=[7], draws=1).as_game(7, draws=range(2))
    assert set(HOSTILE) <= set(game.people["player"])
    assert "<script" not in svg(f)
    assert "=1+1" in texts(f)


def svg(f: se.Formation) -> str:
    page = io.BytesIO()
    f.draw().savefig(page, format="svg")
    return page.getvalue().decode()


def test_the_picture_shows_every_man_and_who_has_whom() -> None:
    f = se.formation(chip="wide L", back="left").with_stunts(("2i R", "wide R"))
    assert set(texts(f)) >= {"LT", "C", "RT", "QB", "RB", "wing L", "wide L", "2i R"}
    page = svg(f)
    for one in f.protectors:
        assert (f'id="has_{one.name}"' in page) == bool(one.man)
