"""The board: a frame whose men are moved by hand, measured by the same core in the page itself.

    se.board()                            # a front at the snap; se.board(se.formation(front=...))
    m.board("P042", 2.1)                  # a recorded frame; a notebook shows it
    m.board("P042", 2.1).to_html("b.html")

The page holds the core as WebAssembly (board_parts/core.wasm.z, made by bindings/wasm/make.sh) and works out no
geometry of its own: scripts hand tables of numbers over, by the names that the core gives them. Its
Content-Security-Policy is that of the other pages and three things more: 'wasm-unsafe-eval', without which no browser
compiles WebAssembly; worker-src blob:, as the worker of the simulation is made of the page's own text; img-src data:,
for pictures that are exported as PNG.
"""

from __future__ import annotations

import base64
import os
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from .._core import InputError, Rules
from ..base.checks import number
from ..base.files import write_whole
from ..base.text import shown
from ..measures.drops import FASTEST, WIDEST, BreakEven, check_range
from ..measures.results import rules_or_default
from ..simulation.formations import Formation
from ..simulation.fronts import formation
from . import board_start
from .player import Beside, _short, _sources, as_json, as_text

if TYPE_CHECKING:
    from ..measures.results import Measures

FOLDER = Path(__file__).parent / "board_parts"
SCRIPTS = ("core", "state", "field", "figures", "run", "keep", "board")  # one module, in this order
SIGNS = "{}()[];:,=?&|<>+*"  # round which scripts need no blanks
DEPTH = 7.0  # yd, of the passer on a board that starts from a front
WIDTH, TALL = 3.0, "64rem"  # yd outside his tackle, of a still frame; of a notebook's frame


@dataclass(frozen=True, eq=False)
class Board:
    """A frame whose men can be moved; made by `board` or Measures.board. A notebook shows it."""

    title: str
    start: dict[str, Any]
    sources: tuple[Path, ...] = ()  # of a recorded game: nothing is written on them

    def __repr__(self) -> str:
        return f"Board({self.title!r}: {len(self.start['men'])} men)"

    def to_html(self, path: str | os.PathLike[str] | None = None) -> str:
        """The board as a page of its own, that opens offline; written to `path` too, if given."""
        text = page(self.start)
        if path is not None:
            write_whole(Path(path), text.encode(), self.sources)
        return text

    def _repr_html_(self) -> str:
        inside = self.to_html().replace("&", "&amp;").replace("'", "&#39;")
        return (
            f'<iframe sandbox="allow-scripts allow-downloads allow-modals" title="{as_text(self.title)}" '
            f"style=\"width:100%;height:{TALL};border:0\" srcdoc='{inside}'></iframe>"
        )


def board(
    of: Formation | BreakEven | None = None,
    out: str | os.PathLike[str] | None = None,
    *,
    depth: float = DEPTH,
    rules: Rules | None = None,
) -> Board:
    """A board to move men on: a page in which pocket, edges, ways and break-even follow the hand.

    of: a formation (se.formation(front="wide L, 3 L, 1 R, wide R"), se.formation_of(game, play)); a break-even study,
    whose tackle then meets a rusher 3 yd outside him; None: four rushers with wide ends. A recorded frame:
    m.board(play, time). depth: yd, the passer's at first. out: where the page is written, too.

    A notebook shows it; `.to_html(path)` writes it. InputError for anything else to start from, and a depth outside
    1 to 20 yd or in front of where the passer takes the snap.
    """
    number("depth", depth, board_start.SHALLOWEST, board_start.MOST, "yd")
    used = rules_or_default(rules)
    if isinstance(of, BreakEven):
        start = board_start.of_still(of, WIDTH, board_start.SHARE, depth, used)
    elif of is None or isinstance(of, Formation):
        f = formation() if of is None else of
        number("depth", depth, f.passer[1], board_start.MOST, "yd (from where the passer takes the snap on)")
        start = board_start.of_formation(f, depth, used, "an invented front" if of is None else "")
    else:
        raise InputError(f"of is {shown(of)}; accepted: a Formation, a BreakEven, or nothing for a usual front")
    made = Board(start["title"], start)
    if out is not None:
        made.to_html(out)
    return made


