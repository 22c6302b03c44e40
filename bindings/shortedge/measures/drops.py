"""How deep a drop stresses the edge: on a recorded play, and in the closed form of one still frame."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import Assumptions, InputError, Rules
from ..base.columns import Floats
from ..base.files import write_whole
from ..base.tables import csv_text, given_out
from ..base.text import shown, word
from ..game.game import Game, check_game
from ..game.points import Points, cutoff_ratio, given_back, numbers, single, together, way_round
from .results import Results, made_from, rules_or_default

if TYPE_CHECKING:
    import pyarrow as pa

DEEPEST = 20.0  # yd, the deepest drop that can be asked for; ten is very deep from under centre (no source)
WIDEST = 15.0  # yd outside the tackle
FASTEST = 2.0  # the protector's speed as a share of the rusher's
WIDTHS = tuple(np.arange(1.0, 5.01, 0.5).tolist())
DEPTHS = tuple(np.arange(4.0, 12.01, 1.0).tolist())
SPEED_RATIOS = (0.35, 0.45, 0.55, 0.65, 0.75)
TABLE_ENDS = (".csv", ".parquet")


def break_even_depth(rusher: Points, blocker: Points, passer: Points, speed_ratio: npt.ArrayLike = 1.0) -> Any:
    """How deep the passer may go before this blocker loses the angle: yd behind the line of scrimmage.

    The least depth, from the passer's own on straight back from him, at which the cut-off ratio reaches `speed_ratio`,
    the blocker's speed as a share of the rusher's: closed form, of men who stand where they stand, so only an ordering.
    +inf when it never does, NaN when the ratio is that or more already. Points (..., 2) as u, v in yd (v behind the
    line) and speed_ratio broadcast as NumPy does; a float for a single case. NaN in, NaN out. InputError for other
    shapes, or a speed ratio that is not finite and above 0.
    """
    share = numbers(speed_ratio, "speed_ratio")
    check_range("speed_ratio", share, 0, math.inf, "")
    shape, (r, b, q) = together({"speed_ratio": share.shape}, rusher=rusher, blocker=blocker, passer=passer)
    each = np.ascontiguousarray(np.broadcast_to(share, shape).reshape(-1))
    return given_back(_core.break_even_depth(r, b, q, each), shape)


def still_margin(
    rusher: Points,
    blocker: Points,
    side: int,
    spot: Points,
    throw: float,
    *,
    top_speed: float | None = None,
    tau: float | None = None,
    rules: Rules | None = None,
) -> float:
    """The margin of a still frame, s: how long after the throw the rusher would be at the spot if from now on, from
    rest, he ran round the outside of a blocker who stays where he is. throw: s from this frame on.

    It is what `margin` of a recorded play is at first contact (core/base/COLUMNS.md, drops), asked of a frame in which
    nobody has moved. The blocker does move, so it only ranks depths and alignments. Points in yd; side: the blocker's,
    -1 left, 1 right. top_speed, tau: the rusher's own, instead of the rules'.
    """
    used = rules or Rules()
    own = {name: value for name, value in (("vmax", top_speed), ("tau", tau)) if value is not None}
    return float(way_round(rusher, blocker, spot, side, rules=Rules(**{**used.as_dict(), **own})).time - throw)


def drop_study(
    game: Game, play: object, *, depths: Sequence[float] | None = None, rules: Rules | None = None
) -> DropStudy:
    """What another depth of the drop would have asked of the edge protectors of a recorded play.

    Everybody but the passer keeps his track. The passer gets off and gathers as he did; between the two he goes on at
    his own drop speed (from the start of the drop to its top) to `depths`, or gathers earlier; hitch and slide are
    moved along. The figures go up to the recorded first contact of edge protector and rusher, for from then on both
    would have moved otherwise. Until he gathers no depth differs from another, so before an early contact only the
    figures to the spot (where the drop tops) do.

    depths: yd; None: every half yard from 5 to 12 that this drop can be stretched to. Depths shallower than the drop
    can be shortened to (from pistol or gun he stands deep already) or over 20 yd are left out, and said in `left_out`.
    The depth actually taken is a row of its own, `taken`. Raises InputError for an unknown play, when no depth is left,
    or for any depth where the passer never drops or is not seen where he gathers.
    """
    check_game(game)
    rules = rules_or_default(rules)
    wanted = None if depths is None else sequence("depths", depths).tolist()
    row = game.row(play)
    left_out: tuple[float, ...] = ()
    if wanted is not None and np.isfinite(wanted).all():
        shallowest = _core.drop_study(game.core, row, rules, [])["shallowest"]
        left_out = tuple(depth for depth in wanted if not shallowest <= depth <= DEEPEST)
        if len(left_out) < len(wanted):
            wanted = [depth for depth in wanted if depth not in left_out]
    found = _core.drop_study(game.core, row, rules, wanted)
    return DropStudy(
        {"drops": found["drops"]},
        *made_from(game, rules),
        game,
        word(play),
        found["speed"],
        found["shallowest"],
        left_out,
        sources=game.sources,
    )


@dataclass(eq=False, repr=False)
class DropStudy(Results):
    """The curve over the depth of the drop, left and right, of one recorded play: `table`, `draw()`, `save()`.

    `drop_speed` (yd/s) is the passer's own, `shallowest` (yd) what his drop can be shortened to; NaN when he never
    drops, and then only the drop as taken has rows. Geometry of recorded tracks up to first contact, not a forecast.
    """

    game: Game | None = None
    play_id: str = ""
    drop_speed: float = math.nan
    shallowest: float = math.nan
    left_out: tuple[float, ...] = ()  # depths (yd) that were asked for and that this drop cannot have

    def __repr__(self) -> str:
        coded = self.coded["drops"]
        taken = coded["taken"].astype(bool)
        others = np.unique(coded["depth"][~taken])
        asked = f"{len(others)} depths from {others[0]:g} to {others[-1]:g} yd" if len(others) else "no other depth"
        return f"DropStudy({self.game_name!r}, play {self.play_id!r}: taken {coded['depth'][taken][0]:.1f} yd, {asked})"

    @property
    def table(self) -> Any:
        """A row a side and depth, left first; columns: core/base/COLUMNS.md and `_core.columns()`."""
        return self._table("drops")

    def save(self, path: str | os.PathLike[str]) -> None:
        """Keeps the table: .csv, or .parquet with rules, version and the game's digest. What stood there is whole until
        the new file is. Raises FileError, also for a file the game was read from."""
        save_table(self.arrow("drops"), table_path(path), self._about, self.sources)


def break_even_study(
    *,
    widths: Sequence[float] = WIDTHS,
    depths: Sequence[float] = DEPTHS,
    speed_ratios: Sequence[float] = SPEED_RATIOS,
    tackle: Points = (3.2, 0.7),
    rusher_depth: float = -0.9,
    passer: Points = (0.0, 3.0),
) -> BreakEven:
    """Break-even depths over alignment width and speed ratio, and the ratio asked over width and depth of the drop.

    A still frame, the men at the snap's positions: the tackle at (u, v), a rusher `widths` yd outside him at v =
    `rusher_depth` (negative: on his own side of the line), the passer going straight back from `passer`, by default
    from 3 yd on: before that the line of a rusher close by runs past the tackle's inside, which tells nothing of the
    drop. So it is only an ordering: wider and slower means shallower. Nobody moves in it; how deep is too deep is for
    drop_study and the film.

    Raises InputError for widths beyond 0 to 15 yd, depths beyond the passer's own to 20 yd, speed ratios beyond 0 to 2,
    or a place that is not finite.
    """
    wide, deep, share = (
        sequence(name, given)
        for name, given in (("widths", widths), ("depths", depths), ("speed_ratios", speed_ratios))
    )
    at, stands = single(tackle, "tackle"), single(passer, "passer")
    if not (isinstance(rusher_depth, int | float) and math.isfinite(rusher_depth)):
        raise InputError(f"rusher_depth is {shown(rusher_depth)}; accepted: a finite number of yd")
    check_range("widths", wide, 0, WIDEST, "yd")
    check_range("depths", deep, float(stands[1]), DEEPEST, "yd")
    check_range("speed_ratios", share, 0, FASTEST, "")
    return BreakEven(wide, deep, share, at, float(rusher_depth), stands)


@dataclass(frozen=True, eq=False)
class BreakEven:
    """Break-even depths of a still frame: `table`, `ratios`, `draw()`. Positions at the snap, so only an ordering."""

    widths: Floats  # yd outside the tackle
    depths: Floats  # yd
    speed_ratios: Floats
    tackle: Floats  # u, v
    rusher_depth: float  # v
    passer: Floats  # u, v

    def __repr__(self) -> str:
        return f"BreakEven({len(self.widths)} widths, {len(self.speed_ratios)} speed ratios, {len(self.depths)} depths)"

    @property
    def table(self) -> Any:
        """A row a width and speed ratio: width (yd outside the tackle), speed_ratio (the tackle's speed as a share of
        the rusher's), break_even (yd; +inf: no depth loses him the angle; NaN: lost where the passer begins)."""
        return given_out(self.arrow())

    @property
    def ratios(self) -> Any:
        """A row a width and depth of the drop: width, depth (yd), cutoff_ratio: the depth is the break-even depth of a
        tackle with that share of the rusher's speed."""
        wide, deep = (grid.ravel() for grid in np.meshgrid(self.widths, self.depths, indexing="ij"))
        return given_out(arrow(width=wide, depth=deep, cutoff_ratio=self.asked(wide, deep)))

    @property
    def margins(self) -> Any:
        """A row a width and depth of the drop: width, depth (yd), margin (s): how long after the throw a rusher of the
        rules' speed would be at the spot, from rest round the outside of a tackle who stays where he is; the drop from
        under centre as assumed, and 0.65 s held. As `margin` of Simulation.break_even, so only an ordering."""
        wide, deep = (grid.ravel() for grid in np.meshgrid(self.widths, self.depths, indexing="ij"))
        side = 1 if self.tackle[0] >= self.passer[0] else -1
        stands = float(self.passer[0]), float(self.passer[1])
        throws = {
            depth: _core.planned_top("under", stands, 0.0, 0.0, depth, Assumptions()) + _core.USUAL_HOLD
            for depth in self.depths.tolist()
        }
        found = [
            still_margin(at, self.tackle, side, (self.passer[0], depth), throws[depth])
            for at, depth in zip(self.rushers_at(wide), deep.tolist(), strict=True)
        ]
        return given_out(arrow(width=wide, depth=deep, margin=np.array(found)))

    def asked(self, widths: Floats, depths: Floats) -> Floats:
        """The cut-off ratio at each of equally many widths and depths of the drop."""
        spot = np.stack([np.full(len(depths), self.passer[0]), depths], axis=-1)
        return np.asarray(cutoff_ratio(self.rushers_at(widths), self.tackle, spot))

    def arrow(self) -> pa.Table:
        """`table` as an Arrow table."""
        wide, share = (grid.ravel() for grid in np.meshgrid(self.widths, self.speed_ratios, indexing="ij"))
        return arrow(width=wide, speed_ratio=share, break_even=self.depths_for(wide, share))

    def depths_for(self, widths: Floats, speed_ratios: Floats) -> Floats:
        """The break-even depth of each of equally many widths and speed ratios."""
        return np.asarray(break_even_depth(self.rushers_at(widths), self.tackle, self.passer, speed_ratio=speed_ratios))

    def rushers_at(self, widths: Floats) -> Floats:
        """Where a rusher of each width stands."""
        out = math.copysign(1, self.tackle[0] - self.passer[0])
        return np.stack([self.tackle[0] + out * widths, np.full(len(widths), self.rusher_depth)], axis=-1)

    def save(self, path: str | os.PathLike[str]) -> None:
        """Keeps `table`: .csv, or .parquet with the library's version. What stood there is whole until
        the new file is. Raises FileError."""
        save_table(self.arrow(), table_path(path), {"library_version": _core.__version__})


def arrow(**columns: Floats) -> pa.Table:
    import pyarrow as pa

    return pa.table(columns)


def depth_text(depth: float) -> str:
    """A break-even depth in words: yd, "never" (no depth loses him the angle), "lost" (he has not got it at first)."""
    return "lost" if np.isnan(depth) else f"{depth:.1f}" if np.isfinite(depth) else "never"


def sequence(name: str, values: Any) -> Floats:
    """Numbers in one row, one or more."""
    row = numbers(values, name)
    if row.ndim != 1 or not len(row):
        raise InputError(f"{name} is {shown(values)}; accepted: one number or more, in a list")
    return row


def check_range(name: str, values: Floats, low: float, high: float, unit: str) -> None:
    """Finite, at most `high`, and more than `low`, which a length (with a unit) may be itself."""
    good = np.isfinite(values) & (values <= high) & ((values >= low) if unit else (values > low))
    if good.all():
        return
    found = f"{float(values[~good].flat[0]):g} {unit}".rstrip()
    above = f"{low:g}" if unit else f"more than {low:g}"
    limits = f"{above} to {high:g} {unit}".rstrip() if math.isfinite(high) else f"finite, {above}"
    raise InputError(f"{name}: found {found}; accepted: {limits}")


def table_path(path: str | os.PathLike[str]) -> Path:
    """Where a table is to be written. InputError for a kind of file that is not."""
    target = Path(path)
    if target.suffix.lower() not in TABLE_ENDS:
        raise InputError(f"table {shown(str(target))}; accepted: a name that ends in {', '.join(TABLE_ENDS)}")
    return target


def save_table(table: pa.Table, target: Path, about: Mapping[str, str], inputs: Sequence[Path] = ()) -> None:
    """inputs: what it was made from, on which nothing is written."""
    if target.suffix.lower() == ".csv":
        write_whole(target, csv_text(table).encode(), inputs)
        return
    import pyarrow as pa
    from pyarrow import parquet

    page = pa.BufferOutputStream()
    said = table.replace_schema_metadata({f"shortedge.{key}": value for key, value in about.items()})
    parquet.write_table(said, page, compression="zstd", write_page_checksum=True)
    write_whole(target, page.getvalue().to_pybytes(), inputs)
