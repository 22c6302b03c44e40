"""What both pages are made of: who a man is, which reps to watch, definitions, and what a page was made with."""

from __future__ import annotations

import math
from base64 import b64encode
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING, Any

from .. import draw
from .._core import Rules, __version__
from ..base.text import listed, plural, word
from ..base.vocabulary import BAD, BAD_SNAP, HELD, LOST
from ..draw import openings
from ..game.films import Film, clock, films_of
from ..tell import moment
from ..tell.cut import present
from ..tell.pickup import exchange_words
from ..tell.rep_words import callers, rep_words
from ..tell.words import SHORT, SHOWN_FROM, sentences
from . import board as boards
from . import player
from .charts import picture_of_words
from .html import NONE, Html, el, together

if TYPE_CHECKING:
    from ..draw import OwnFilm
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
    with_film: bool = False
    board: bool = False  # a board opens from the frames of its plays

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

    def seen(self, title: str) -> list[Row]:
        """The rows of exchanges, searches or looks of the plays that count."""
        return [row for row in self.all_seen(title) if self.counts(row["play"])]

    def all_seen(self, title: str) -> list[Row]:
        """All of them, in the table's order."""
        if title not in self._seen:
            self._seen[title] = [
                {name: present(value) for name, value in row.items()} for row in self.reps.arrow(title).to_pylist()
            ]
        return self._seen[title]

    @cached_property
    def _seen(self) -> dict[str, list[Row]]:
        return {}

    @cached_property
    def exchanged(self) -> dict[tuple[str, str], str]:
        """By play and rusher, how he changed hands or crossed, in words; only of those who did."""
        found: dict[tuple[str, str], list[Row]] = {}
        for row in self.all_seen("exchanges"):
            found.setdefault((row["play"], row["rusher"]), []).append(row)
        return {key: exchange_words(rows) for key, rows in found.items()}

    @cached_property
    def measured_rows(self) -> list[Row]:
        """The same as measured, without corrections."""
        plain = replace(self.reps, laid_over=())
        return [row for row in plain.arrow("reps").to_pylist() if self.counts(row["play"])]

    def key_of(self, row: Row) -> tuple[str, str]:
        """The protector and the rusher under which a row is marked: those it was measured with."""
        was = self.given.get((row["play"], row["protector"] or "", row["rusher"] or ""), row["protector"] or "")
        return was, row["rusher"] or ""

    @cached_property
    def given(self) -> dict[tuple[str, str, str], str]:
        """Of reps that were given to another man, who had them as measured, by play, that man and rusher."""
        return {(one.play, one.given_to, one.rusher): one.protector for one in self.reps.laid_over if one.given_to}

    def called(self, play: str, man: str) -> str:
        return self._called(play, man)

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
    def notes(self) -> dict[tuple[str, str, str], str]:
        """Notes of those who saw the film, by play, protector and rusher."""
        return {(one.play, one.protector, one.rusher): one.note for one in self.reps.laid_over if one.note}

    @cached_property
    def words(self) -> dict[str, str]:
        return sentences(self.m, self.reps)

    def sentence(self, row: Row) -> str:
        """One rep as a coach says it."""
        play = row["play"]
        return rep_words(row, lambda man: self._called(play, man), float(self.dropbacks[play]["throw_time"]))

    @cached_property
    def _called(self) -> Callable[[str, str], str]:
        return callers(self.game)

    @cached_property
    def films(self) -> Mapping[str, Sequence[Film]]:
        return films_of(self.game)

    @cached_property
    def people(self) -> dict[str, tuple[str, str]]:
        """Name and position by id; "" for none. Of several rows of a man the first."""
        people, kept = self.game.core.people, dict(self.game.core.kept_people)
        names = [word(value) for value in kept.get("name", [""] * len(people["player"]))]
        found: dict[str, tuple[str, str]] = {}
        for code, name, position in zip(people["player"].tolist(), names, people["position"], strict=True):
            found.setdefault(self.game.player_ids[code], (name, position))
        return found

    @cached_property
    def own_film(self) -> OwnFilm | None:
        """The film its stills are of; None unless they are asked for."""
        return draw.OwnFilm(self.m, self.reps) if self.with_film else None

    def film(self, play: str, at: float) -> str:
        """Where a moment of a play is on film, its first angle first; "" on none."""
        return ", ".join(f"{film.called}  {clock(film.time + at)}" for film in self.films[play])

    def film_clock(self, play: str, at: float) -> str:
        """The clock of its first angle alone; "" on none."""
        return clock(self.films[play][0].time + at) if self.films[play] else ""


