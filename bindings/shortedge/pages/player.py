"""The play player: a play to scrub through in a browser, with no kernel, no framework and no network.

    m.play("P024")                      # in a notebook: the player, in a sandboxed frame
    m.play("P024").to_html("play.html")  # a page of its own

A page that shows several plays carries one copy of the module and one block a play:

    body = "".join(f"<details><summary>...</summary>{player.block(m, play, reps)}</details>" for play in plays)
    text = player.page("a title", body, scripts=[player.script()], styles=[player.style()])

- `script()`: the module of scripts/*.js and a last line that mounts every block of the page: at once, or, inside a
  closed <details>, when that is opened. It also makes every <button data-se-theme> of the page a switch of light and
  dark.
- `style()`: player.css. The page's colours are custom properties of :root (--se-paper, --se-card, --se-ink, --se-muted,
  --se-faint, --se-accent); they follow prefers-color-scheme, which data-se-theme="light" or "dark" on <html> overrides.
- `block(m, play, reps)`: <div class="se-player"> with the play's data as JSON inside; `data` is that data.
- `page(title, body, scripts, styles)`: a whole document whose Content-Security-Policy lets exactly these scripts and
  styles run and nothing be loaded. Inline style= and on...= attributes do not work in it. title is text, body is HTML:
  names in it must have gone through `as_text`.

Names are text everywhere, never markup. The figures shown are those of the tables, rounded to what is shown.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from ..base.files import write_whole
from ..base.text import HIDDEN, visible
from .player_data import play_data

if TYPE_CHECKING:
    from ..measures.reps import Reps
    from ..measures.results import Measures

FOLDER = Path(__file__).parent
SCRIPTS = (
    "marks",
    "now",
    "ways",
    "field",
    "corners",
    "tables",
    "course",
    "mine",
    "player",
)  # one module, in this order


class Beside(NamedTuple):
    """What a page has beside its own so that a board opens from it (pages/board.py)."""

    html: str
    script: str
    style: str
    policy: Mapping[str, str]  # what it allows besides, by directive


@dataclass(frozen=True, eq=False)
class Player:
    """One play to look at; made by Measures.play. A notebook shows it."""

    id: str
    game: str
    data: dict[str, Any]
    boards: Callable[[], Beside] | None = None  # to open a board from its frames
    sources: tuple[Path, ...] = ()  # of the game: nothing is written on them

    def __repr__(self) -> str:
        return f"Player({self.id!r} of {self.game!r}: {len(self.data['time'])} frames)"

    def to_html(self, path: str | os.PathLike[str] | None = None, *, board: bool = False) -> str:
        """The play as a page of its own, that opens offline; written to `path` too, if given. board: with a button that
        opens the frame that is shown as a board, to move the men of; the page is then some 250 KB larger."""
        text = self._page(self.boards() if board and self.boards else None)
        if path is not None:
            write_whole(Path(path), text.encode(), self.sources)
        return text

    def _page(self, beside: Beside | None = None) -> str:
        head = (
            f'<header class="se-head"><h1>Play {as_text(self.id)}</h1><p>{as_text(self.game)}</p>'
            "<button data-se-theme></button></header>"
        )
        body = f"{head}<main>{_block(self.data)}{beside.html if beside else ''}</main>"
        return page(f"Play {self.id}", body, scripts=[script()], styles=[style()], beside=beside)

    def _repr_html_(self) -> str:
        inside = self._page().replace("&", "&amp;").replace("'", "&#39;")
        return (
            f'<iframe sandbox="allow-scripts" title="{as_text(f"Play {self.id}")}" '
            f"style=\"width:100%;height:58rem;border:0\" srcdoc='{inside}'></iframe>"
        )


def data(m: Measures, play: object, reps: Reps | None = None, rep: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """What the module needs of one play, ready for JSON. reps of the same game give who had whom, first contact and
    beats, and what was corrected in them; None: as measured. rep: the row of reps the page is about; None: the play.
    InputError for an unknown play, or reps of another game."""
    return play_data(m, play, reps, rep)


def block(
    m: Measures,
    play: object,
    reps: Reps | None = None,
    at: float | None = None,
    rep: Mapping[str, Any] | None = None,
    name: str | None = None,
    like: str | None = None,
    board: str | None = None,
) -> str:
    """HTML of one player, mounted by `script`. It shows the frame nearest to `at` (s since the snap) first; None: the
    moment that counts, of the rep or of the play. rep: the row of reps it is about, whose two men are drawn with ways,
    corner and figures of their own and all else faintly. name: an id for the play's data, which another block of the
    page takes with like=. board: the address of a page that moves the men, to which a link leads with where everybody
    stands in the frame that is shown (#frame= and JSON: game, play, time, men with id, label, unit, role, slot and u, v
    in yd)."""
    of = data(m, play, reps, rep)
    if board is not None:
        of["board"] = board
    if at is not None:
        of["at"] = int(abs(m.game.play(play).time - at).argmin())
    return _block(of if like is None else {"of": like, "rep": of["rep"], "at": of["at"]}, name)


def _block(of: dict[str, Any], name: str | None = None) -> str:
    given = f' id="{as_text(name)}"' if name else ""
    return f'<div class="se-player"><script type="application/json"{given}>{as_json(of)}</script></div>'


@cache
def script() -> str:
    """The text of the page's module script."""
    text = "".join((FOLDER / "scripts" / f"{name}.js").read_text(encoding="utf-8") for name in SCRIPTS)
    return f"{_short(text, '{}()[];:,=?&|<>+*')}mountAll();\n"


