"""Two men, or one man in two spans of games, side by side: the same splits, differences with intervals, and what each
man's reps look like at the same moments."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import numpy.typing as npt

from .._core import InputError
from ..base.rows import slices
from ..base.tables import given_out
from ..base.text import listed, shown, word
from ..base.vocabulary import JUDGED, OUTCOMES
from .reps import Reps
from .results import Measures
from .summary import DEPTHS, MEDIANS, Z, check_labels, figures, wilson

if TYPE_CHECKING:
    import pyarrow as pa

Floats = npt.NDArray[np.float64]

ROLES = ("protector", "rusher")
SPLITS = ("technique", "helped", "drop_depth")
WHOLE = "all"  # the split that is none
SHARES = {"beat": "judged", "driven": "judged", "pressure": "rushed"}  # a share, and of what
SHOWN = ("cutoff_ratio", "blocker_range", "outside_exposure", "inside_exposure", "distance")
MOMENTS = tuple(np.arange(-0.5, 2.01, 0.25).tolist())  # s after first contact
NEAR = 0.13  # s: a frame stands for a moment within this


@dataclass(frozen=True)
class Side:
    """One of the two: a man in some games."""

    reps: tuple[Reps, ...]
    player: str
    role: str  # protector or rusher

    def columns(self, keys: Sequence[str], without_label: Sequence[str], marks: str) -> dict[str, Any]:
        """His rows of all games as columns; the keys as texts (None for none) under "by ..."."""
        parts: dict[str, list[npt.NDArray[Any]]] = {}
        for reps in self.reps:
            rows, dropbacks = reps.coded_with_corrections, reps.coded["dropbacks"]
            splitting = reps._splitting(marks)
            if keys:
                splitting.checked("reps", keys)
            left_out = [reps.labels.index(label) for label in without_label if label in reps.labels]
            plays = dropbacks["play"][np.isin(dropbacks["label"], left_out)]
            his = reps.player_ids.index(self.player) if self.player in reps.player_ids else -2
            where = np.flatnonzero((rows[self.role] == his) & ~np.isin(rows["play"], plays))
            for name, values in rows.items():
                parts.setdefault(name, []).append(values[where])
            for key in keys:
                codes, texts = splitting.column("reps", key, rows)
                said = np.array([*texts, None], object)[codes[where]]
                parts.setdefault(f"by {key}", []).append(said)
        return {name: np.concatenate(values) for name, values in parts.items()}


def compare(
    reps: Reps | Sequence[Reps],
    player: object,
    *,
    against: object = None,
    against_reps: Reps | Sequence[Reps] | None = None,
    by: Sequence[str] = SPLITS,
    without_label: Sequence[str] = (),
    marks: Literal["professional", "college", "high school"] = "professional",
) -> Any:
    """Two men side by side, or one man in two spans of games: a row a split and value, with differences.

    reps: of the games of `player`. against: the other man; None: the same man, in other games. against_reps: the games
    of the other; None: the same games. by: which splits, each a key of Reps.summary (a column that was brought must be
    in every game), beside the whole ("all"). marks: of the field, for "hash".
    without_label: plays with these labels count for neither.

    Columns: split, value (null: not known), then, for one and for the other (`_one`, `_other`): judged; rushed (judged
    and free); beat, driven and pressure, each with its share, low and high (Wilson 95 %; beat and driven of judged,
    pressure of rushed); the median of each of the summary's figures over the judged rows that have it. Then of each
    share `_difference` (one less the other) with `_difference_low`, `_difference_high`: Newcombe's hybrid score
    interval (1998, "Interval estimation for the difference between independent proportions", method 10); of each
    median's figure the shift between the two, the median of all differences of a row of the one and a row of the other,
    with the 95 % interval of its ranks (Hodges and Lehmann 1963; normal approximation, which needs 5 rows of each: else
    NaN). small: fewer than 10 judged on a side. An interval that holds 0 says that these reps cannot tell the two
    apart; many intervals at once hold by chance less than all of them. No grade.

    Raises InputError for a man who has no row, when one protects and the other rushes, or for the same man in the same
    games.
    """
    one, other = sides(reps, player, against, against_reps)
    return given_out(compare_arrow(one, other, by, without_label, marks), one.reps[0].library)


def sides(
    reps: Reps | Sequence[Reps], player: object, against: object, against_reps: Reps | Sequence[Reps] | None
) -> tuple[Side, Side]:
    """Both sides of a comparison, checked."""
    first, second = word(player), word(player if against is None else against)
    mine = (reps,) if isinstance(reps, Reps) else tuple(reps)
    theirs = (
        mine if against_reps is None else (against_reps,) if isinstance(against_reps, Reps) else tuple(against_reps)
    )
    for made in (*mine, *theirs):
        if not isinstance(made, Reps):
            raise InputError(f"reps: found {type(made).__name__}; accepted: Reps, or a list of them")
    if first == second and {made.digest for made in mine} & {made.digest for made in theirs}:
        raise InputError(
            f"against: player {shown(first)} against himself in the same games; accepted: another man, or games of "
            "another span (against_reps)"
        )
    counts = [
        {role: sum(rows_of(made, player, role) for made in some) for role in ROLES}
        for some, player in ((mine, first), (theirs, second))
    ]
    for some, player, counted in ((mine, first, counts[0]), (theirs, second, counts[1])):
        if not any(counted.values()):
            raise InputError(
                f"no rep of player {shown(player)} in {listed([made.game_name for made in some], 5)}; accepted: a "
                "protector or a rusher of these games"
            )
    roles = [max(ROLES, key=lambda role: counted[role]) for counted in counts]
    if roles[0] != roles[1]:
        doing = {"protector": "protects", "rusher": "rushes"}
        raise InputError(
            f"against: {shown(first)} {doing[roles[0]]} and {shown(second)} {doing[roles[1]]}; accepted: two men who "
            "do the same"
        )
    return Side(mine, first, roles[0]), Side(theirs, second, roles[1])


def rows_of(made: Reps, player: str, role: str) -> int:
    if player not in made.player_ids:
        return 0
    return int(np.sum(made.coded["reps"][role] == made.player_ids.index(player)))


def compare_arrow(
    one: Side, other: Side, by: Sequence[str], without_label: Sequence[str], marks: str = "professional"
) -> pa.Table:
    """`compare` as an Arrow table."""
    import pyarrow as pa

    check_labels(without_label, {label for side in (one, other) for made in side.reps for label in made.labels})
    columns = [side.columns(by, without_label, marks) for side in (one, other)]
    made: list[dict[str, Any]] = [{"split": WHOLE, "value": None} | both(*columns)]
    for key in by:
        for value in values_of(key, columns):
            parts = [taken(rows, np.flatnonzero(rows[f"by {key}"] == value)) for rows in columns]
            if any(len(rows["outcome"]) for rows in parts):
                made.append({"split": key, "value": in_words(key, value)} | both(*parts))
    texts = {name: pa.array([row[name] for row in made], pa.string()) for name in ("split", "value")}
    numbers = {name: pa.array([row[name] for row in made]) for name in made[0] if name not in texts}
    return pa.table(texts | numbers)


def values_of(key: str, columns: Sequence[Mapping[str, Any]]) -> list[Any]:
    """The values a key has on either side, in the order they are shown in; none comes last."""
    found = {value for rows in columns for value in rows[f"by {key}"].tolist()}
    known = list(DEPTHS) if key == "drop_depth" else []
    place = {value: n for n, value in enumerate(known)}
    return sorted(found, key=lambda value: (value is None, place.get(value, len(place)), str(value)))


def in_words(key: str, value: Any) -> str | None:
    if isinstance(value, bool | np.bool_):
        return {"helped": ("alone", "with help")}.get(key, ("no", "yes"))[bool(value)]
    return None if value is None else str(value)


def taken(rows: Mapping[str, Any], where: npt.NDArray[np.intp]) -> dict[str, Any]:
    return {name: values[where] for name, values in rows.items()}


def both(one: Mapping[str, Any], other: Mapping[str, Any]) -> dict[str, Any]:
    """The figures of one group of rows of each side, and how they differ."""
    groups = [figures(rows, np.arange(len(rows["outcome"]))) for rows in (one, other)]
    made: dict[str, Any] = {}
    for name, group in zip(("one", "other"), groups, strict=True):
        made[f"judged_{name}"], made[f"rushed_{name}"] = group["judged"], group["judged"] + group["free"]
        for share, of in SHARES.items():
            count, all = counted(group, share, of)
            low, high = wilson(count, all)
            made[f"{share}_{name}"] = count
            made[f"{share}_share_{name}"] = count / all if all else math.nan
            made[f"{share}_low_{name}"], made[f"{share}_high_{name}"] = low, high
        made |= {f"median_{figure}_{name}": group[f"median_{figure}"] for figure in MEDIANS}
    for share, of in SHARES.items():
        told = newcombe(*counted(groups[0], share, of), *counted(groups[1], share, of))
        made |= named(share, told)
    for figure in MEDIANS:
        made |= named(figure, shift(*(judged_values(rows, figure) for rows in (one, other))))
    made["small"] = any(group["small"] for group in groups)
    return made


def named(name: str, told: tuple[float, float, float]) -> dict[str, float]:
    return dict(zip((f"{name}_difference", f"{name}_difference_low", f"{name}_difference_high"), told, strict=True))


def counted(group: Mapping[str, Any], share: str, of: str) -> tuple[int, int]:
    count = group["pressures" if share == "pressure" else share]
    return int(count), int(group["judged"] + (group["free"] if of == "rushed" else 0))


def judged_values(rows: Mapping[str, Any], figure: str) -> Floats:
    is_judged = np.isin(rows["outcome"], [OUTCOMES.index(one) for one in JUDGED])
    values: Floats = np.asarray(rows[figure], float)[is_judged]
    there: Floats = values[~np.isnan(values)]
    return there


def newcombe(count: int, of: int, other_count: int, other_of: int) -> tuple[float, float, float]:
    """The difference of two independent shares with its 95 % interval (Newcombe 1998, method 10, without continuity
    correction); NaN when one is of nothing."""
    if not of or not other_of:
        return math.nan, math.nan, math.nan
    share, other = count / of, other_count / other_of
    (low, high), (other_low, other_high) = wilson(count, of), wilson(other_count, other_of)
    less = math.hypot(share - low, other_high - other)
    more = math.hypot(high - share, other - other_low)
    return share - other, share - other - less, share - other + more


def shift(one: Floats, other: Floats) -> tuple[float, float, float]:
    """How far the one lie above the other: the median of all differences, with the 95 % interval of its ranks (normal
    approximation); NaN with fewer than 5 of each, as its interval would be all of them."""
    n, m = len(one), len(other)
    if n < 5 or m < 5:
        return math.nan, math.nan, math.nan
    differences = np.sort((one[:, None] - other[None, :]).ravel())
    outside = math.floor(n * m / 2 - Z * math.sqrt(n * m * (n + m + 1) / 12))
    cut = min(max(outside, 0), n * m - 1)
    return float(np.median(differences)), float(differences[cut]), float(differences[n * m - 1 - cut])


def aligned(measured: Sequence[Measures], side: Side, without_label: Sequence[str] = ()) -> list[dict[str, Any]]:
    """What his judged reps look like at the same moments, s after first contact: a dict a moment and figure of the
    rushers table, with n (reps that have it then), low, median, high (quartiles). measured: of the games of
    `side.reps`, in their order. A rep counts up to its end, and only while he is the man who has the rusher."""
    found: dict[tuple[float, str], list[float]] = {(moment, name): [] for moment in MOMENTS for name in SHOWN}
    for m, reps in zip(measured, side.reps, strict=True):
        if side.player not in reps.player_ids:
            continue
        rows, rushers = reps.coded_with_corrections, m.coded["rushers"]
        place = {man: code for code, man in enumerate(m.player_ids)}
        play_at = {play: code for code, play in enumerate(m.play_ids)}
        labels = {reps.labels.index(label) for label in without_label if label in reps.labels}
        skipped = {
            play
            for play, label in zip(*(reps.coded["dropbacks"][name].tolist() for name in ("play", "label")), strict=True)
            if label in labels
        }
        rows_at = slices(rushers["play"])
        his = np.flatnonzero(rows[side.role] == reps.player_ids.index(side.player))
        judged = [OUTCOMES.index(outcome) for outcome in JUDGED]
        for row in his.tolist():
            contact = float(rows["contact_time"][row])
            if math.isnan(contact) or int(rows["outcome"][row]) not in judged or int(rows["play"][row]) in skipped:
                continue
            play = play_at[reps.play_ids[rows["play"][row]]]
            man, blocker = (place[reps.player_ids[rows[who][row]]] for who in ("rusher", "protector"))
            if play not in rows_at:
                continue
            at = rows_at[play]
            mine = (rushers["rusher"][at] == man) & (rushers["blocker"][at] == blocker)
            mine &= (rushers["time"][at] >= rows["start"][row] - 1e-6) & (
                rushers["time"][at] <= rows["end"][row] + 1e-6
            )
            frames = np.flatnonzero(mine) + at.start
            if not len(frames):
                continue
            since = rushers["time"][frames] - contact
            for moment in MOMENTS:
                nearest = int(np.argmin(np.abs(since - moment)))
                if abs(since[nearest] - moment) > NEAR:
                    continue
                for name in SHOWN:
                    value = float(rushers[name][frames[nearest]])
                    if math.isfinite(value):
                        found[moment, name].append(value)
    made = []
    for (moment, name), values in found.items():
        low, middle, high = np.quantile(values, (0.25, 0.5, 0.75)) if values else (math.nan,) * 3
        made.append(
            {
                "moment": moment,
                "figure": name,
                "n": len(values),
                "low": float(low),
                "median": float(middle),
                "high": float(high),
            }
        )
    return made