def counted_openings(whole: Whole, player: str | None = None) -> list[Opening]:
    """Where short edges opened in the plays that count; player: only his."""
    if player is not None and player not in whole.m.player_ids:
        return []
    shown = [one for one in openings(whole.m, player, whole.reps) if whole.counts(one.play)]
    return [one for one in shown if one.play not in whole.game.swamped]


# --------------------------------------------------------------------------------------------------- to watch


def to_watch(rows: Sequence[Row], most: int | None = None) -> list[Row]:
    """The reps to look at first: lost ones (beaten, driven back, free), with pressure before without, then the rest;
    among each by the greatest exposure, outside or inside. Of equals the first in the table."""
    judged = [row for row in rows if row["outcome"] in (HELD, *LOST)]
    return sorted(judged, key=rank)[:most]


def rank(row: Row) -> tuple[bool, bool, float]:
    lost = row["outcome"] in LOST
    return not lost, lost and not row["pressure"], -moment.exposed(row)


RANKED = (
    "Lost reps first (beaten, driven back, or a rusher nobody had), those with pressure before those without; then "
    "held ones. Among each by the greatest exposure, outside or inside. Each opens at its beat, else at its pressure, "
    "else where it was most exposed."
)


@dataclass
class Shelf:
    """What a page holds once: the data of a play that several reps open, and its sentence."""

    data: dict[tuple[str, str], str] = field(default_factory=dict)

    def block(self, whole: Whole, row: Row) -> Html:
        key = (whole.name, row["play"])
        if key in self.data:
            shown = player.block(whole.m, row["play"], whole.reps, rep=row, like=self.data[key])
            return Html(shown + boards.frames_of(self.data[key])) if whole.board else Html(shown)
        self.data[key] = f"se-play-{len(self.data) + 1}"
        said = el("p", el("b", "The whole play: ", class_="rp-ended"), whole.words[row["play"]], class_="rp-whole")
        shown = player.block(whole.m, row["play"], whole.reps, rep=row, name=self.data[key])
        if whole.board:
            shown += boards.frames(whole.m, row["play"], self.data[key])
        return together([said, Html(shown)])


def watch(whole: Whole, row: Row, number: int, shelf: Shelf, opens: bool = True, of: str = "") -> Html:
    """One rep: its play, the rep in words, where its moment is on the film, and the player. A page's `shelf` keeps what
    several reps share. opens: whether the player is in it; else the row says so. of: the game, on a page of several."""
    play = row["play"]
    why, at = moment.of_rep(whole.m, row)
    key = player.as_json([play, *whole.key_of(row)])
    said = (
        el("span", whole.sentence(row), class_="rp-who"),
        el("span", whole.film(play, at) or "no film time", class_="rp-film"),
        el("span", f"{of and f'{of}, '}{play}, {why} at {at:.1f} s{noted(whole, row)}", class_="rp-words"),
        el("span", class_="rp-mark", data_key=key, data_digest=whole.m.digest[:16]),
    )
    if not opens:
        return el("div", *said, class_="rp-watch rp-line", id=f"rep-{number}")
    shown = shelf.block(whole, row)
    return el(
        "details",
        el("summary", *said),
        still(whole, play, at),
        shown,
        class_="rp-watch",
        id=f"rep-{number}",
        data_play=play,
        data_number=number,
    )


def still(whole: Whole, play: str, at: float) -> Html:
    """The picture of film at a moment; nothing unless it is asked for and there."""
    found = whole.own_film.still(play, at) if whole.own_film else None
    if found is None:
        return Html("")
    return el(
        "figure",
        el(
            "img",
            src=f"data:image/jpeg;base64,{b64encode(found.jpeg).decode()}",
            alt=f"The film of play {play} with the pocket on its grass",
            width=found.size[0],
            height=found.size[1],
        ),
        el("figcaption", f"{found.angle}, {found.at:.1f} s after the snap"),
        class_="rp-still",
    )


def noted(whole: Whole, row: Row) -> str:
    """How his rusher changed hands or crossed, the note that somebody who saw the film left on this rep, and that he
    changed it."""
    stunt = whole.exchanged.get((row["play"], row["rusher"] or ""), "")
    found = whole.notes.get((row["play"], *whole.key_of(row)), "")
    changed = "; marked on film" if row["corrected"] else ""
    return (f"; stunt: {stunt}" if stunt else "") + changed + (f": {found}" if found else "")


# -------------------------------------------------------------------------------------------------------- text

