"""Hand-made plays, each with the answer a line coach would give, and why.

    for scene in SCENES:
        game = scene.game()             # one play, named "1"; players are named by where they line up
        disagreements(scene, game)      # [] when the library says what the coach says

A scene tells only what is out of the ordinary: men it does not name do what they do in `ORDINARY` (four rush, tackles
on the ends, guards on the inside men, the centre has nobody; shotgun, seven yards, thrown at 2.8 s). A path is written
"u v; t u v; t u v": a man's stance, then where he is at which second. Between them he goes smoothly (a monotone cubic
in each coordinate), after the last he stands still; a path that starts with "t u v" has him moving before the snap; ""
leaves him out. u: yards to the offence's right of the ball, v: yards behind the line. The answers are what a coach
would write down having seen the play; nothing here was taken from what the library says.

Answers, one a line:

    RT RE held | driven | help            this man on this rusher (help: that and nothing more)
    RT RE beat outside 1.9                and when, within WITHIN (no time: whenever); outside, inside, left, right, any
    C uncovered                           he had nobody
    MB free                               nobody had him
    Z no row                              he is told neither as a rusher nor as a protector
    nobody beat                           no rep of the play is lost
    RG not beaten                         no rep of his is lost
    RI RG at 1.5                          who has that rusher then
    right edge RT RE 2.2                  that man and that rusher are that edge then, shown (exposure 0.2 or more)
    no edge RE 2.2                        that rusher is on no edge then
    never short RT                        no frame before the throw shows a short edge of that man
    pressure RE | no pressure             who came near enough to bother the passer before the throw
    5 rushers                             so many rushed
    nearest 1.0 at 3.5                    the nearest rusher is then within so many yards of the passer
    came MB 2.3 | dropped RE 1.1          when a rusher began to count, and when he gave it up
    snap bad | snap clean                 the play is told as one whose snap went wrong, or not
    line whole | moved | short            the line stood as listed; not so; fewer than five
    RB helps RE 1.2 1.7 left              from when to when he helped on that rusher, and on which side of him
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from scipy.interpolate import PchipInterpolator

import shortedge as se

WITHIN = 0.2  # s
SHOWN, SHORT = 0.2, 0.5  # exposure; yd
RATE = 20.0
BEFORE, AFTER = 0.6, 1.0  # s before the snap and after the throw

POSITION = {"X": "WR", "Y": "WR", "Z": "WR", "LE": "DE", "RE": "DE", "LI": "DT", "RI": "DT", "NT": "DT", "FS": "S"}
POSITION |= {"WB": "LB", "MB": "LB", "SB": "LB", "NB": "CB", "LC": "CB", "RC": "CB"}
OFFENCE = ("LT", "LG", "C", "RG", "RT", "OT", "QB", "RB", "TE", "X", "Y", "Z")
OTHER_SIDE = {"left": "right", "right": "left"}

ORDINARY = {
    "QB": "0 5; 1.3 0 7.6; 1.8 0 7.1; 4 0 7",
    "LT": "-2.6 1.1; 1.05 -3.1 2.7; 1.8 -3.35 3.2; 2.8 -3.6 3.9; 4 -3.7 4.4",
    "LG": "-1.3 .8; .75 -1.4 1.7; 1.8 -1.4 2.2; 2.8 -1.35 2.5; 4 -1.3 2.7",
    "C": "0 .4; 1 0 1.9; 4 0 2.1",
    "RG": "1.3 .8; .75 1.45 1.7; 1.8 1.45 2.15; 2.8 1.4 2.4; 4 1.3 2.6",
    "RT": "2.6 1.1; 1.05 3.15 2.7; 1.8 3.35 3.25; 2.8 3.6 3.8; 4 3.7 4.3",
    "LE": "-4.1 -1; .7 -4.1 .5; 1.1 -3.6 2; 1.8 -3.95 2.6; 2.8 -4.35 3.35; 4 -4.5 3.9",
    "LI": "-1.85 -1; .75 -1.6 .85; 1.8 -1.55 1.35; 2.8 -1.45 1.65; 4 -1.4 1.85",
    "RI": "1.85 -1; .75 1.65 .85; 1.8 1.6 1.3; 2.8 1.5 1.55; 4 1.4 1.75",
    "RE": "4.1 -1; .7 4.15 .5; 1.1 3.7 2; 1.8 3.95 2.65; 2.8 4.35 3.25; 4 4.5 3.8",
    "RB": "-1.4 5.1; .9 -3.8 6; 1.8 -7.5 4.6; 2.8 -10 -1; 4 -11 -8",
    "TE": "-7.5 1.1; 1.5 -7.5 -5; 3 -7 -13; 4 -6.5 -18",
    "X": "-16 .6; 1.5 -16 -7; 3 -14 -16; 4 -12 -22",
    "Y": "8.5 1.1; 1.5 8.5 -5; 3 7.5 -13; 4 6 -17",
    "Z": "16 .6; 1.5 16 -7; 3 15 -16; 4 14 -23",
    "WB": "-2.9 -4.6; 1 -3.6 -5.5; 2.5 -5.5 -8; 4 -6 -9",
    "MB": "0 -4.8; 1 0 -5.5; 2.5 .5 -9; 4 .5 -11",
    "SB": "2.9 -4.6; 1 3.6 -5.5; 2.5 5.5 -8; 4 6 -9",
    "NB": "8 -5; 1.5 8 -8; 3 7.2 -14; 4 6 -18",
    "LC": "-15.5 -7; 1.5 -15.5 -10; 3 -13.8 -17; 4 -12 -23",
    "RC": "15.5 -7; 1.5 15.5 -10; 3 14.8 -17; 4 14 -24",
    "FS": "0 -12.5; 2 0 -18; 4 0 -24",
}
# Pieces of plays that come up in several scenes.
NOSE_LEFT = {  # the left inside man on the centre's shoulder, the left guard looks wide
    "LI": "-.75 -.95; .6 -.75 .65; 1.8 -.8 1.1; 2.8 -.8 1.45; 4 -.8 1.7",
    "C": "0 .4; .65 -.6 1.5; 1.8 -.65 1.95; 2.8 -.65 2.3; 4 -.65 2.5",
    "LG": "-1.3 .8; 1 -2 2.1; 4 -2 2.5",
}
WIDE_RIGHT_GUARD = {  # his man and he a step farther out
    "RI": "2.4 -1; .75 2.3 .85; 1.8 2.2 1.3; 2.8 2.15 1.55; 4 2.1 1.75",
    "RG": "1.3 .8; .75 2 1.65; 1.8 1.95 2.15; 2.8 1.95 2.4; 4 1.9 2.6",
}
NOSE_ALONE = {"LI": "", "RI": ""}  # three down men: with a path for NT


@dataclass(frozen=True)
class Scene:
    """One play and what a coach says of it. throw None: never thrown, over at `last`."""

    name: str
    why: str
    men: Mapping[str, str]
    answer: str
    throw: float | None = 2.8
    last: float = 0.0
    position: Mapping[str, str] = field(default_factory=dict)  # listed as something else
    role: Mapping[str, str] = field(default_factory=dict)

    @property
    def over(self) -> float:
        return self.last if self.throw is None else self.throw + AFTER

    @property
    def answers(self) -> list[str]:
        return [line.strip() for line in self.answer.strip().splitlines()]

    def paths(self, times: np.ndarray) -> dict[str, np.ndarray]:
        """u and v of every man at these times, (times, 2)."""
        written = {name: text for name, text in (ORDINARY | dict(self.men)).items() if text}
        return {name: walked(text, 0.12 if name in OFFENCE else 0.22, times) for name, text in written.items()}

    def game(self, rate: float = RATE, mirrored: bool = False, direction: int = 1) -> se.Game:
        """The play as a game. mirrored: left and right swapped (`mirror` swaps the answers)."""
        times = np.arange(-round(BEFORE * rate), np.floor(self.over * rate + 1e-6) + 1) / rate
        side = -1 if mirrored else 1
        paths = self.paths(times)
        ball = np.array([48.0, 25.0])
        tracks = []
        for name, path in paths.items():
            where = ball - direction * np.stack([path[:, 1], side * path[:, 0]], axis=1)
            who = mirror(name) if mirrored else name
            tracks.append(pd.DataFrame({"play": "1", "player": who, "time": times, "x": where[:, 0], "y": where[:, 1]}))
        throw = np.nan if self.throw is None else self.throw
        snap = {"ball_x": ball[0], "ball_y": ball[1], "direction": direction, "snap_time": 0.0}
        snaps = pd.DataFrame([{"play": "1", **snap, "throw_time": throw, "end_time": self.over}])
        people = [
            {
                "player": mirror(name) if mirrored else name,
                "unit": "offense" if name in OFFENCE else "defense",
                "position": self.listed(name, mirrored),
                "role": self.role.get(name),
            }
            for name in paths
        ]
        tables = (pd.concat(tracks, ignore_index=True), snaps, pd.DataFrame(people))
        return se.from_tables(*tables, units="yd", origin="corner", y="up", orientation="trust")

    def listed(self, name: str, mirrored: bool) -> str:
        position = self.position.get(name, POSITION.get(name, name))
        return mirror(position) if mirrored and position in ("LT", "LG", "RG", "RT") else position


def walked(text: str, start: float, times: np.ndarray) -> np.ndarray:
    """The way that is written, at these times."""
    points = [[float(number) for number in point.split()] for point in text.split(";")]
    if len(points[0]) == 2:
        stance = points[0]
        points = [[-9.0, *stance], *([[start, *stance]] if points[1][0] > start + 0.05 else []), *points[1:]]
    t, u, v = np.array([*points, [points[-1][0] + 9.0, *points[-1][1:]]]).T
    return np.stack([PchipInterpolator(t, part)(times) for part in (u, v)], axis=1)


def mirror(text: str) -> str:
    """The other side's names and words: LT and RT, left and right ..."""
    swap = {"L": "R", "R": "L", "WB": "SB", "SB": "WB"} | OTHER_SIDE

    def other(word: re.Match[str]) -> str:
        name = word[0]
        if name in swap:
            return swap[name]
        return swap[name[0]] + name[1] if re.fullmatch("[LR][TGEIC]", name) else name

    return re.sub(r"\w+", other, text)


