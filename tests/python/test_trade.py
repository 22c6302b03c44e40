"""What line coaches take for granted, on small scripted plays.

Every fact here is common practice without a source that can be cited; none of the figures in the scripts is measured.
"""

import numpy as np
import pandas as pd
import pytest
from numpy.typing import ArrayLike, NDArray

import shortedge as se
from conftest import LINE, taken, written

Path = NDArray[np.float64]
RATE = 20.0  # frames a second
PEOPLE = {"QB": ("offense", "QB", None)} | {slot: ("offense", slot, None) for slot in LINE}
PEOPLE |= {name: ("defense", "DE", "rusher") for name in ("LE", "RE")}
KICK = 2.4  # yd/s, a tackle's kick-slide


def along(*stops: tuple[float, float, float], until: float) -> Path:
    """Stops (time, u, v), straight between them: one place a frame."""
    t, u, v = np.array(stops).T
    now = np.arange(round(until * RATE) + 1) / RATE
    return np.column_stack([np.interp(now, t, u), np.interp(now, t, v)])


def measured(men: dict[str, ArrayLike]) -> se.Measures:
    """One play of the line as it stands, but for the men given."""
    people = {name: PEOPLE[name] for name in {**LINE, **men}}
    return se.measure(taken(written({"play": {**LINE, **men}}, people, RATE)))


def rows_of(measures: se.Measures, rusher: str) -> pd.DataFrame:
    rows = measures.rushers
    return rows[rows["rusher"] == rusher].sort_values("time")


def at_end(measures: se.Measures, side: str) -> pd.Series:
    """That side's edge in the last frame."""
    edges = measures.edges
    return edges[edges["side"] == side].sort_values("time").iloc[-1]


# --- the set against a wide rusher -----------------------------------------------------------------------------------


def peak_cutoff(depth: float, wide: float) -> float:
    """The greatest cut-off ratio to the spot, `depth` yd behind the ball, that a tackle meets in one rep.

    His man stands `wide` yd outside him and runs straight at the spot; the tackle kicks to the point of that line where
    he is needed, until they meet or the man is by.
    """
    spot, rusher, tackle = np.array([0.0, depth]), np.array([3.2 + wide, -0.9]), np.array([3.2, 0.7])
    step, peak = 0.01, 0.0
    for now in np.arange(0, 3, step):
        apart = float(np.hypot(*(tackle - rusher)))
        ratio = se.cutoff_ratio(rusher, tackle, spot)
        peak = max(peak, ratio)
        if apart <= 1.2 or ratio >= 1:
            break
        line = (spot - rusher) / np.hypot(*(spot - rusher))
        along_line = float((tackle - rusher) @ line)
        needed = apart**2 / along_line if along_line > 0 else np.inf
        target = rusher + min(needed, float(np.hypot(*(spot - rusher)))) * line
        rusher = rusher + 9.7 * (1 - np.exp(-max(0.0, now - 0.2) / 0.9)) * step * line
        if now > 0.15:
            gap = target - tackle
            tackle = tackle + gap * min(1.0, KICK * step / max(1e-9, float(np.hypot(*gap))))
    return peak


@pytest.mark.parametrize("wide", [2.0, 3.0, 4.0])
def test_ten_yards_is_a_very_deep_drop(wide: float) -> None:
    """From under centre: hard on a tackle left alone, where seven to nine is a normal seven-step drop."""
    peaks = [peak_cutoff(depth, wide) for depth in (5, 6, 7, 8, 9, 10)]
    assert peaks == sorted(peaks)
    assert peaks[5] > 1.2 * peaks[2]  # ten against seven: clearly


@pytest.mark.parametrize("depth", [7.0, 9.0])
def test_a_wide_alignment_is_harder_to_reach(depth: float) -> None:
    peaks = [peak_cutoff(depth, wide) for wide in (1.0, 1.5, 2.0, 2.5, 3.0)]
    assert peaks == sorted(peaks)
    assert peaks[-1] > peaks[0] + 0.1


# --- the edge --------------------------------------------------------------------------------------------------------


def blitz_met_at(u: float, v: float) -> se.Measures:
    """A wide man comes from the left; the left tackle meets him there, a yard from where the tackle then stands."""
    length = float(np.hypot(u, v - 8))
    u_man, v_man = u * (1 + 1 / length), v + (v - 8) / length
    return measured(
        {
            "QB": along((0, 0, 1), (1.5, 0, 8), until=2),
            "LT": along((0, *LINE["LT"]), (1, u, v), until=2),
            "LG": along((0, *LINE["LG"]), (1, -1.7, 2.4), until=2),
            "RT": along((0, *LINE["RT"]), (1, 3.3, 2.6), until=2),
            "LE": along((0, -9, -1), (1, u_man, v_man), until=2),
        }
    )