def recorded(m: Measures, play: object, time: float) -> Board:
    """A recorded frame: the one nearest to `time`."""
    start = board_start.recorded(m, play, time)
    return Board(start["title"], start, m.sources)


def of_study(study: BreakEven, width: float, speed_ratio: float, depth: float) -> Board:
    """The still frame of a break-even study."""
    check_range("width", np.array([width], float), 0, WIDEST, "yd")
    check_range("speed_ratio", np.array([speed_ratio], float), 0, FASTEST, "")
    check_range("depth", np.array([depth], float), float(study.passer[1]), board_start.MOST, "yd")
    start = board_start.of_still(study, width, speed_ratio, depth, Rules())
    return Board(start["title"], start)


def page(start: board_start.Start) -> str:
    """The whole document."""
    scripts, styles = [f"{script()}{alone()}"], [style()]
    policy = (
        f"default-src 'none'; script-src {_sources(scripts)} 'wasm-unsafe-eval'; style-src {_sources(styles)}; "
        "worker-src blob:; img-src data:; base-uri 'none'; form-action 'none'"
    )
    head = (
        f'<header class="bd-head"><h1>{as_text(start["title"])}</h1><p>{as_text(start["about"])}</p>'
        '<button type="button" data-bd-theme></button></header>'
    )
    held = (
        f'<script class="bd-start" type="application/json">{as_json(start)}</script>'
        f'<script class="bd-core" type="application/octet-stream">{packed()}</script>'
    )
    return "\n".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light dark">',
            f"<title>{as_text(start['title'])}: the board</title>",
            *(f"<style>{text}</style>" for text in styles),
            f'</head>\n<body class="bd-page">\n{head}<main><div class="bd-alone">{held}</div></main>',
            *(f'<script type="module">{text}</script>' for text in scripts),
            "</body>\n</html>\n",
        ]
    )


# ------------------------------------------------------------------------------- beside the plays of other pages


def beside(m: Measures, play: object) -> Beside:
    """What stands after a player's block: the frames of its play, which `mounts` makes a button "move the men" of, and
    the packed core."""
    return Beside(f"{frames(m, play)}{core()}", mounts(), style(), POLICY)


def frames(m: Measures, play: object, name: str = "") -> str:
    """The frames of a play, after its player's block; name: by which `frames_of` takes them for another block."""
    named = f' id="{as_text(name)}-men"' if name else ""
    held = as_json(board_start.of_play(m, play))
    return f'<script class="bd-play" type="application/json"{named}>{held}</script>'


def frames_of(name: str) -> str:
    """The same frames again, after another block of that play."""
    return f'<script class="bd-play" type="application/json" data-like="{as_text(name)}-men"></script>'


def for_plays() -> Beside:
    """What a page of many plays holds once."""
    return Beside(core(), mounts(), style(), POLICY)


def core() -> str:
    return f'<script class="bd-core" type="application/octet-stream">{packed()}</script>'


@cache
def mounts() -> str:
    """The text of the module that opens boards over a page."""
    return f"{script()}{_short((FOLDER / 'frames.js').read_text(encoding='utf-8'), SIGNS)}"


POLICY = {"script-src": "'wasm-unsafe-eval'", "worker-src": "blob:", "img-src": "data:"}  # what a page allows besides


@cache
def script() -> str:
    """The text of the board's module, without the last line that mounts it."""
    return _short("".join((FOLDER / f"{name}.js").read_text(encoding="utf-8") for name in SCRIPTS), SIGNS)


@cache
def alone() -> str:
    return _short((FOLDER / "alone.js").read_text(encoding="utf-8"), SIGNS)


@cache
def style() -> str:
    """The text of the style sheet."""
    return _short((FOLDER / "board.css").read_text(encoding="utf-8"), "{};,")


@cache
def packed() -> str:
    """The core, as a script element holds it: deflated, in base64."""
    return base64.b64encode((FOLDER / "core.wasm.z").read_bytes()).decode()
