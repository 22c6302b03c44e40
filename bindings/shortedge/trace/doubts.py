"""What looks wrong in a trace, in words, and which plays are not good enough to measure."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from ..base.columns import Floats
from .cameras import FARTHEST, SAME_FRAME, Angle, Cameras
from .ways import CLOCKS_MEET, LINEMEN, PlayTrace, Way, Ways

FRAME_OVER = 2.0  # pixels rms beyond the clicks' own error
FASTEST = 11.0  # yd/s
LINE_NEAREST, LINE_FARTHEST = 1.0, 2.0  # yd between neighbouring linemen at the snap
BALL_OFF = 1.0  # yd between the ball as clicked and as said
LEAST_MARKS = 2
WORST_SD = 0.6  # yd: the median error over which a play is not measured
WORST_CENTRE = 2.0  # yd: the error of the picture's middle at which a camera's place is not known
LINE = ("LT", "LG", "C", "RG", "RT")


class Doubt(NamedTuple):
    play: str | None
    angle: str | None
    time: float  # film time; NaN for none
    what: str
    says: str


def doubts_of(cameras: Cameras, ways: Ways) -> list[Doubt]:
    """Everything doubtful: fields and marks by angle, then play by play."""
    found: list[Doubt] = []
    for angle in cameras.angles.values():
        found += of_angle(cameras, angle)
    for trace in ways.plays.values():
        found += of_play(cameras, ways, trace)
    return found


def of_angle(cameras: Cameras, angle: Angle) -> list[Doubt]:
    found, texts, field = [], cameras.texts, cameras.header["field"]
    if angle.other:
        kind, mirrored, rms, now = angle.other
        if mirrored:
            says = (
                f"the picture looks mirrored: marks are off by {now:.0f} pixels as named, by {rms:.1f} with lower and "
                "upper exchanged; check that the film is not flipped and on which side of the field the camera stands"
            )
            if kind != field:
                says += f", and whether the field is one of kind {kind}"
        else:
            says = (
                f"a field of kind {kind} fits better: marks are off by {now:.1f} pixels on one of kind {field}, by "
                f"{rms:.1f} on that; start the trace with field={kind!r}"
            )
        found.append(Doubt(None, angle.name, np.nan, "field", says))
    off, size, wrong = angle.view.marks
    for row in np.flatnonzero(wrong):
        name = texts[angle.marks["mark"][row]] if angle.marks["mark"][row] >= 0 else place_words(angle.marks, int(row))
        says = (
            f"mark {name} lies {np.hypot(*off[row]):.0f} pixels ({size[row]:.0f} standard deviations) from where the "
            "other marks put it and is left out; click it again, or name the line it is on"
        )
        found.append(Doubt(texts[angle.marks["play"][row]], angle.name, float(angle.marks["time"][row]), "mark", says))
    picture_rms = angle.view.frame_rms[: len(angle.frames.play)]
    own = cameras.header["errors"]["mark"]
    for frame in np.flatnonzero(np.nan_to_num(picture_rms) > np.hypot(own, FRAME_OVER)):
        says = (
            f"marks of this picture are off by {picture_rms[frame]:.1f} pixels together; look whether they are of "
            "one moment and the film is sharp there"
        )
        found.append(
            Doubt(texts[angle.frames.play[frame]], angle.name, float(angle.frames.time[frame]), "picture", says)
        )
    for (play, time), drawn in sorted(angle.between.items()):
        here = (angle.feet["play"] == play) & (np.abs(angle.feet["time"] - time) <= SAME_FRAME)
        if not here.any():
            continue
        spread = np.sqrt(np.median(angle.feet["covariance"][here][:, [0, 2]].mean(axis=1)))
        says = (
            f"this picture has {'one mark' if drawn.marks else 'no marks'}: its camera is drawn between the pictures "
            f"{drawn.after:.2f} s before and {drawn.before:.2f} s after, and men in it are known to {spread:.2f} yd; "
            "click two marks in it"
        )
        found.append(Doubt(texts[play], angle.name, time, "camera", says))
    for play in np.unique(angle.feet["play"]):
        own_feet = angle.feet["play"] == play
        lost = own_feet & np.isnan(angle.feet["place"][:, 0])
        for time in np.unique(angle.feet["time"][lost]):
            found.append(
                Doubt(texts[play], angle.name, float(time), "camera", camera_words(angle, int(play), float(time)))
            )
    return found


def camera_words(angle: Angle, play: int, time: float) -> str:
    """Why men of a picture have no place."""
    if not angle.view.solved:
        return (
            "no place of the camera is known, so the men clicked here have none: click four marks or more in one "
            "picture of this angle"
        )
    frame = int(angle.frames.find(np.array([play], np.int32), np.array([time]))[0])
    if frame < 0 or not angle.view.frame_solved[frame]:
        return (
            f"men were clicked here and fewer than {LEAST_MARKS} marks that agree, and no marked pictures within "
            f"{FARTHEST:g} s on both sides: click two crossings in this picture"
        )
    return "a man was clicked above the horizon: click his feet"


def place_words(marks: dict[str, np.ndarray], row: int) -> str:
    return f"at {marks['X'][row]:g}, {marks['Y'][row]:.4g}"


def of_play(cameras: Cameras, ways: Ways, trace: PlayTrace) -> list[Doubt]:
    found, play = [], cameras.texts[trace.play]
    for way in trace.ways:
        name = cameras.texts[way.player]
        for i in np.flatnonzero(way.strange):
            said = int(way.number[i]) in set(ways.accepted.tolist())
            if said:
                continue
            says = (
                f"{name} would have jumped here, over 4 standard deviations from his way, and the click is left out: "
                "was another man clicked? Click him again, or accept the click"
            )
            found.append(Doubt(play, way.angle[i], float(way.film_time[i]), "man", says))
        speed = np.hypot(way.mean[:, 2], way.mean[:, 3])
        if len(speed) and speed.max() > FASTEST:
            fastest = int(np.argmax(speed))
            near = int(np.argmin(np.abs(way.time - way.at[fastest])))
            says = f"{name} would run {speed.max():.1f} yd/s here: look whether two men were mixed up"
            found.append(Doubt(play, way.angle[near], float(way.film_time[near]), "speed", says))
    if trace.apart:
        found.append(Doubt(play, trace.apart[1], np.nan, "clocks", clocks_words(trace)))
    found += of_snap(ways, trace, play)
    return found


def clocks_words(trace: PlayTrace) -> str:
    assert trace.apart
    first, second, what, by = trace.apart
    return (
        f"the clocks of two films do not meet: from snap to {what} takes {abs(by):.2f} s "
        f"{'longer' if by > 0 else 'less'} in {first} than in {second} (at most {CLOCKS_MEET:g} s is believed); click "
        "the snap and that event again in both"
    )


def of_snap(ways: Ways, trace: PlayTrace, play: str) -> list[Doubt]:
    """What does not look like a snap."""
    found: list[Doubt] = []
    moment = trace.moment
    for angle, time, place, _ in ways.balls.get(trace.play, []):
        if moment.said and np.hypot(place[0] - moment.ball[0], place[1] - moment.ball[1]) > BALL_OFF:
            says = (
                f"the ball was clicked at {place[0]:.1f}, {place[1]:.1f} and said to lie at {moment.ball[0]:.1f}, "
                f"{moment.ball[1]:.1f}: is the yard line the right one?"
            )
            found.append(Doubt(play, angle, time, "ball", says))
    line = sorted(
        (spot[1], name) for name, spot in at_snap(ways, trace).items() if ways.who(name, trace.play)[1] in LINEMEN
    )
    for (y, one), (other_y, other) in pairwise(line):
        apart = other_y - y
        if not LINE_NEAREST <= apart <= LINE_FARTHEST:
            names = f"{ways.texts[one]} and {ways.texts[other]}"
            says = f"{names} of the line stand {apart:.1f} yd apart at the snap: is either one another man?"
            found.append(Doubt(play, None, np.nan, "line", says))
    if said := turned(ways, trace):
        found.append(Doubt(play, None, np.nan, "passer", said))
    return found


def at_snap(ways: Ways, trace: PlayTrace) -> dict[int, Floats]:
    """Player to where he is at the snap, of those seen then."""
    found = {}
    for way in trace.ways:
        near = np.flatnonzero(np.abs(way.at - trace.moment.snap_time) < 1e-6)
        if len(near):
            found[way.player] = way.mean[near[0], :2]
    return found


def turned(ways: Ways, trace: PlayTrace) -> str | None:
    """What says that a play lies the wrong way round."""
    moment, men = trace.moment, at_snap(ways, trace)
    if not moment.direction or np.isnan(moment.ball[0]):
        return None
    who = {player: ways.who(player, trace.play)[1] for player in men}
    for player, position in who.items():
        behind = moment.direction * (moment.ball[0] - men[player][0])
        if position == "QB" and behind < 0:
            return (
                f"the passer {ways.texts[player]} stands {-behind:.1f} yd in front of the ball at the snap: is the "
                "direction, or the ball's place, right?"
            )
    ends = {position: men[player] for player, position in who.items() if position in ("LT", "RT")}
    if len(ends) == 2:
        right = moment.direction * (ends["LT"][1] - ends["RT"][1])
        if right < 0:
            return "LT stands to the right of RT at the snap: is the direction right, or the picture mirrored?"
    return None


# ------------------------------------------------------------------------------------------------- good enough


def problem_of(cameras: Cameras, ways: Ways, trace: PlayTrace) -> str | None:
    """Why a play is not measured; None when it is good enough."""
    moment = trace.moment
    if trace.apart:
        return clocks_words(trace)
    if np.isnan(moment.ball[0]) and trace.play in ways.balls:
        return "no camera is known of the picture the ball was clicked in: click two marks in it"
    if np.isnan(moment.ball[0]):
        return "no place of the ball: click it before the snap, or say where it lies"
    if not moment.direction:
        return "no direction: say which way the offense attacks, or click men of both sides"
    clicked = [angle for angle in cameras.angles.values() if (angle.feet["play"] == trace.play).any()]
    if not clicked:
        return "no men were clicked"
    if not any(len(way.time) for way in trace.ways):
        if not any(angle.view.solved for angle in clicked):
            return "place unknown: no picture of its angle has four marks"
        return f"too few marks: no picture in which men were clicked has {LEAST_MARKS} that agree"
    for angle in clicked:
        if angle.other:
            return f"{angle.name}: the marks do not fit a field of kind {cameras.header['field']} as named (see doubts)"
    if not trace.sd < WORST_SD:
        return (
            f"places are known to {trace.sd:.2f} yd at the median, and {WORST_SD:g} are needed: too few marks, or the "
            "place of the camera is not known"
        )
    positions = [ways.who(player, trace.play)[1] for player in at_snap(ways, trace)]
    line = [position for position in positions if position in LINEMEN]
    if len(line) < len(LINE):
        lacking = [position for position in LINE if position not in line] if set(line) <= set(LINE) else []
        named = f": {', '.join(lacking)}" if lacking else f": {len(line)} of {len(LINE)} are known at the snap"
        return f"linemen missing{named}"
    return turned(ways, trace)


def clicks_of(trace: PlayTrace) -> dict[str, int]:
    """Angle to how many clicks of men it gave."""
    count: dict[str, int] = {}
    for way in trace.ways:
        for angle in way.angle:
            count[angle] = count.get(angle, 0) + 1
    return count


def way_of(trace: PlayTrace, player: int) -> Way | None:
    return next((way for way in trace.ways if way.player == player), None)