FIRST = (
    "Geometry is not assignment: coordinates see no hands, no calls, no assignments and no rules of the game. No one "
    "is to be graded on these figures alone. Exposure says how soon a rusher could arrive if everybody stood still; "
    "it is not a threat and not a probability. Coordinates of people are personal data: keep and share this page as "
    "such."
)


def definitions(rules: Rules) -> Html:
    """What the figures mean, by the rules they were made with, beside a picture that shows where they are."""
    pairs = [
        part
        for n, (term, says) in enumerate(terms(rules).items())
        for part in (el("dt", el("b", str(n + 1), class_="rp-ended"), f" {term}"), el("dd", says))
    ]
    note = (
        "The trade has no published definition of pocket width, pocket depth or short edge: these are this project's "
        "own, in fifteen words. The numbers stand in the picture."
    )
    return together(
        [el("p", note, class_="rp-note"), el("div", picture_of_words(rules.reach), el("dl", *pairs), class_="rp-terms")]
    )


def terms(rules: Rules) -> dict[str, str]:
    return {
        "Pocket": (
            f"The wall, the linemen and other protectors busy with a rusher, and two corners {rules.cushion:g} yd "
            "behind the deepest of wall and passer."
        ),
        "Width": (
            f"Between the wall's outermost men. A man more than {rules.detach:g} yd outside the next one is left out, "
            "so width jumps then."
        ),
        "Depth": "From the passer straight upfield to the wall: his room to step up.",
        "Edge": "One side of the pocket, set by the man whose rusher is outside him; else by the wall's end.",
        "Corner held": "What is left of a man's reach outside his rusher's straight line to the passer.",
        "Short edge": (
            "How far outside his blocker's centre a rusher's straight line to the passer runs: 0 while it goes through "
            f"him, {rules.reach:g} yd when the corner is gone. Read only with exposure {SHOWN_FROM:g} or more; an edge "
            f"is called short from {SHORT:g} yd. It tells nothing of the inside."
        ),
        "Exposure": (
            f"1 - time / {rules.horizon:g} s for the least time of the way round the blocker, from the speed the "
            "rusher has now, as if all others stood still. Not a threat, not a probability."
        ),
        "Cut-off ratio": (
            "The share of the rusher's speed with which his man could still meet him on his straight line to where the "
            "passer sets up. Its greatest value from the snap to contact; at 1 nobody is between."
        ),
        "Beaten": (
            "The rusher is past his man and has a clear straight line to the passer; outside or inside is the side he "
            "passed him on. In a sentence: lost outside to 97."
        ),
        "Driven back": (
            "Not beaten, but pushed back 1.5 yd or more; in a sentence: walked back. Held: neither. Held against "
            "driven back, and who had the rusher in a double team, err first."
        ),
        "Ball out": (
            "Beaten, but the ball was gone before the rusher got to the passer: the rep is lost, the play is not."
        ),
        "Pressure": "A rusher within 2 yd of the passer, or half a second from within 1 yd of him, before the throw.",
        "Help": "Another man within a step of his rusher for 0.2 s on end after contact.",
        "Alignment": (
            "Where the rusher stood at the snap by the common numbering: even head up, odd the outside shade, i the "
            "inside shade, 7 inside and 9 outside the tight end. Other conventions exist."
        ),
        "Interval": (
            "A share is shown with its denominator and its Wilson 95 % interval. With fewer than 10 judged reps it can "
            "be wider than half of all: such rows are marked few and should not be compared."
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
    stills = [one for whole in wholes if whole.own_film for one in whole.own_film.made]
    if stills:
        large = sum(len(one.jpeg) for one in stills) * 4 / 3 / 1e6  # as text
        said.append(
            el(
                "p",
                f"{plural(len(stills), 'picture')} of film in this page, {large:.1f} MB. Film is somebody's property, "
                "and people are in it: pass the page on only as you may pass on the film.",
            )
        )
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


def page(title: str, subtitle: str, body: Html, *, pictures: bool = False, board: bool = False) -> str:
    """The whole document; pictures: with stills of film in it; board: with what opens boards from its plays."""
    head = el(
        "header", el("h1", title), el("p", subtitle), el("button", data_se_theme=True, type="button"), class_="se-head"
    )
    whole = el("div", head, el("main", body), class_="rp-page")
    script, style = ((FOLDER / name).read_text(encoding="utf-8") for name in ("page.js", "page.css"))
    beside = boards.for_plays() if board else None
    return player.page(
        title,
        f"{whole}{beside.html}" if beside else whole,
        scripts=[player.script(), script],
        styles=[player.style(), style],
        pictures=pictures,
        beside=beside,
    )


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


def percent(share: float) -> str:
    return f"{100 * share:.0f}"