@cache
def style() -> str:
    """The text of the page's style sheet."""
    return _short((FOLDER / "player.css").read_text(encoding="utf-8"), "{};,")


def _short(text: str, signs: str) -> str:
    """Our own source without comments and without blanks round these signs. Strings stand in "..." or `...`, none in
    another's template; every statement ends in a semicolon or a brace."""
    parts = rf"""("[^"\n]*"|`[^`]*`)|/\*.*?\*/\s*|//[^\n]*\s*|\s*([{re.escape(signs)}])\s*|\s*\n\s*"""
    return re.sub(parts, lambda of: of[1] or of[2] or ("" if "/" in of[0] else "\n"), text, flags=re.DOTALL)


def page(
    title: str,
    body: str,
    *,
    scripts: Sequence[str] = (),
    styles: Sequence[str] = (),
    pictures: bool = False,
    beside: Beside | None = None,
) -> str:
    """A self-contained HTML document in which only these scripts (modules) and styles run, and nothing is loaded; with
    `pictures` it may show those it holds (data:)."""
    allowed = {"script-src": "", "style-src": ""}
    if beside:
        scripts, styles = (*scripts, beside.script), (*styles, beside.style)
        allowed |= {name: f" {source}" for name, source in beside.policy.items()}
    if any(re.search("</|<!--|\r", text) for text in (*scripts, *styles)):
        raise ValueError("a script or style of a page holds </, <!-- or a carriage return, which HTML would read")
    policy = (
        f"default-src 'none'; script-src {_sources(scripts)}{allowed.pop('script-src')}; "
        f"style-src {_sources(styles)}{allowed.pop('style-src')}; "
        f"{''.join(f'{name}{source}; ' for name, source in allowed.items())}"
        f"{'img-src data:; ' if pictures and 'img-src' not in allowed else ''}base-uri 'none'; form-action 'none'"
    )
    return "\n".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light dark">',
            f"<title>{as_text(title)}</title>",
            *(f"<style>{text}</style>" for text in styles),
            f"</head>\n<body>\n{body}",
            *(f'<script type="module">{text}</script>' for text in scripts),
            "</body>\n</html>\n",
        ]
    )


def _sources(texts: Sequence[str]) -> str:
    hashes = [base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() for text in texts]
    return " ".join(f"'sha256-{hash}'" for hash in hashes) or "'none'"


def as_text(text: str) -> str:
    """Text as it stands in HTML, in quotes or out of them."""
    return escape(visible(text), quote=True)


def as_json(value: Any) -> str:
    """JSON as it may stand in a <script> element: no `<` in it, so it ends nothing and opens nothing, and no character
    that is not seen."""
    text = json.dumps(value, separators=(",", ":"), ensure_ascii=False, allow_nan=False).replace("<", "\\u003c")
    return HIDDEN.sub(lambda found: f"\\u{ord(found[0]):04x}", text)