SCENES = [
    # ------------------------------------------------------------------------------- one man beaten, or not
    Scene(
        "ordinary four-man rush",
        "Everybody meets his man and stays between him and the passer. Nobody is beaten, the centre had nobody.",
        {},
        """
        LT LE held
        LG LI held
        C uncovered
        RG RI held
        RT RE held
        nobody beat
        no pressure
        4 rushers
        """,
    ),
    Scene(
        "speed rush",
        "The right end wins the corner: he dips outside the tackle's hands, is level with him at 1.95 s and turns in.",
        {
            "RE": "4.3 -1; .7 4.4 .6; 1.1 3.9 1.9; 1.45 4.35 2.6; 1.75 4.4 3.5; 2.1 3.4 4.8; 2.6 1.4 6.4; 3 .9 6.8",
            "RT": "2.6 1.1; 1.05 3.2 2.6; 1.5 3.4 2.85; 1.8 3.45 3.3; 2.2 3 4.3; 2.7 2 5.5; 3.2 1.5 6",
        },
        """
        RT RE beat outside 1.95
        right edge RT RE 2.15
        pressure RE
        LT LE held
        RG RI held
        """,
    ),
    Scene(
        "inside move on a tackle",
        "The left end sells the corner, plants and crosses the tackle's face. Inside is no edge.",
        {
            "LI": "-1.1 -1; .75 -1 .75; 1.8 -1 1.1; 2.8 -.95 1.35; 4 -.9 1.5",
            "LG": "-1.3 .8; .75 -1 1.6; 1.8 -.95 2; 2.8 -.9 2.2; 4 -.9 2.4",
            "C": "0 .4; 1 .35 2; 4 .35 2.2",
            "LE": "-4.1 -1; .7 -4.1 .5; 1.1 -3.7 1.9; 1.45 -3.2 2; 1.8 -2.2 2.8; 2.2 -1.5 4.4; 2.7 -.6 6.1; 3 -.4 6.3",
            "LT": "-2.6 1.1; 1.05 -3.3 2.7; 1.5 -3.35 2.95; 1.9 -3.1 3.2; 2.3 -2.5 4.1; 2.8 -1.5 5.3; 3.2 -1.1 5.8",
        },
        """
        LT LE beat inside 1.8
        no edge LE 2
        no edge LE 2.3
        never short LT
        pressure LE
        RT RE held
        """,
    ),
    Scene(
        "guard beaten inside",
        "The right inside man crosses the guard's face into the gap beside the centre, who has the nose. It is the "
        "guard's loss; the tackle beside him has nothing to do with it.",
        NOSE_LEFT
        | {
            "RI": "2 -1; .75 1.9 .85; 1.35 1.85 1.2; 1.65 1.1 1.2; 1.95 .75 2.2; 2.4 .4 4.4; 2.8 .25 6",
            "RG": "1.3 .8; .75 1.8 1.7; 1.35 1.8 2.1; 1.8 1.65 2.2; 2.2 1.15 3; 2.8 .6 4.6",
        },
        """
        RG RI beat inside 1.95
        no edge RI 2.1
        no edge RI 2.4
        never short RT
        never short RG
        RT RE held
        C LI held
        LG uncovered
        pressure RI
        """,
    ),
    Scene(
        "guard beaten outside",
        "The left inside man rips through the gap between guard and tackle, whose end took him wide.",
        {
            "LE": "-4.8 -1; .8 -4.8 .6; 1.2 -4.3 2.1; 1.8 -4.5 2.7; 2.8 -4.9 3.5; 4 -5 4",
            "LT": "-2.6 1.1; 1.15 -3.6 2.7; 1.8 -3.9 3.3; 2.8 -4.2 4.1; 4 -4.3 4.6",
            "LI": "-1.5 -1; .75 -1.35 .75; 1.4 -1.4 1.1; 1.7 -2.2 1.5; 1.95 -2.3 2.4; 2.4 -1.5 4.4; 2.9 -.5 6.2",
            "LG": "-1.3 .8; .75 -1.2 1.6; 1.4 -1.2 2; 1.9 -1.3 2.2; 2.4 -1.2 3.3; 2.9 -.8 4.8",
        },
        """
        LG LI beat outside 1.95
        left edge LG LI 2.15
        LT LE held
        pressure LI
        """,
    ),
    Scene(
        "centre beaten",
        "Three down men. The nose gets his hands off and goes by the centre's right shoulder. A centre has no outside: "
        "it is nobody's edge.",
        NOSE_ALONE
        | {
            "NT": "0 -.9; .6 .1 .55; 1.2 .05 .9; 1.5 .9 1; 1.75 1.1 2; 2.2 .7 4; 2.7 .25 6; 3 .2 6.2",
            "C": "0 .4; .6 0 1.4; 1.2 0 1.75; 1.6 0 1.85; 2.1 .25 2.6; 2.7 .15 4.2",
            "LG": "-1.3 .8; .9 -2 2; 2.8 -2 2.4",
            "RG": "1.3 .8; .9 2.3 2.1; 2.8 2.4 2.6",
        },
        """
        C NT beat right 1.75
        no edge NT 2
        LG uncovered
        RG uncovered
        3 rushers
        pressure NT
        """,
    ),
    Scene(
        "back beaten on the edge",
        "Five rush. Tackle and guard block down, the back has the end: he sets the edge, and loses it outside.",
        NOSE_LEFT
        | {
            "MB": "1 -2.8; .2 1 -2.7; .8 1 .6; 1.8 .95 1.1; 2.8 .95 1.4; 4 .9 1.6",
            "RG": "1.3 .8; .8 .95 1.5; 1.8 .9 1.95; 2.8 .9 2.25; 4 .9 2.5",
            "RI": "2.2 -1; .75 2.3 .85; 1.8 2.25 1.3; 2.8 2.2 1.6; 4 2.1 1.8",
            "RT": "2.6 1.1; .75 2.45 1.7; 1.8 2.35 2.15; 2.8 2.3 2.45; 4 2.2 2.7",
            "RE": "4.6 -1; .8 5 1; 1.3 4.5 3.4; 1.7 4.8 4; 1.95 4.65 5; 2.3 3.2 6.2; 2.7 1.4 6.8; 3.1 .9 6.9",
            "RB": "1.4 5.1; 1.2 3.7 4.1; 1.7 3.85 4.3; 2 3.8 4.7; 2.4 3.2 5.5; 2.8 2.3 6.1; 3.2 1.8 6.4",
        },
        """
        RB RE beat outside 2.1
        right edge RB RE 2.2
        RT RI held
        RG MB held
        C LI held
        never short RT
        5 rushers
        pressure RE
        """,
    ),
    Scene(
        "tight end beaten on the edge",
        "The tight end beside the tackle has the end alone and loses him outside; the tackle has the man inside.",
        WIDE_RIGHT_GUARD
        | {
            "TE": "3.9 1.1; .95 4.4 2.2; 1.4 4.6 2.5; 1.8 4.65 2.85; 2.3 4 4.1; 2.8 2.8 5.3; 3.2 2.1 5.9",
            "RE": "5.3 -1; .6 5.4 .3; .95 5.05 1.5; 1.35 5.5 1.9; 1.65 5.7 2.8; 2.1 4.4 4.6; 2.6 2.2 6.2; 3 1.1 6.7",
            "RI": "2.9 -1; .75 2.8 .85; 1.8 2.75 1.3; 2.8 2.6 1.6; 4 2.5 1.8",
            "RT": "2.6 1.1; .75 2.65 1.7; 1.8 2.6 2.15; 2.8 2.5 2.45; 4 2.4 2.7",
            "RG": "1.3 .8; 1 1.2 1.9; 4 1.1 2.2",
        },
        """
        TE RE beat outside 1.85
        right edge TE RE 2.05
        RT RI held
        RG uncovered
        never short RT
        pressure RE
        """,
    ),
    Scene(
        "bull rush on a tackle",
        "The end goes through the tackle's chest and walks him back into the passer; he never gets by him.",
        {
            "RE": "3.7 -1; .7 3.6 .6; 1.05 3.2 1.75; 2 2.4 3.5; 2.8 1.6 5.1; 4 1.4 5.4",
            "RT": "2.6 1.1; 1 2.9 2.6; 2 1.95 4.3; 2.8 1.05 5.85; 4 .9 6.1",
        },
        """
        RT RE driven
        nobody beat
        LT LE held
        """,
    ),
    Scene(
        "bull rush on the centre",
        "The nose of three down men drives the centre straight back.",
        NOSE_ALONE
        | {
            "NT": "0 -.9; .6 .1 .55; 1 .1 .9; 2.8 .1 4.4; 4 .1 4.6",
            "C": "0 .4; .6 .05 1.4; 1 .05 1.75; 2.8 .05 5.25; 4 .05 5.5",
            "LG": "-1.3 .8; .9 -2 2; 2.8 -2 2.4",
            "RG": "1.3 .8; .9 2 2; 2.8 2 2.4",
        },
        """
        C NT driven
        nobody beat
        3 rushers
        """,
    ),
    Scene(
        "rides him past the passer",
        "The end runs the hoop and gets deeper than the passer, who steps up; the tackle is inside him all the way.",
        {
            "RE": "4.3 -1; .7 4.4 .6; 1.1 4 2.1; 1.6 4.4 3.3; 2.1 4.3 5.2; 2.6 3.5 7.4; 3 2.6 8.6",
            "RT": "2.6 1.1; 1.05 3.3 2.75; 1.6 3.6 3.7; 2.1 3.45 5.2; 2.6 2.7 6.9; 3 1.9 7.9",
            "QB": "0 5; 1.3 0 7.6; 1.8 0 7.2; 2.4 0 6.2; 4 0 5.8",
        },
        """
        RT RE held
        nobody beat
        """,
    ),
    Scene(
        "fallen lineman",
        "The right guard slips and goes down; his man steps round him outside. On the ground he is beaten.",
        {
            "RI": "1.85 -1; .7 1.65 .75; 1 1.75 1; 1.3 2.4 1.5; 1.7 2 3.2; 2.2 1 5.4; 2.6 .5 6.3; 3 .4 6.4",
            "RG": "1.3 .8; .6 1.45 1.55; .85 1.4 1.75; 4 1.4 1.75",
        },
        """
        RG RI beat outside 1.45
        right edge RG RI 1.7
        RT RE held
        pressure RI
        """,
    ),
    Scene(
        "both tackles beaten",
        "Both ends win the corner in the same second: both edges are short.",
        {
            "RE": "4.3 -1; .7 4.4 .6; 1.1 3.9 1.9; 1.45 4.35 2.6; 1.75 4.4 3.5; 2.1 3.4 4.8; 2.6 1.4 6.4; 3 .9 6.8",
            "RT": "2.6 1.1; 1.05 3.2 2.6; 1.5 3.4 2.85; 1.8 3.45 3.3; 2.2 3 4.3; 2.7 2 5.5; 3.2 1.5 6",
            "LE": "-4.2 -1; .7 -4.3 .6; 1.1 -3.8 1.9; 1.65 -4.3 2.6; 1.95 -4.3 3.5; 2.3 -3.3 4.8; 2.8 -1.3 6.4",
            "LT": "-2.6 1.1; 1.05 -3.1 2.6; 1.7 -3.4 2.85; 2 -3.4 3.3; 2.4 -2.9 4.3; 2.9 -1.9 5.5; 3.2 -1.5 6",
        },
        """
        RT RE beat outside 1.95
        LT LE beat outside 2.15
        right edge RT RE 2.15
        left edge LT LE 2.35
        """,
    ),
    Scene(
        "guard and tackle beaten on one side",
        "The end has the tackle outside, the inside man the guard outside half a second before. Two reps are lost.",
        {
            "RE": "5 -1; .75 5 .6; 1.15 4.5 2; 1.5 5 2.7; 1.8 5.05 3.6; 2.2 4 5; 2.7 1.9 6.5; 3.1 1.2 6.8",
            "RT": "2.6 1.1; 1.1 3.8 2.65; 1.55 4 2.95; 1.85 4.05 3.2; 2.25 3.6 4.1; 2.8 2.7 5.3; 3.2 2.2 5.9",
            "RI": "1.5 -1; .75 1.4 .75; 1.1 1.45 1; 1.4 2.2 1.4; 1.65 2.3 2.4; 2.1 1.5 4.4; 2.6 .6 6.2; 3 .5 6.3",
            "RG": "1.3 .8; .75 1.25 1.6; 1.1 1.25 1.9; 1.6 1.3 2.2; 2.1 1.2 3.3; 2.6 .8 4.8",
        },
        """
        RG RI beat outside 1.65
        RT RE beat outside 2.1
        right edge RG RI 1.85
        """,
    ),
    Scene(
        "quick game",
        "Three steps and the ball is gone at 1.2 s. The tackles have only just met their men.",
        {"QB": "0 5; .7 0 6.3; 1.1 0 6.1; 4 0 6"},
        """
        LT LE held
        RT RE held
        nobody beat
        no pressure
        """,
        throw=1.2,
    ),
    # ------------------------------------------------------------------------------- who has whom
    Scene(
        "double team, the helper leaves",
        "Guard and centre on the left inside man; at 1.4 s the centre looks for work elsewhere. The guard has him all "
        "the way. His way to the passer leads by the centre: that makes nobody's edge short.",
        {
            "LI": "-.85 -1; .75 -.85 .75; 1.8 -.9 1.15; 2.8 -.95 1.45; 4 -1 1.7",
            "LG": "-1.3 .8; .75 -1.15 1.6; 1.8 -1.1 2; 2.8 -1.1 2.3; 4 -1.1 2.5",
            "C": "0 .4; .8 -.1 1.2; 1.35 -.1 1.45; 1.8 .5 2; 4 .5 2.3",
        },
        """
        LG LI held
        C LI help
        LI LG at 1
        LI LG at 2
        never short RT
        never short LT
        """,
    ),
    Scene(
        "three-man rush",
        "Three rush, eight drop: the nose has centre and right guard on him. The centre has him, the guard helps.",
        NOSE_ALONE
        | {
            "NT": ".3 -.9; .6 .3 .6; 1.8 .35 1.15; 2.8 .4 1.55; 4 .4 1.8",
            "C": "0 .4; .6 .15 1.45; 1.8 .2 2; 2.8 .25 2.4; 4 .25 2.6",
            "RG": "1.3 .8; .8 1.25 1.2; 1.8 1.35 1.7; 2.8 1.4 2.1; 4 1.4 2.3",
            "LG": "-1.3 .8; 1 -1.6 2; 4 -1.6 2.4",
        },
        """
        C NT held
        RG NT help
        LG uncovered
        3 rushers
        nobody beat
        never short RT
        """,
    ),
    Scene(
        "max protect",
        "Seven block four. The tight end leans on the tackle's man, the back looks on and finds nobody.",
        {
            "TE": "3.9 1.1; 1.1 4.9 2.4; 1.8 4.95 2.8; 2.8 4.95 3.2; 4 4.9 3.6",
            "RE": "4.3 -1; .7 4.25 .5; 1.1 3.9 1.95; 1.8 3.95 2.4; 2.8 4 2.9; 4 4 3.3",
            "RT": "2.6 1.1; 1.05 3.35 2.65; 1.8 3.4 3.1; 2.8 3.45 3.6; 4 3.4 4",
            "RB": "1.4 5.1; .8 .8 4.5; 4 .8 4.7",
        },
        """
        RT RE held
        TE RE help
        RB no row
        4 rushers
        nobody beat
        """,
    ),
    Scene(
        "tight end leaves the double team",
        "Tight end and tackle double the end; at 1.5 s the tight end goes into his route. He was not beaten: "
        "the tackle has the man before and after.",
        {
            "SB": "2.9 -4.6; 1 2.6 -5.2; 2.5 2.6 -8; 4 2.6 -10",
            "TE": "3.9 1.1; .9 4.6 1.5; 1.45 4.75 2; 1.8 5.3 1; 2.3 5.6 -2; 3 5.8 -7; 4 6 -14",
            "RE": "4.4 -1; .6 4.3 .3; .95 4 1.3; 1.45 4 1.9; 1.8 4 2.3; 2.8 4.2 3; 4 4.3 3.5",
            "RT": "2.6 1.1; .95 3.3 1.9; 1.45 3.35 2.5; 1.8 3.4 2.95; 2.8 3.6 3.65; 4 3.6 4.2",
        },
        """
        RT RE held
        TE RE help
        RE RT at 2
        nobody beat
        """,
    ),
    Scene(
        "tight end chips",
        "On his way out the tight end bumps the end for a moment. The tackle has him.",
        {
            "SB": "2.9 -4.6; 1 2.6 -5.2; 2.5 2.6 -8; 4 2.6 -10",
            "TE": "3.9 1.1; .5 4.6 .8; .85 5 .6; 1.15 5.3 -.3; 1.8 5.5 -3.6; 3 5.6 -12",
            "RE": "4.6 -1; .5 4.5 -.1; .85 4.2 .4; 1.3 3.8 2; 1.8 3.95 2.65; 2.8 4.35 3.25; 4 4.5 3.8",
        },
        """
        RT RE held
        TE RE help
        nobody beat
        """,
    ),
    Scene(
        "back chips, tackle beaten later",
        "The back bumps the end at 1.3 s and goes out; a second later the tackle loses him outside all the same.",
        {
            "RB": "1.4 5.1; 1.05 4.5 3.5; 1.3 4.85 2.8; 1.6 5.1 2.6; 2 6.8 1.6; 2.5 9 -1; 3.3 11 -6",
            "RE": "4.3 -1; .7 4.4 .6; 1.1 4 2; 1.6 4 2.5; 2.1 4.4 3.1; 2.35 4.35 4; 2.7 3.3 5.2; 3.2 1.3 6.6",
            "RT": "2.6 1.1; 1.05 3.3 2.7; 1.6 3.3 3.1; 2.1 3.45 3.4; 2.4 3.45 3.8; 2.8 2.9 4.7; 3.3 1.9 5.9",
        },
        """
        RT RE beat outside 2.6
        RB RE help
        right edge RT RE 2.75
        """,
        throw=3.3,
    ),
    Scene(
        "half slide",
        "Centre, left guard and left tackle slide: a linebacker comes through the left inside gap and the centre has "
        "him. Guard and tackle on the right have their men.",
        {
            "WB": "-.7 -2.7; .2 -.7 -2.6; .8 -.5 .6; 1.8 -.5 1.1; 2.8 -.5 1.4; 4 -.5 1.6",
            "C": "0 .4; .8 -.4 1.5; 1.8 -.4 2; 2.8 -.4 2.3; 4 -.4 2.5",
            "LI": "-2.2 -1; .75 -2.1 .85; 1.8 -2.05 1.35; 2.8 -1.95 1.65; 4 -1.9 1.85",
            "LG": "-1.3 .8; .75 -1.8 1.65; 1.8 -1.8 2.2; 2.8 -1.75 2.5; 4 -1.7 2.7",
        },
        """
        C WB held
        LG LI held
        LT LE held
        RG RI held
        RT RE held
        5 rushers
        nobody beat
        """,
    ),
    Scene(
        "full slide",
        "All five slide left, to a linebacker in the left inside gap; the back has the right end. The right tackle "
        "slides into nobody.",
        {
            "WB": "-.8 -2.7; .2 -.8 -2.6; .8 -.65 .6; 1.8 -.65 1.1; 2.8 -.65 1.4; 4 -.65 1.6",
            "C": "0 .4; .8 -.55 1.5; 1.8 -.55 2; 2.8 -.55 2.3; 4 -.55 2.5",
            "LI": "-2.2 -1; .75 -2.1 .85; 1.8 -2.05 1.35; 2.8 -1.95 1.65; 4 -1.9 1.85",
            "LG": "-1.3 .8; .75 -1.85 1.65; 1.8 -1.85 2.2; 2.8 -1.8 2.5; 4 -1.7 2.7",
            "RI": "1.1 -1; .75 .95 .8; 1.8 .95 1.2; 2.8 .9 1.5; 4 .9 1.7",
            "RG": "1.3 .8; .75 .85 1.65; 1.8 .85 2.05; 2.8 .8 2.35; 4 .8 2.6",
            "RT": "2.6 1.1; 1 2.2 1.9; 4 2.2 2.3",
            "RE": "4.7 -1; .8 5 1; 1.35 4.4 3.4; 2 4.4 3.7; 2.8 4.5 4.2; 4 4.5 4.6",
            "RB": "1.4 5.1; 1.25 3.7 4.1; 2 3.7 4.4; 2.8 3.75 4.9; 4 3.7 5.3",
        },
        """
        C WB held
        RG RI held
        RT uncovered
        RB RE held
        RE RB at 2
        5 rushers
        nobody beat
        """,
    ),
    Scene(
        "tackle kicked out, guard sets the edge",
        "The right tackle goes out to a slot corner who comes wide; the guard has the end and is beaten outside. The "
        "edge is the guard's: the tackle is not in the pocket any more.",
        {
            "NB": "7.6 -1.4; .2 7.6 -1.3; .8 7.3 .6; 1.25 6.5 2.2; 1.8 6.6 2.7; 2.8 7 3.2; 4 7 3.6",
            "RT": "2.6 1.1; 1.2 5.7 2.7; 1.8 5.8 3.1; 2.8 6.2 3.6; 4 6.2 4",
            "RE": "3.1 -1; .7 3.3 .6; 1 3 1.6; 1.5 3 2; 1.8 3.6 2.5; 2.05 3.4 3.5; 2.5 1.9 5.4; 2.9 1 6.4",
            "RG": "1.3 .8; 1 2.45 2.3; 1.5 2.5 2.7; 1.9 2.55 2.9; 2.4 2.2 3.6; 2.9 1.6 4.7",
            "RI": ".6 -1; .7 .5 .8; 1.8 .5 1.2; 2.8 .45 1.5; 4 .4 1.7",
            "C": "0 .4; .7 .4 1.65; 1.8 .4 2.05; 2.8 .4 2.35; 4 .4 2.6",
            "Y": "12 1.1; 1.5 12 -5; 3 11 -13",
        },
        """
        RG RE beat outside 2.1
        right edge RG RE 2.25
        RT NB held
        C RI held
        5 rushers
        """,
    ),
    Scene(
        "kicked-out tackle beaten",
        "The same kick-out, but it is the tackle out there who loses the corner; before that the guard was the edge.",
        {
            "NB": "7.6 -1.4; .2 7.6 -1.3; .8 7.3 .6; 1.25 6.6 2.2; 1.6 7.1 2.7; 1.9 7 3.7; 2.3 5.4 5; 2.9 2.2 6.5",
            "RT": "2.6 1.1; 1.2 5.8 2.8; 1.6 6.05 3; 1.95 6.05 3.3; 2.4 5 4.4; 2.9 3.3 5.5; 3.3 2.5 6",
            "RE": "3.1 -1; .7 3.3 .6; 1 3 1.6; 1.5 3 2; 2.8 3.2 2.6; 4 3.2 3",
            "RG": "1.3 .8; 1 2.45 2.3; 1.5 2.5 2.7; 2.8 2.7 3.3; 4 2.7 3.7",
            "RI": ".6 -1; .7 .5 .8; 1.8 .5 1.2; 2.8 .45 1.5; 4 .4 1.7",
            "C": "0 .4; .7 .4 1.65; 1.8 .4 2.05; 2.8 .4 2.35; 4 .4 2.6",
            "Y": "12 1.1; 1.5 12 -5; 3 11 -13",
        },
        """
        RT NB beat outside 2.15
        right edge RT NB 2.35
        RG RE held
        never short RG
        """,
    ),
    Scene(
        "the centre cleans up",
        "The right guard is beaten inside at once; the centre, who had nobody, comes across and stops the man half a "
        "second later. The guard lost his rep, the centre had the man at the end.",
        {
            "RI": "2 -1; .75 1.9 .85; 1.25 1.85 1.15; 1.5 1.15 1.2; 1.75 .75 2.1; 2.15 .45 3; 2.8 .3 3.4; 4 .3 3.6",
            "RG": "1.3 .8; .75 1.8 1.7; 1.25 1.8 2.05; 1.6 1.7 2.15; 4 1.6 2.1",
            "LI": "-2.2 -1; .75 -2.1 .85; 1.8 -2.05 1.35; 2.8 -1.95 1.65; 4 -1.9 1.85",
            "LG": "-1.3 .8; .75 -1.85 1.65; 1.8 -1.85 2.2; 2.8 -1.8 2.5; 4 -1.7 2.7",
            "C": "0 .4; 1 -.7 1.8; 1.75 -1 2.05; 2.2 -.1 3.85; 2.8 .2 4.2; 4 .2 4.4",
        },
        """
        RG RI beat inside 1.75
        C RI held
        RI C at 2.6
        no edge RI 2
        never short RT
        """,
    ),
    # ------------------------------------------------------------------------------- stunts
    Scene(
        "end and inside man exchange",
        "The inside man goes out first, the end loops in behind him; guard and tackle pass them off.",
        {
            "RI": "1.85 -1; .6 1.9 .6; .9 2.25 .95; 1.3 3.2 1.65; 1.7 3.75 2.05; 2.8 4 2.9; 4 4 3.4",
            "RG": "1.3 .8; .7 1.7 1.6; 1.1 1.95 1.9; 1.5 1.55 2.1; 1.9 1.4 2.25; 2.8 1.3 2.7; 4 1.3 2.9",
            "RT": "2.6 1.1; 1 2.9 2.5; 1.4 3.15 2.65; 1.8 3.3 2.9; 2.8 3.5 3.65; 4 3.5 4.2",
            "RE": "4.2 -1; .6 4.3 -.2; 1 3.2 -.4; 1.4 1.9 .2; 1.7 1.5 1.3; 2.8 1.4 1.85; 4 1.4 2.05",
        },
        """
        RT RI held
        RG RE held
        RI RG at .9
        RI RT at 1.9
        RE RG at 2
        nobody beat
        """,
    ),
    Scene(
        "exchange not passed off",
        "The same exchange, but guard and tackle both stay with the inside man. The end comes free through the middle.",
        NOSE_LEFT
        | {
            "RI": "1.85 -1; .6 1.95 .6; .9 2.3 .95; 1.4 2.75 1.35; 2.8 2.9 1.9; 4 2.9 2.1",
            "RG": "1.3 .8; .7 1.75 1.6; 1.1 2.1 1.85; 1.5 2.4 2.15; 2.8 2.5 2.7; 4 2.5 2.9",
            "RT": "2.6 1.1; .9 3.25 1.8; 1.5 3.65 1.9; 2.8 3.8 2.4; 4 3.8 2.6",
            "RE": "4.3 -1; .6 4.4 -.4; 1 3.1 -.6; 1.4 1.5 -.2; 1.8 .85 1.8; 2.3 .6 4.6; 2.7 .4 6.2; 3.2 .4 6.4",
        },
        """
        RE free
        RG RI held
        RT RI help
        pressure RE
        never short RT
        """,
    ),
    Scene(
        "centre and guard pass off a twist",
        "The inside man crosses into the centre, the nose loops behind him to the guard.",
        {
            "LI": "-.5 -.9; .5 -.35 -.4; .9 .5 -.8; 1.3 1.7 -.2; 1.7 1.85 .95; 2.8 1.75 1.55; 4 1.7 1.7",
            "RI": "1.6 -1; .6 1 .4; 1 .3 .9; 1.8 .2 1.25; 2.8 .2 1.55; 4 .2 1.7",
            "C": "0 .4; .7 .1 1.45; 1.8 .1 2.1; 2.8 .1 2.4; 4 .1 2.6",
            "RG": "1.3 .8; .7 1.4 1.5; 1.3 1.6 1.65; 1.8 1.7 2; 2.8 1.65 2.4; 4 1.6 2.6",
            "LG": "-1.3 .8; 1 -1.6 1.9; 4 -1.6 2.3",
        },
        """
        C RI held
        RG LI held
        LG uncovered
        nobody beat
        4 rushers
        """,
    ),
    Scene(
        "three-man twist",
        "Both inside men slant right, the right end loops all the way to the middle. Tackle, guard and centre each "
        "pass one on and take the next: nobody is free.",
        {
            "LI": "-.8 -1; .6 -.2 .2; 1.1 .95 .9; 1.6 1.25 1.2; 2.8 1.35 1.7; 4 1.3 1.9",
            "RI": "1.85 -1; .6 2.3 .2; 1.1 3 1.5; 1.6 3.4 2; 2.8 3.8 2.9; 4 3.8 3.4",
            "RE": "3.9 -1; .5 3.8 -.6; 1 1.9 -1; 1.4 .2 -.3; 1.75 -.25 1; 2.8 -.15 1.65; 4 -.1 1.9",
            "C": "0 .4; .8 .05 1.4; 1.6 -.2 1.8; 2.8 -.1 2.5; 4 -.1 2.7",
            "RG": "1.3 .8; .75 1.35 1.5; 1.2 1.2 1.8; 2.8 1.35 2.55; 4 1.3 2.8",
            "RT": "2.6 1.1; .8 2.8 2.1; 1.3 3 2.5; 2.8 3.3 3.6; 4 3.3 4.1",
        },
        """
        RG LI held
        RT RI held
        C RE held
        RE C at 2.2
        LI RG at 2
        nobody beat
        LT LE held
        """,
    ),
    # ------------------------------------------------------------------------------- blitzers and others
    Scene(
        "free blitzer outside",
        "Five block six places: a slot corner comes from outside and nobody has him. The tackle has the end; it is not "
        "his edge that was short.",
        {
            "NB": "7.2 -1.5; .15 7.2 -1.4; .9 6.1 1; 1.5 4.9 3.6; 2.1 2.6 5.7; 2.4 1.4 6.4; 2.8 .9 6.7",
            "RE": "3.6 -1; .7 3.6 .5; 1.1 3.3 1.9; 1.8 3.5 2.5; 2.8 3.8 3.1; 4 3.9 3.6",
            "RT": "2.6 1.1; 1.05 2.85 2.65; 1.8 3 3.2; 2.8 3.2 3.75; 4 3.2 4.2",
            "Y": "12 1.1; 1.5 12 -5; 3 11 -13",
        },
        """
        NB free
        RT RE held
        never short RT
        5 rushers
        pressure NB
        """,
        throw=2.5,
    ),
    Scene(
        "empty, six rush five",
        "Nobody but five to block and six come. They block from the inside out and leave the end to the passer.",
        {
            "WB": "-.7 -2.4; .15 -.7 -2.3; .8 -.4 .6; 1.8 -.35 1.1; 2.8 -.3 1.4",
            "C": "0 .4; .8 -.3 1.5; 1.8 -.3 1.95; 2.8 -.25 2.3",
            "MB": "1.1 -2.4; .15 1.1 -2.3; .8 1.15 .6; 1.8 1.1 1.1; 2.8 1.05 1.4",
            "RG": "1.3 .8; .8 1.1 1.5; 1.8 1.05 2; 2.8 1 2.3",
            "LI": "-2 -1; .75 -1.8 .85; 1.8 -1.75 1.35; 2.8 -1.65 1.65",
            "RI": "2.4 -1; .75 2.4 .85; 1.8 2.35 1.3; 2.8 2.25 1.6",
            "RT": "2.6 1.1; .75 2.5 1.7; 1.8 2.45 2.15; 2.8 2.3 2.5",
            "RE": "4.9 -1; .6 4.9 .6; 1.1 4.4 3; 1.6 2.6 5.3; 1.9 1.4 6.3; 2.4 .9 6.7",
            "RB": "-6 1.3; 1.5 -6 -5; 3 -6 -12",
            "TE": "-10 1.1; 1.5 -10 -5; 3 -9.5 -13",
        },
        """
        RE free
        C WB held
        RG MB held
        RT RI held
        6 rushers
        never short RT
        pressure RE
        """,
        throw=1.95,
    ),
    Scene(
        "delayed blitz picked up",
        "A linebacker waits, then comes through the middle at 1.3 s. The centre has waited for him.",
        {
            "MB": "0 -4.5; .9 .3 -4; 1.5 .4 -1.2; 1.9 .35 .5; 2.3 .3 1.1; 2.8 .3 1.5; 4 .3 1.7",
            "C": "0 .4; 1 .1 1.7; 1.8 .25 1.75; 2.3 .25 2; 2.8 .25 2.4; 4 .25 2.6",
        },
        """
        C MB held
        5 rushers
        nobody beat
        MB C at 2.4
        """,
    ),
    Scene(
        "delayed blitz free",
        "The centre has gone to help on the nose when the linebacker comes late through the right inside gap.",
        WIDE_RIGHT_GUARD
        | {
            "LI": "-1.5 -1; .75 -1.55 .8; 1.8 -1.6 1.2; 2.8 -1.6 1.5; 4 -1.5 1.7",
            "LG": "-1.3 .8; .75 -1.8 1.65; 1.8 -1.75 2.05; 2.8 -1.75 2.35; 4 -1.6 2.6",
            "C": "0 .4; .8 -.75 1.3; 1.8 -.9 1.7; 2.8 -.9 2; 4 -.8 2.2",
            "MB": "0 -4.5; .9 .7 -4; 1.4 .8 -1.5; 1.8 .75 1.5; 2.3 .5 4.6; 2.6 .35 6; 3 .3 6.3",
        },
        """
        MB free
        C LI help
        LG LI held
        RG RI held
        5 rushers
        pressure MB
        """,
    ),
    Scene(
        "late blitz",
        "A linebacker spies until 2.1 s, then comes through the gap between right guard and tackle and sacks the "
        "passer at 3.6 s. Nobody had him; he is the sack.",
        WIDE_RIGHT_GUARD
        | {
            "RI": "1.6 -1; .75 1.45 .85; 1.8 1.4 1.3; 2.8 1.3 1.55; 4 1.2 1.75",
            "RG": "1.3 .8; .75 1.25 1.7; 1.8 1.2 2.15; 2.8 1.15 2.4; 4 1.1 2.6",
            "RT": "2.6 1.1; 1.05 3.6 2.7; 1.8 3.9 3.25; 2.8 4.1 3.8; 4 4.2 4.3",
            "RE": "4.6 -1; .7 4.65 .5; 1.1 4.2 2; 1.8 4.5 2.65; 2.8 4.8 3.25; 4 4.9 3.8",
            "MB": "0 -4.8; .8 .5 -3; 1.6 2 -2.2; 2.1 2.5 -2.1; 2.6 2.5 -.2; 3 2.4 2.6; 3.3 1.6 4.7; 3.6 .7 6.2",
        },
        """
        MB free
        came MB 2.45
        5 rushers
        nearest 1.1 at 3.6
        pressure MB
        RT RE held
        RG RI held
        """,
        throw=None,
        last=4.2,
    ),
    Scene(
        "late blitz picked up by the centre",
        "The same late man, straight through the middle; the centre, who had nobody, steps up to him.",
        {
            "MB": "0 -4.8; .8 .2 -3; 1.6 .3 -2.2; 2.1 .3 -2.1; 2.6 .3 -.3; 2.9 .25 .9; 3.4 .2 1.3; 4.4 .2 1.7",
            "C": "0 .4; 1 0 1.9; 2.4 .1 1.9; 2.9 .2 1.85; 3.4 .15 2.2; 4.4 .15 2.6",
        },
        """
        C MB held
        came MB 2.5
        5 rushers
        nobody beat
        """,
        throw=3.5,
    ),
    Scene(
        "spy",
        "A linebacker mirrors the passer at the line and never comes. Four rushed.",
        {"MB": "0 -4.8; .7 0 -3.5; 1.4 .3 -2.6; 2.2 .5 -2.3; 3 .2 -2.1; 4 .2 -2"},
        """
        MB no row
        C uncovered
        4 rushers
        nobody beat
        """,
    ),
    Scene(
        "the end spies",
        "The right end comes, meets the tackle, then backs out to spy the passer from the line.",
        {
            "RE": "4.1 -1; .7 4.1 .5; 1.1 3.7 1.8; 1.5 3.8 1.7; 2 3 -.5; 2.8 1.8 -3.4; 3.4 1.4 -3.8",
            "RT": "2.6 1.1; 1.05 3.15 2.6; 1.5 3.25 2.7; 2 3 2.9; 3 2.7 3.2",
        },
        """
        RT RE held
        dropped RE 1.65
        nobody beat
        no edge RE 2.6
        """,
    ),
    Scene(
        "end drops, linebacker comes",
        "The right end shows and drops under a route, a linebacker comes outside in his place; the tackle has him.",
        {
            "RE": "3.5 -1; .3 3.5 -.95; .8 4 -2; 1.6 5.6 -4.8; 2.8 6.2 -6.8; 4 6.4 -7.5",
            "SB": "5.4 -2.3; .25 5.4 -2.1; .8 4.9 .3; 1.25 4.05 1.95; 1.8 4.2 2.6; 2.8 4.5 3.2; 4 4.6 3.7",
            "RT": "2.6 1.1; 1.2 3.45 2.65; 1.8 3.55 3.2; 2.8 3.75 3.75; 4 3.8 4.2",
        },
        """
        RE no row
        RT SB held
        4 rushers
        nobody beat
        """,
    ),
    Scene(
        "end touches and drops",
        "The right end gets his hands on the tackle at the line for a moment and drops. He did not rush.",
        {
            "RE": "3.2 -1; .6 3.1 .3; 1 3.1 .45; 1.5 3.7 -1.6; 2.2 5 -4.6; 2.8 5.5 -6; 4 6 -7",
            "RT": "2.6 1.1; .6 2.85 1.2; 1 2.9 1.45; 1.6 2.8 2.1; 2.8 2.6 2.7; 4 2.5 3",
        },
        """
        RE no row
        RT uncovered
        3 rushers
        nobody beat
        """,
    ),
    # ------------------------------------------------------------------------------- the offence does something else
    Scene(
        "screen",
        "Right guard and centre hold, let their men go and lead. The right inside man runs at the passer: he was let "
        "go, nobody was beaten.",
        {
            "QB": "0 5; 1.2 0 7.2; 2.2 -.3 9; 4 -.3 9.3",
            "RI": "1.85 -1; .75 1.65 .85; 1.25 1.5 1.1; 1.55 .9 1.8; 1.9 .7 3.6; 2.4 .2 6.6; 3 0 8",
            "RG": "1.3 .8; .75 1.45 1.7; 1.2 1.5 1.95; 1.6 2.7 1.5; 2.1 5 .3; 3 9 -3; 4 12 -8",
            "C": "0 .4; .8 -.1 1.4; 1.4 0 .3; 2.2 2.6 -1.6; 3 5.5 -5",
            "RB": "-1.4 5.1; .9 -.8 5.6; 1.5 1.5 6; 2.2 5.5 4.4; 2.8 7.2 3; 4 9 -3",
        },
        """
        RG RI held
        nobody beat
        RT RE held
        never short RG
        """,
        throw=2.4,
    ),
    Scene(
        "slow screen, a corner reads it",
        "The screen takes its time; a corner comes up to the catch, thirteen yards from the passer. He never rushed.",
        {
            "QB": "0 5; 1.2 0 7.2; 2.6 -.5 9; 4 -.5 9.4",
            "RB": "-1.4 5.1; 1 -.8 5.6; 1.8 2.5 5.6; 2.6 7.5 4; 3.2 9.5 2.5; 4 10.5 -2",
            "SB": "2.9 -4.6; 1 2.6 -5.2; 2.5 2.6 -8; 4 2.6 -10",
            "Y": "8.5 1.1; 1.2 6.5 -3.5; 2.5 6 -7; 4 6 -11",
            "NB": "8 -5; 1.5 8.6 -4; 2.5 9.6 -1.2; 3 11 .8; 4 11.2 2",
        },
        """
        NB no row
        4 rushers
        nobody beat
        """,
        throw=3.1,
    ),
    Scene(
        "boot",
        "The line goes left, the passer fakes and runs out right. Nobody was to block the right end, who chases him; "
        "no blocker is beaten on a play that moves away from all of them.",
        {
            "QB": "0 1.3; .8 -.6 4.2; 1.2 0 6; 1.8 2.5 7.6; 2.4 6 7.8; 3 9.5 6.4; 4 13 4",
            "RB": "0 7; .8 -1.2 4.6; 1.3 -2 3.4; 4 -2.4 3.2",
            "LT": "-2.6 1.1; .7 -3.4 1.5; 1.6 -3.9 1.9; 3 -4.2 2.2",
            "LE": "-4.1 -1; .7 -4.3 .4; 1.6 -4.6 1.2; 3 -4.8 1.5",
            "LG": "-1.3 .8; .7 -2.1 1.2; 1.6 -2.6 1.5; 3 -2.8 1.8",
            "LI": "-1.85 -1; .7 -2.3 .2; 1.6 -2.9 .7; 3 -3 .9",
            "C": "0 .4; .7 -.8 1; 1.6 -1.4 1.3; 3 -1.6 1.5",
            "RG": "1.3 .8; .7 .5 1.2; 1.6 .1 1.4; 3 0 1.6",
            "RI": "1.85 -1; .7 1 .3; 1.6 .6 .6; 3 .6 .8",
            "RT": "2.6 1.1; .7 1.9 1.1; 1.6 1.4 1.3; 3 1.2 1.5",
            "RE": "4.3 -1; .6 4 .3; 1.2 3.8 1.8; 1.8 5 3.6; 2.4 7.4 5.2; 3 9.9 5; 4 12.5 3.6",
        },
        """
        RE free
        nobody beat
        """,
        throw=3.2,
    ),
    Scene(
        "scramble",
        "Nothing open, the passer runs out to the left at 2.2 s. The tackle lets go of the end after that, which is no "
        "loss: the rep was over when the passer left.",
        {
            "QB": "0 5; 1.3 0 7.6; 1.8 0 7.1; 2.2 -.1 7; 2.7 -2.4 7.4; 3.3 -5.8 6; 4.2 -10 1",
            "RE": "4.1 -1; .7 4.15 .5; 1.1 3.7 2; 1.8 3.95 2.65; 2.4 4.3 3; 2.75 4.3 4.2; 3.3 1.5 6.2; 4.2 -4.5 5",
            "RT": "2.6 1.1; 1.05 3.15 2.7; 1.8 3.35 3.25; 2.4 3.5 3.6; 4 3.2 3.8",
            "LT": "-2.6 1.1; 1.05 -3.1 2.7; 1.8 -3.35 3.2; 2.4 -3.5 3.6; 3.2 -4.6 3; 4.2 -6.5 1.6",
            "LE": "-4.1 -1; .7 -4.1 .5; 1.1 -3.6 2; 1.8 -3.95 2.6; 2.4 -4.2 3; 3 -5.6 3.2; 4.2 -8.5 1",
        },
        """
        RT RE held
        LT LE held
        nobody beat
        """,
        throw=None,
        last=4.2,
    ),
    Scene(
        "jet motion",
        "A receiver comes across in full motion behind the line at the snap and out the other side. He blocks nobody.",
        {"Z": "-.6 8.5 1.8; -.2 5.6 3; .2 2.4 3.6; .6 -1 3.7; 1 -4.6 3.4; 1.6 -9.5 2; 2.4 -13 -3; 4 -14 -10"},
        """
        Z no row
        LT LE held
        RT RE held
        4 rushers
        nobody beat
        """,
    ),
    Scene(
        "back runs past a rusher",
        "On his way into the flat the back runs close by the end. He did not help.",
        {
            "RB": "1.4 5.1; .9 2.9 4.3; 1.3 4.5 2.9; 1.6 5.8 1.4; 2.1 7.6 -1; 3 9.4 -6.5",
            "RE": "4.3 -1; .7 4.4 .5; 1.1 4.1 1.8; 1.4 4.1 2.1; 1.8 4.2 2.6; 2.8 4.4 3.25; 4 4.5 3.8",
            "RT": "2.6 1.1; 1.05 3.4 2.45; 1.4 3.45 2.75; 1.8 3.55 3.2; 2.8 3.65 3.8; 4 3.7 4.3",
        },
        """
        RB no row
        RT RE held
        """,
    ),
    Scene(
        "fumbled snap",
        "The passer drops the snap at the line and falls on it. Nothing of it says who blocked well.",
        {
            "QB": "0 1.3; .3 .1 1.6; .8 .6 2.7; 4 .6 2.7",
            "C": "0 .4; 1 -.5 1.4; 4 -.5 1.6",
            "RI": "1.85 -1; .7 1 .6; 1.1 .7 1.9; 4 .7 2",
            "RG": "1.3 .8; .7 1.6 1.4; 1.1 1.7 2; 4 1.7 2",
        },
        """
        snap bad
        nobody beat
        """,
        throw=None,
        last=2.0,
    ),
    Scene(
        "snap over his head",
        "The snap sails; the passer runs back for it. Reps on such a play are no reps.",
        {"QB": "0 5; .4 0 5.1; 1 .2 8; 1.6 .4 12; 2.1 .5 13.5; 2.6 2 13.4; 3.2 6 13"},
        """
        snap bad
        """,
        throw=None,
        last=3.2,
    ),
    Scene(
        "wildcat",
        "The back takes the snap himself, the quarterback stands wide; who the passer is has been said (`role`).",
        {
            "RB": "0 5; 1.3 0 7.6; 1.8 0 7.1; 4 0 7",
            "QB": "-16 1.2; 1.5 -15.5 .5; 4 -15 0",
            "X": "",
        },
        """
        LT LE held
        RT RE held
        C uncovered
        4 rushers
        nobody beat
        """,
        role={"RB": "passer", "QB": "other"},
    ),
    Scene(
        "six linemen",
        "An extra tackle stands where the tight end would and has the end; he is the edge on that side.",
        WIDE_RIGHT_GUARD
        | {
            "OT": "3.9 1.1; 1.05 4.4 2.5; 1.8 4.6 3; 2.8 4.8 3.5; 4 4.9 4",
            "RE": "5.3 -1; .7 5.4 .4; 1.1 4.95 1.8; 1.8 5.2 2.4; 2.8 5.55 3; 4 5.6 3.5",
            "RI": "2.9 -1; .75 2.8 .85; 1.8 2.75 1.3; 2.8 2.6 1.6; 4 2.5 1.8",
            "RT": "2.6 1.1; .75 2.65 1.7; 1.8 2.6 2.15; 2.8 2.5 2.45; 4 2.4 2.7",
            "RG": "1.3 .8; 1 1.2 1.9; 4 1.1 2.2",
            "TE": "",
        },
        """
        OT RE held
        RT RI held
        RG uncovered
        RE OT at 2
        nobody beat
        """,
        position={"OT": "T"},
    ),
    Scene(
        "unbalanced line",
        "The listed left tackle stands at the right end of the line, outside the right tackle, and is beaten outside: "
        "to the right. A tight end stands at the left end and has the left end.",
        {
            "TE": ORDINARY["LT"],
            "LT": "3.9 1.1; .95 4.4 2.2; 1.4 4.6 2.5; 1.8 4.65 2.85; 2.3 4 4.1; 2.8 2.8 5.3; 3.2 2.1 5.9",
            "RE": "5.3 -1; .6 5.4 .3; .95 5.05 1.5; 1.35 5.5 1.9; 1.65 5.7 2.8; 2.1 4.4 4.6; 2.6 2.2 6.2; 3 1.1 6.7",
            "RI": "2.9 -1; .75 2.8 .85; 1.8 2.75 1.3; 2.8 2.6 1.6; 4 2.5 1.8",
            "RT": "2.6 1.1; .75 2.65 1.7; 1.8 2.6 2.15; 2.8 2.5 2.45; 4 2.4 2.7",
            "RG": "1.3 .8; 1 1.2 1.9; 4 1.1 2.2",
        },
        """
        LT RE beat outside 1.85
        right edge LT RE 2.05
        RT RI held
        TE LE held
        """,
    ),
    Scene(
        "play action, the guard pulls",
        "The right guard pulls to the left end, the left tackle blocks down. The guard loses him round the left edge: "
        "to his outside there, though he lined up on the right.",
        {
            "QB": "0 1.3; .5 .4 3.6; 1 .3 5.4; 1.7 0 7.6; 2.2 0 7.2; 4 0 7",
            "RB": "0 7; .9 1.6 4.9; 1.4 2.2 3.8; 4 2.4 3.6",
            "LI": "-1.85 -1; .75 -1.9 .7; 1.8 -1.9 1.15; 2.8 -1.8 1.4; 4 -1.7 1.6",
            "LT": "-2.6 1.1; .75 -2.1 1.5; 1.8 -2.05 2; 2.8 -1.9 2.25; 4 -1.8 2.5",
            "LG": "-1.3 .8; .8 -1 1.2; 4 -.9 1.6",
            "RI": "1.6 -1; .75 1 .7; 1.8 .95 1.1; 2.8 .9 1.4; 4 .9 1.6",
            "C": "0 .4; .75 .6 1.45; 1.8 .75 1.95; 2.8 .75 2.25; 4 .7 2.5",
            "RG": "1.3 .8; .45 .6 2.1; .8 -.9 2.5; 1.4 -3.5 2.9; 1.9 -3.8 3.1; 2.3 -3.6 3.6; 2.9 -2.6 4.9",
            "LE": "-4.3 -1; .8 -4.7 .6; 1.35 -4.3 2.3; 1.8 -4.8 2.7; 2.05 -4.8 3.7; 2.5 -3.2 5.2; 3 -1.3 6.5",
        },
        """
        RG LE beat outside 2.25
        left edge RG LE 2.4
        LT LI held
        C RI held
        """,
        throw=3.1,
    ),
    # ------------------------------------------------------------------------------- what an adversary found
    Scene(
        "the nose brushes an uncovered guard",
        "The nose beats the centre over his right shoulder and runs by the right guard, who had nobody, turns and "
        "chases. The centre lost him; the guard was never on him.",
        NOSE_ALONE
        | {
            "NT": "0 -.9; .6 .1 .55; 1.2 .05 .9; 1.5 .85 1; 1.75 1.05 1.9; 2.1 .95 3.3; 2.6 .45 5.6; 3 .3 6.2",
            "C": "0 .4; .6 0 1.4; 1.2 0 1.75; 1.6 0 1.85; 2.1 .25 2.6; 2.7 .15 4.2",
            "LG": "-1.3 .8; .9 -2 2; 2.8 -2 2.4",
            "RG": "1.3 .8; .9 1.7 1.9; 1.5 1.7 2.1; 1.8 1.65 2.3; 2.2 1.5 3.6; 2.8 1 5.2",
        },
        """
        C NT beat right 1.75
        RG not beaten
        never short RG
        no edge NT 2
        3 rushers
        """,
    ),
    Scene(
        "the nose brushes the guard who helps",
        "The same, with the guard nearer: he reaches for the nose as he goes by.",
        NOSE_ALONE
        | {
            "NT": "0 -.9; .6 .1 .55; 1.2 .05 .9; 1.5 .85 1; 1.75 1.05 1.9; 2.1 .95 3.3; 2.6 .45 5.6; 3 .3 6.2",
            "C": "0 .4; .6 0 1.4; 1.2 0 1.75; 1.6 0 1.85; 2.1 .25 2.6; 2.7 .15 4.2",
            "LG": "-1.3 .8; .9 -2 2; 2.8 -2 2.4",
            "RG": "1.3 .8; .9 2.1 1.9; 1.5 1.9 2.3; 1.8 1.7 2.8; 2.2 1.6 3.6; 2.8 1 5",
        },
        """
        C NT beat right 1.75
        RG not beaten
        never short RG
        """,
    ),
    Scene(
        "screen, the guard sets long",
        "The right guard holds his man a good while, lets him go and leads the screen. The man runs at the passer: no "
        "edge of the guard's is short, he let him go.",
        {
            "QB": "0 5; 1.2 0 7.2; 2.6 -.6 9.4; 4 -.6 9.8",
            "RI": "1.85 -1; .75 1.65 .85; 1.5 1.5 1.1; 1.8 .9 1.9; 2.1 .8 3.6; 2.6 .3 6.6; 3.2 -.2 8.4",
            "RG": "1.3 .8; .75 1.45 1.7; 1.4 1.5 1.95; 1.8 2.7 1.5; 2.3 5 0; 3.2 9 -3; 4 12 -8",
            "C": "0 .4; .8 -.1 1.4; 1.4 0 .3; 2.2 2.6 -1.6; 3 5.5 -5",
            "RB": "-1.4 5.1; .9 -.8 5.6; 1.7 1.5 6; 2.4 5.5 4.4; 3 7.2 3; 4 9 -3",
        },
        """
        RG RI held
        nobody beat
        RT RE held
        never short RG
        """,
        throw=2.7,
    ),
    Scene(
        "back helps on the end",
        "The back stays in and leans on the end from outside until the throw. The tackle has him.",
        {
            "RB": "1.4 5.1; 1.1 4.3 3.6; 1.4 4.6 2.9; 2.8 5 3.9; 4 5.1 4.4",
            "RE": "4.1 -1; .7 4.15 .5; 1.1 3.7 2; 1.8 3.95 2.65; 2.8 4.35 3.25; 4 4.5 3.8",
        },
        """
        RT RE held
        RB RE help
        RB helps RE 1.3 2.8 right
        nobody beat
        """,
    ),
    Scene(
        "right guard not listed",
        "Somebody left the right guard out of the list. His man still comes, and nobody can be told to have had him.",
        {"RG": ""},
        """
        line short
        LT LE held
        """,
    ),
    Scene(
        "tackle and guard exchanged in the list",
        "The men listed as left tackle and left guard stand in each other's places; each is told by where he stood.",
        {"LT": ORDINARY["LG"], "LG": ORDINARY["LT"]},
        """
        line moved
        LG LE held
        LT LI held
        nobody beat
        """,
    ),
    Scene(
        "tackle stays with the first man of a twist",
        "The right tackle and end turn inside on the guard's man's side; the guard has both for a moment and loses "
        "neither: the end comes back to the tackle.",
        {
            "RE": "4.1 -1; .7 4.1 .5; 1.1 3.5 1.8; 1.6 2.9 2.1; 2.1 3.3 2.6; 2.8 4 3.2; 4 4.2 3.7",
            "RT": "2.6 1.1; 1.05 2.95 2.6; 1.6 2.55 2.95; 2.1 2.9 3.3; 2.8 3.3 3.9; 4 3.5 4.3",
        },
        """
        RT RE held
        RG RI held
        nobody beat
        """,
    ),
    Scene(
        "quarterback sneak from under centre",
        "The passer pushes forward behind the centre. It is a run, but no bad snap.",
        {"QB": "0 1.3; .6 .2 .8; 1.2 .3 -.4; 2 .3 -1", "C": "0 .4; .6 .1 0; 1.2 .3 -1.2; 2 .3 -2"},
        """
        snap clean
        nobody beat
        """,
        throw=None,
        last=2.0,
    ),
]


