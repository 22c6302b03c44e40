"""What both pages are made of: who a man is, which reps to watch, definitions, and what a page was made with."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING, Any

from .._core import Rules, __version__
from ..base.text import listed, word
from ..base.vocabulary import BAD, BAD_SNAP, HELD, LOST
from ..draw import openings
from ..tell import moment
from ..tell.cut import film_of, in_words, present
from ..tell.words import SHORT, SHOWN_FROM, sentences
from . import player
from .html import NONE, Html, el, together

if TYPE_CHECKING:
    from ..game.game import Game
    from ..measures.reps import Reps
    from ..measures.results import Measures
    from ..tell.openings import Opening

Row = Mapping[str, Any]

FOLDER = Path(__file__).parent
OUTCOMES = {
    "held": "held",
    "beat": "beaten",
    "driven": "driven back",
    "free": "nobody had him",
    "help": "helped",
    "uncovered": "had nobody",
}


@dataclass(frozen=True, eq=False)
class Whole:
    """One game with everything a page says of it."""

    m: Measures
    reps: Reps
    without_label: tuple[str, ...] = ()

    @property
    def game(self) -> Game:
        return self.m.game

    @property
    def name(self) -> str:
        return self.m.game_name

    @cached_property
    def dropbacks(self) -> dict[str, Row]:
        return {row["play"]: row for row in self.reps.arrow("dropbacks").to_pylist()}

    @cached_property
    def rows(self) -> list[Row]:
        """The rows of the reps table, without plays that are left out by label; a missing value is None, as is a short
        edge that the error of places swamps."""
        return [
            {
                name: None if name == "short_edge_seconds" and row["play"] in self.game.swamped else present(value)
                for name, value in row.items()
            }
            for row in self.reps.arrow("reps").to_pylist()
            if self.counts(row["play"])
        ]

    def counts(self, play: str) -> bool:
        return not self.left_out(play)

    def left_out(self, play: str) -> str:
        """Why a play does not count: its label, or that its snap went wrong; "" for one that counts."""
        row = self.dropbacks[play]
        return row["label"] if row["label"] in self.without_label else BAD_SNAP if row["snap"] == BAD else ""

    @property
    def remarks(self) -> str:
        """In words, plays with too few linemen or a line that stood otherwise than listed; "" for none."""
        said: dict[str, list[str]] = {}
        for play, remark in self.game.remark_of.items():
            said.setdefault(remark, []).append(play)
        return ". ".join(
            f"{'Play' if len(plays) == 1 else 'Plays'} {listed(plays, 6)}: {what}" for what, plays in said.items()
        )

    @cached_property
    def words(self) -> dict[str, str]:
        return sentences(self.m, self.reps)

    @cached_property
    def films(self) -> Mapping[str, tuple[float, str, Any]]:
        return film_of(self.game)

    @cached_property
    def people(self) -> dict[str, tuple[str, str]]:
        """Name and position by id; "" for none. Of several rows of a man the first."""
        people, kept = self.game.core.people, dict(self.game.core.kept_people)
        names = [word(value) for value in kept.get("name", [""] * len(people["player"]))]
        found: dict[str, tuple[str, str]] = {}
        for code, name, position in zip(people["player"].tolist(), names, people["position"], strict=True):
            found.setdefault(self.game.player_ids[code], (name, position))
        return found

    def film(self, play: str, at: float) -> str:
        """Where a moment of a play is on the film; "" without a film time."""
        time, file, _ = self.films[play]
        if math.isnan(time):
            return ""
        minutes, seconds = divmod(round(time + at, 1), 60)  # rounded first: 119.97 s is 2:00.0
        return f"{file}  {int(minutes)}:{seconds:04.1f}".strip()


def counted_openings(whole: Whole, player: str | None = None) -> list[Opening]:
    """Where short edges opened in the plays that count; player: only his."""
    if player is not None and player not in whole.m.player_ids:
        return []
    shown = [one for one in openings(whole.m, player, whole.reps) if whole.counts(one.play)]
    return [one for one in shown if one.play not in whole.game.swamped]


# --------------------------------------------------------------------------------------------------- to watch


def to_watch(rows: Sequence[Row], most: int) -> list[Row]:
    """The reps to look at first: lost ones (beaten, driven back, free), with pressure before without, then the rest;
    among each by the longest short edge, then by the greatest exposure. Of equals the first in the table."""
    judged = [row for row in rows if row["outcome"] in (HELD, *LOST)]
    return sorted(judged, key=rank)[:most]


def rank(row: Row) -> tuple[bool, bool, float, float]:
    exposed = max(row["peak_outside"] or 0.0, row["peak_inside"] or 0.0)
    lost = row["outcome"] in LOST
    return not lost, lost and not row["pressure"], -(row["short_edge_seconds"] or 0.0), -exposed


RANKED = (
    "Lost reps first (beaten, driven back, or a rusher nobody had), those with pressure before those without; then "
    "held ones. Among each by the longest short edge, then by the greatest exposure."
)


def watch(whole: Whole, row: Row, number: int, opened: bool = False) -> Html:
    """One rep to watch: who on whom, its play in words, where it is on the film, and the player."""
    play = row["play"]
    why, at = moment.of_rep(whole.m, row)
    two = (row["protector"], row["rusher"]) if row["protector"] and row["rusher"] else None
    summary = el(
        "summary",
        el("span", in_words(row, whole.game), class_="rp-who"),
        el("span", whole.film(play, at) or "no film time", class_="rp-film"),
        el("span", f"{why} at {at:.1f} s{short_for(row)}: {whole.words[play]}", class_="rp-words"),
    )
    shown = Html(player.block(whole.m, play, whole.reps, at, two))
    return el("details", summary, shown, class_="rp-watch", data_play=play, data_number=number, open=opened)


def short_for(row: Row) -> str:
    seconds = row["short_edge_seconds"] or 0.0
    return f", his edge short for {seconds:.1f} s" if seconds >= 0.05 else ""


# -------------------------------------------------------------------------------------------------------- text

FIRST = (
    "Geometry is not assignment: coordinates see no hands, no calls, no assignments and no rules of the game. No one "
    "is to be graded on these figures alone. Exposure says how soon a rusher could arrive if everybody stood still; "
    "it is not a threat and not a probability. Coordinates of people are personal data: keep and share this page as "
    "such."
)


def definitions(rules: Rules) -> Html:
    """What the figures mean, by the rules they were made with."""
    pairs = [part for term, says in terms(rules).items() for part in (el("dt", term), el("dd", says))]
    note = (
        "The trade has no published definition of pocket width, pocket depth or short edge: these are this project's "
        "own."
    )
    return together([el("p", note, class_="rp-note"), el("dl", *pairs)])


def terms(rules: Rules) -> dict[str, str]:
    return {
        "Pocket": (
            f"The wall, the linemen and other protectors busy with a rusher, and two corners {rules.cushion:g} yd "
            "behind the deepest of wall and passer. Width is between the wall's outermost men, depth from the passer "
            f"straight upfield to the wall: his room to step up. A man more than {rules.detach:g} yd outside the next "
            "one is left out, so width jumps then."
        ),
        "Short edge": (
            "How far outside his blocker's centre a rusher's straight line to the passer runs: 0 while it goes through "
            f"him, {rules.reach:g} yd when the corner is gone. Read only with exposure {SHOWN_FROM:g} or more; an edge "
            f"is called short from {SHORT:g} yd. It tells nothing of the inside."
        ),
        "Exposure": (
            f"1 - time / {rules.horizon:g} s for the least time of the way round the blocker, from the speed the "
            "rusher has now, as if all others stood still. Not a threat, not a probability."
        ),
        "Cut-off ratio to the spot": (
            "The share of the rusher's speed with which his blocker could still meet him on his straight line to where "
            "the passer sets up. Its greatest value from the snap to contact; at 1 nobody is between."
        ),
        "Held, beaten, driven back": (
            "Beaten: nobody is between any more and the straight line is clear. Driven back: not beaten, but pushed "
            "back 1.5 yd or more. Held: neither. Held against driven back, and who had the rusher in a double team, "
            "err first."
        ),
        "Ball out": (
            "Beaten, but the ball was gone before his rusher got to the passer: the rep is lost, the play is not."
        ),
        "Pressure": "A rusher within 2 yd of the passer, or half a second from within 1 yd of him, before the throw.",
        "Alignment": (
            "Where the rusher stood at the snap by the common numbering: even head up, odd the outside shade, i the "
            "inside shade, 7 inside and 9 outside the tight end. Other conventions exist."
        ),
        "Intervals": (
            "A share is shown with its denominator and its Wilson 95 % interval. With fewer than 10 judged reps the "
            "interval can be wider than half of all: such rows are marked few and should not be compared."
        ),
    }


def caution(wholes: Sequence[Whole] = ()) -> Html:
    """What stands first on every page, and of these games what their places rest on."""
    resting = [(whole.name, whole.game.rests_on) for whole in wholes if whole.game.rests_on]
    resting += [(whole.name, f"{whole.remarks}.") for whole in wholes if whole.remarks]
    resting += [
        (whole.name, f"People lacks {listed(whole.game.unlisted, 6)}.") for whole in wholes if whole.game.unlisted
    ]
    said = [el("p", f"{name}: {text}" if len(wholes) > 1 else text) for name, text in resting]
    return el("div", el("p", FIRST), *said, class_="rp-first", role="note")


def made_with(wholes: Sequence[Whole]) -> Html:
    rules = wholes[0].m.rules
    changed = {name: value for name, value in rules.as_dict().items() if value != Rules().as_dict()[name]}
    said = ", ".join(f"{name} {value:g}" for name, value in rules.as_dict().items())
    digests = [el("li", f"{whole.name}: {whole.m.digest}") for whole in wholes]
    return el(
        "div",
        el("p", f"shortedge {__version__}. Rules: {said}."),
        el("p", "Changed rules: " + (", ".join(changed) if changed else "none") + "."),
        el("p", "SHA-256 of what was recorded:"),
        el("ul", *digests),
        class_="rp-about",
    )


def page(title: str, subtitle: str, body: Html) -> str:
    """The whole document."""
    head = el(
        "header", el("h1", title), el("p", subtitle), el("button", data_se_theme=True, type="button"), class_="se-head"
    )
    whole = el("div", head, el("main", body), class_="rp-page")
    script, style = ((FOLDER / name).read_text(encoding="utf-8") for name in ("page.js", "page.css"))
    return player.page(title, whole, scripts=[player.script(), script], styles=[player.style(), style])


def sections(parts: Sequence[tuple[str, str, Html]]) -> Html:
    """Sections with their links on top: id, title, content."""
    links = el("ul", *(el("li", el("a", title, href=f"#{name}")) for name, title, _ in parts), class_="rp-links")
    made = [
        el("section", el("h2", title, id=f"{name}-title"), content, id=name, aria_labelledby=f"{name}-title")
        for name, title, content in parts
    ]
    return together([el("nav", links, aria_label="on this page"), *made])


def median_text(values: Sequence[float], places: int = 1) -> str:
    """The median; a dash for none."""
    there = [value for value in values if not math.isnan(value)]
    if not there:
        return NONE
    return f"{median(there):.{places}f}"


def plural(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"


def percent(share: float) -> str:
    return f"{100 * share:.0f}"