def test_tackle_out_on_a_wide_blitzer_leaves_the_edge_to_the_guard() -> None:
    """He goes out to meet the man: the guard sets the edge, and it is narrower than when the tackle sets and waits."""
    out, home = at_end(blitz_met_at(-7.2, 1.6), "left"), at_end(blitz_met_at(-3.8, 3.6), "left")
    assert (out["edge_man"], home["edge_man"]) == ("LG", "LT")
    assert out["edge_given"] > 1
    assert out["edge_given"] > home["edge_given"]
    assert out["edge_width"] < home["edge_width"] - 1


def test_a_deep_drop_straightens_the_way_round_the_tackle() -> None:
    """Rusher and tackle held: the deeper the passer, the less the rusher must bend, and the shorter the edge."""
    depths = (5, 6, 7, 8, 9, 10)
    stands = np.tile((4.6, 1.0), (int(RATE), 1))  # for a second: who has him is found over time
    held = [rows_of(measured({"QB": (0, depth), "RT": (3.4, 2.5), "RE": stands}), "RE").iloc[-1] for depth in depths]
    assert {row["blocker"] for row in held} == {"RT"}
    bends, shorts = [row["outside_bend"] for row in held], [row["short_edge"] for row in held]
    assert all(np.diff(bends) < 0)
    assert all(np.diff(shorts) >= 0)
    assert shorts[-1] > shorts[0] + 0.25


def leverage(inside_by: float) -> pd.DataFrame:
    """A rep to the passer at his spot: the tackle stays a yard before his man, that far inside the line to the spot."""
    spot = np.array([0.0, 7.5])
    man = along((0, 4.6, -1), (0.8, 4.4, 1.8), (2.0, 3.6, 3.6), until=2)
    line = (spot - man) / np.hypot(*(spot - man).T)[:, None]
    inside = np.column_stack([-line[:, 1], line[:, 0]])
    inside *= np.sign(inside @ [-1.0, 0.0])[:, None]
    rows = rows_of(measured({"QB": spot, "RT": man + line + inside_by * inside, "RE": man}), "RE")
    assert set(rows["blocker"]) == {"RT"}
    return rows[rows["time"] >= 0.5]


def test_inside_out_leverage() -> None:
    """Half a man (0.33 yd) inside his rusher, between him and the spot, he holds his corner; a whole man inside he
    has given it."""
    half, whole = leverage(0.33), leverage(0.9)
    assert (half["corner_held"] > 0.5).all()
    assert (half["short_edge"] < 0.5).all()
    assert (whole["corner_held"] < 0.5).all()
    assert (whole["short_edge"] > 0.5).all()


# --- from the gun ----------------------------------------------------------------------------------------------------


def spin_inside(depth: float) -> pd.DataFrame:
    """The end sets the tackle up outside, spins inside him at one second, and runs at a passer who drops to `depth`
    from the gun at 3.6 yd/s."""
    free = np.hypot(2.5, depth - 3.0) / 6.0  # s from there to the passer
    return rows_of(
        measured(
            {
                "QB": along((0, 0, 5), ((depth - 5) / 3.6, 0, depth), until=2),
                "RT": along((0, *LINE["RT"]), (1, 3.3, 3.2), (1.4, 3.6, 3.3), until=2),
                "RE": along((0, 4.3, -1), (1, 3.9, 2.3), (1.4, 2.5, 3.0), (1.4 + free, 0, depth), until=2),
            }
        ),
        "RE",
    )


def soon_after(rows: pd.DataFrame) -> float:
    """The greatest inside exposure within half a second of the moment the rusher is past his man."""
    beat = rows.loc[rows["cutoff_ratio"] >= 1, "time"].iloc[0]
    assert beat > 1
    return float(rows.loc[rows["time"].between(beat, beat + 0.5), "inside_exposure"].max())


def test_an_inside_spin_from_the_gun_is_in_the_passers_face() -> None:
    """A one-step drop from the gun is short: exposure near 1 within half a second. From ten yards he has time."""
    assert soon_after(spin_inside(5.5)) > 0.9
    assert soon_after(spin_inside(10.0)) < 0.8