# ------------------------------------------------------------------------------------------- what the library says


def disagreements(scene: Scene, game: se.Game, mirrored: bool = False) -> list[str]:
    """The answers the library does not give, each with what it says."""
    game.library = "pandas"
    if len(game.problems):
        return [f"not measured: {game.problems.iloc[0]['reason']}"]
    told = Told(game, scene.over if scene.throw is None else scene.throw)
    answers = [mirror(answer) if mirrored else answer for answer in scene.answers]
    return [f"{answer}: {said}" for answer in answers if (said := told.against(answer))]


class Told:
    """One play as the library tells it."""

    def __init__(self, game: se.Game, last: float) -> None:
        m = se.measure(game)
        reps = se.reps(game, m)
        self.last = last
        names = ("protector", "rusher", "beat_side", "edge_man", "blocker")
        self.reps, self.edges, self.rushers = (
            table.assign(**{name: table[name].fillna("").astype(str) for name in names if name in table})
            for table in (reps.table, m.edges, m.rushers)
        )
        self.frames, self.dropback = m.frames, reps.dropbacks.iloc[0]

    def at(self, table: pd.DataFrame, time: float) -> pd.DataFrame:
        """The rows of the frame nearest that time."""
        times = table["time"].unique()
        return table[table["time"] == times[np.argmin(np.abs(times - time))]] if len(times) else table

    def against(self, answer: str) -> str:
        """What is said instead, "" when it is the same."""
        words = answer.split()
        match words:
            case [who, "no", "row"]:
                rows = self.reps[(self.reps["protector"] == who) | (self.reps["rusher"] == who)]
                return said(rows)
            case ["nobody", "beat"]:
                return said(self.reps[self.reps["outcome"] == "beat"])
            case [rusher, "free"]:
                rows = self.reps[self.reps["rusher"] == rusher]
                own = rows[rows["outcome"] != "help"]
                return "" if list(own["outcome"]) == ["free"] else said(rows) or "no row"
            case [man, "uncovered"]:
                rows = self.reps[self.reps["protector"] == man]
                return "" if list(rows["outcome"]) == ["uncovered"] else said(rows) or "no row"
            case ["nearest", yards, "at", time]:
                nearest = self.at(self.frames, float(time))["nearest_rusher"].iloc[0]
                return "" if nearest <= float(yards) else f"{nearest:.2f}"
            case [rusher, man, "at", time]:
                row = self.at(self.rushers, float(time))
                row = row[row["rusher"] == rusher]
                has = row["blocker"].iloc[0] if len(row) else "no such rusher"
                return "" if has == man else f"{has or 'nobody'} has him"
            case ["no", "edge", rusher, time]:
                rows = self.at(self.edges, float(time))
                return edges(rows[rows["rusher"].fillna("") == rusher])
            case [("left" | "right") as side, "edge", man, rusher, time]:
                rows = self.at(self.edges, float(time))
                rows = rows[rows["side"] == side]
                there = (rows["edge_man"] == man) & (rows["rusher"] == rusher) & (rows["exposure"] >= SHOWN)
                return "" if there.any() else edges(rows) or "no edge"
            case ["never", "short", man]:
                rows = self.edges[(self.edges["time"] <= self.last + 1e-6) & (self.edges["edge_man"] == man)]
                return edges(rows[(rows["exposure"] >= SHOWN) & (rows["short_edge"] >= SHORT)].head(1))
            case ["no", "pressure"]:
                return f"pressure at {self.dropback['pressure_time']:.2f}" if self.dropback["pressure"] else ""
            case ["pressure", rusher]:
                rows = self.reps[self.reps["pressure"].astype(bool)]
                return "" if rusher in set(rows["rusher"]) else f"by {sorted(set(rows['rusher']))}"
            case [number, "rushers"]:
                return "" if self.dropback["rushers"] == int(number) else f"{self.dropback['rushers']}"
            case [("came" | "dropped") as what, rusher, time]:
                if what not in self.reps:
                    return "not told"
                when = self.reps.loc[self.reps["rusher"] == rusher, what]
                return "" if len(when) and (when - float(time)).abs().max() <= WITHIN else f"{list(when)}"
            case [("snap" | "line") as what, word]:
                return "" if self.dropback[what] == word else str(self.dropback[what])
            case [man, "not", "beaten"]:
                return said(self.reps[(self.reps["protector"] == man) & (self.reps["outcome"] == "beat")])
            case [man, "helps", rusher, start, end, side]:
                his = self.reps[(self.reps["protector"] == man) & (self.reps["outcome"] == "help")]
                right = (his["rusher"] == rusher) & (his["help_side"] == side)
                right &= ((his["start"] - float(start)).abs() <= WITHIN) & ((his["end"] - float(end)).abs() <= WITHIN)
                told = [f"{r.rusher} {r.start:.2f} {r.end:.2f} {r.help_side}" for r in his.itertuples()]
                return "" if right.any() else ", ".join(told) or "no help"
            case [man, rusher, outcome, *more]:
                return self.against_rep(man, rusher, outcome, more)
        raise ValueError(answer)

    def against_rep(self, man: str, rusher: str, outcome: str, more: list[str]) -> str:
        his = self.reps[(self.reps["protector"] == man) & (self.reps["rusher"] == rusher)]
        right = his["outcome"] == outcome
        if more and more[0] != "any":
            right &= his["beat_side"] == more[0]
        if len(more) > 1:
            right &= (his["beat_time"] - float(more[1])).abs() <= WITHIN
        return "" if right.any() else said(his) or said(self.reps[self.reps["protector"] == man]) or "no row"


def said(rows: pd.DataFrame) -> str:
    """Reps in words."""
    return ", ".join(
        f"{row.protector or 'nobody'!s} {row.rusher} {row.outcome} {row.beat_side}"
        + (f" {row.beat_time:.2f}" if row.outcome == "beat" else "")
        for row in rows.itertuples()
    )


def edges(rows: pd.DataFrame) -> str:
    return ", ".join(
        f"{row.time:.2f} s {row.side} edge {row.edge_man} {row.rusher}, exposure {row.exposure:.2f}, "
        f"short {row.short_edge:.2f}"
        for row in rows.itertuples()
    )
