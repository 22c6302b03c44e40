"""One trace while it is clicked: acts in, what each picture shows and wants next out.

Acts are written at once. What takes longer (all cameras, ways, doubts, the measured pocket) is worked out in the
background from the file as it stands, and shown when it is ready.
"""

from __future__ import annotations

import math
import threading
from collections import Counter
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from importlib.util import find_spec
from itertools import pairwise, permutations
from typing import Any

import numpy as np

from .. import _core
from .._core import FileError, InputError
from ..base.text import shown
from ..film.following import (
    Apart,
    Clicked,
    Followed,
    click_apart,
    errors_of,
    follow_camera,
    follow_man,
    follow_on,
    hand_errors,
    ticks_of,
)
from ..film.pictures import Film
from ..film.poses import Pose, body_box, clicked_poses, pose_between
from ..film.ready import Shelf
from ..measures.results import measure
from ..tell.labels import rows_of
from ..trace.as_game import game_of
from ..trace.cameras import SAME_FRAME, Angle
from ..trace.clicks import UNITS, Reading, Trace
from ..trace.doubts import at_snap
from ..trace.journal import Journal
from .guess import ENOUGH, FEW, FIRST_MARKS, MANY, SURE, FieldMarks, place_guess, pose_at_ball

EVERY = 0.3  # s between pictures men are clicked in
EVERY_FOLLOWED = 0.5  # s, where they are followed in between
BEFORE = 0.3  # s: the first picture before the snap
STAND = 0.5  # s from there to the next: until the snap men stand still, so none is needed at it
AROUND = 30  # pictures before and after a play's that are made ready with them
LONGEST = 4.0  # s: how long a play without a throw or an end is clicked
OFFERED = 10  # marks
LINE = ("LT", "LG", "C", "RG", "RT")
FIRST = (*LINE, "QB", "TE", "RB", "FB")  # men are clicked in this order, then the others by their ids
FIELDS: dict[str, dict[str, type]] = {
    "mark": {"play": str, "angle": str, "time": float, "x": float, "y": float, "name": str},
    "foot": {
        "play": str,
        "angle": str,
        "time": float,
        "player": str,
        "x": float,
        "y": float,
        "at": str,
        "hidden": bool,
    },
    "ball": {"play": str, "angle": str, "time": float, "x": float, "y": float},
    "event": {"play": str, "what": str, "angle": str, "time": float},
    "snap": {"play": str, "ball_x": float, "ball_y": float, "direction": int},
    "person": {"player": str, "unit": str, "position": str},
    "accept": {"play": str, "angle": str, "time": float, "player": str},
    "note": {"text": str, "play": str},
    "strike": {"act": int},
    "undo": {},
    "redo": {},
}
OPTIONAL = {("foot", "at"), ("foot", "hidden"), ("note", "play")}


@dataclass
class Known:
    """What was worked out last: of acts up to `upto`."""

    upto: int = 0
    reading: Reading | None = None
    doubts: list[dict[str, Any]] = field(default_factory=list)
    pockets: dict[str, dict[str, Any]] = field(default_factory=dict)  # by play


class Work:
    """A trace being clicked. films: angle to its film; plays with films of their own are in the trace. every: s between
    pictures men are clicked in; if not said, 0.5 where they can be followed in between, else 0.3.

    Every method may be called from any thread. InputError and FileError say in words what is wrong.
    """

    def __init__(self, trace: Trace, films: Mapping[str, Film], every: float | None = None) -> None:
        self.trace, self.films = trace, dict(films)
        self.every = every if every is not None else EVERY_FOLLOWED if self.follows else EVERY
        self.shelf = Shelf()
        self.marks = FieldMarks(trace.field)
        self._own: dict[str, Film] = {film.path.name: film for film in films.values()}
        self._lock = threading.RLock()
        self._changed = threading.Condition(self._lock)  # what is known, or whether this goes on
        self._known = Known()
        self._wanted, self._ended = threading.Event(), False
        self._play = ""  # whose pocket is wanted
        self._jobs: dict[tuple[str, str], FollowJob] = {}
        self._batches: dict[tuple[str, int], int] = {}  # acts done at once: how many, by the last and by the first
        self._ahead: dict[Way, dict[str, np.ndarray] | None] = {}  # men followed on from a picture to another
        self._again()
        self._behind = threading.Thread(target=self._work_behind, daemon=True)
        self._behind.start()

    @property
    def follows(self) -> bool:
        """Whether camera and men can be followed between clicks: OpenCV is there."""
        return find_spec("cv2") is not None

    def close(self) -> None:
        with self._lock:
            for job in self._jobs.values():
                job.stop()
            self._ended = True
            self._changed.notify_all()
        self._wanted.set()
        self._behind.join(10)
        self.shelf.close()
        self.trace.close()

    # --------------------------------------------------------------------------------------------------- acts

    def do(self, act: Mapping[str, Any]) -> int:
        """One act, as the page says it: {"do": "foot", ...}. Gives the number of what was written last. A click of the
        same thing in the same picture takes the other's place. InputError for what is no act."""
        kind = act.get("do")
        if not isinstance(kind, str) or kind not in FIELDS:
            raise InputError(f"do is {shown(kind)}; accepted: {', '.join(FIELDS)}")
        said = {name: value for name, value in act.items() if name != "do"}
        if unknown := sorted(set(said) - set(FIELDS[kind])):
            raise InputError(f"{kind}: found {', '.join(map(shown, unknown))}; accepted: {', '.join(FIELDS[kind])}")
        for name, type_ in FIELDS[kind].items():
            if name not in said:
                if (kind, name) in OPTIONAL:
                    continue
                raise InputError(f"{kind} lacks {name}")
            said[name] = checked(f"{kind}: {name}", said[name], type_)
        with self._lock:
            number = self._do(kind, said)
        self._again()
        return number

    def _do(self, kind: str, said: dict[str, Any]) -> int:
        trace = self.trace
        if kind in ("undo", "redo"):
            last = trace.acts.next_undone if kind == "undo" else trace.acts.next_redone
            with trace.together():  # what was done at once is taken back at once
                for _ in range(self._batches.get((kind, last), 1)):
                    number = trace.undo() if kind == "undo" else trace.redo()
            return number
        if kind == "strike":
            return trace.strike(said["act"])
        if kind in ("mark", "foot", "ball"):
            with self._at_once():
                key = {"mark": "name", "foot": "player"}.get(kind)
                for old in self._same(kind, said, key):
                    trace.strike(old)
                if kind == "foot":
                    self._take_camera(said["play"], said["angle"], said["time"])
                if kind == "mark":
                    name = said.pop("name")
                    return trace.mark(**said, X=name)
                return trace.foot(**said) if kind == "foot" else trace.ball(**said)
        if kind == "person":
            return trace.person(said["player"], said["unit"], said["position"])
        if kind == "note":
            return trace.note(said["text"], play=said.get("play"))
        done: int = getattr(trace, kind)(**said)
        return done

    @contextmanager
    def _at_once(self) -> Iterator[None]:
        """Acts within are written at once, and one undo, or redo, takes all of them as long as this page is open."""
        before = len(self.trace)
        with self.trace.together():
            yield
        now = len(self.trace)
        if now > before + 1:
            self._batches["undo", now] = self._batches["redo", before + 1] = now - before

    def _same(self, kind: str, said: Mapping[str, Any], key: str | None) -> list[int]:
        """The acts that stand for the same thing in the same picture."""
        rows = self._rows(kind, said["play"], said["angle"], said["time"])
        of = {"name": "mark", "player": "player"}.get(key or "")
        return [row["n"] for row in rows if of is None or row[of] == said[key or ""]]

    # ---------------------------------------------------------------------------------------------- following

    def follow(self, play: str, angle: str) -> None:
        """Starts to follow the camera, and then the men, of a play on one film, in the background, from all that was
        clicked up to now; what was followed before is followed again. InputError without OpenCV, or without a clicked
        picture to begin with."""
        if not self.follows:
            raise InputError("following needs OpenCV; accepted: pip install 'shortedge[film]'")
        film = self.film(play, angle)
        with self._lock:
            acts = len(self.trace)
            self._again()
            self._changed.wait_for(lambda: self._known.upto >= acts or self._ended, CATCH_UP)
            if self._ended:
                raise InputError("the page is closed")
            known, old = self._known.reading, self._jobs.get((play, angle))
            if known is None:
                raise InputError("no camera is known yet: click a picture's marks first")
            poses = clicked_poses(known, play, angle, film)
            if not poses:
                raise InputError("no camera of this play is known yet: click the marks of one picture first")
            keys = self.key_pictures(film, self._events(play, angle))
            if not keys:
                raise InputError("the play has no snap yet: find it and press s")
            if old is not None:
                old.stop()
            # Cameras that were followed into pictures between, and taken, say nothing new: those are followed again.
            marks = [film.nearest(row["time"]) for row in self._rows("mark", play, angle) if row["followed"] != 1]
            poses = {number: pose for number, pose in poses.items() if number in {*keys, *marks}} or poses
            for other in self._jobs.values():
                other.let_go()
            job = FollowJob(known, play, angle, film, poses, keys)
            job.start()
            self._jobs[play, angle] = job
            self._ahead = {way: found for way, found in self._ahead.items() if way[0] is not old}

    def unfollow(self, play: str, angle: str) -> None:
        """Stops following; what was found so far stays."""
        if job := self._jobs.get((play, angle)):
            job.stop()

    def accept_camera(self, play: str, angle: str, number: int) -> int:
        """Takes the followed camera of a picture: marks of the field where it puts them, kept apart as followed."""
        job = self._jobs.get((play, angle))
        followed = job.cameras.get(number) if job else None
        if followed is None or not followed.good:
            raise InputError("the camera of this picture was not followed: click its marks")
        film = self.film(play, angle)
        with self._lock, self._at_once():
            self._write_camera(play, angle, float(film.stamps[number]), followed.pose)
        self._again()
        return len(self.trace)

    def _take_camera(self, play: str, angle: str, time: float) -> None:
        """A man clicked in a picture without marks, whose camera was followed, takes that camera with him."""
        job = self._jobs.get((play, angle))
        if job is None or self._rows("mark", play, angle, time):
            return
        followed = job.cameras.get(job.film.nearest(time))
        if followed is not None and followed.good:
            self._write_camera(play, angle, time, followed.pose)

    def _write_camera(self, play: str, angle: str, time: float, pose: Pose) -> None:
        for mark in self.marks.offered(pose, set(), FOLLOWED_MARKS):
            self.trace.mark(play, angle, time, round(mark["x"], 2), round(mark["y"], 2), mark["name"], followed=True)

    def accept_men(self, play: str, angle: str) -> int:
        """Takes the men followed between clicks: their places, and the cameras of those pictures. Gives how many."""
        with self._lock:
            job = self._jobs.get((play, angle))
            men = [] if job is None else self._men_between(job)[0]
            if not men or job is None:
                raise InputError("no men were followed between clicks yet")
            with self._at_once():
                for time, number in sorted({(one.time, one.number) for one in men}):
                    self._write_camera(play, angle, time, job.cameras[number].pose)
                for one in men:
                    x, y = round(one.pixel[0], 2), round(one.pixel[1], 2)
                    self.trace.foot(play, angle, one.time, one.player, x, y, at="between", followed=True)
        self._again()
        return len(men)

    def _men_between(self, job: FollowJob) -> tuple[list[SeenMan], int]:
        """Men followed between clicks who were not taken yet; and of how many a click they were followed from no longer
        stands, who are left out."""
        clicks, men = set(self.trace.acts.columns("foot")["n"].tolist()), job.men
        changed = {one.player for one in men if not one.clicks <= clicks}
        taken = {time for time in {one.time for one in men} if self._rows("mark", job.play, job.angle, time)}
        left = [one for one in men if one.time not in taken]
        kept = [one for one in left if one.player not in changed]
        return kept, len({one.player for one in left} & changed)

    def _events(self, play: str, angle: str) -> dict[str, float]:
        return {row["what"]: row["time"] for row in self._rows("event", play, angle)}

    def _rows(self, kind: str, play: str, angle: str, time: float | None = None) -> list[dict[str, Any]]:
        """The acts of a kind that stand, of one play and angle, and of one picture; texts as texts."""
        acts = self.trace.acts
        columns, texts = acts.columns(kind), acts.texts
        code = {text: number for number, text in enumerate(texts)}
        kept = (columns["play"] == code.get(play, -2)) & (columns["angle"] == code.get(angle, -2))
        if time is not None:
            kept &= np.abs(columns["time"] - time) <= SAME_FRAME
        found = []
        for row in np.flatnonzero(kept):
            one = {name: values[row].item() for name, values in columns.items()}
            for name in ("player", "mark", "at", "what"):
                if name in one:
                    one[name] = texts[one[name]] if one[name] >= 0 else ""
            found.append(one)
        return found

    # ---------------------------------------------------------------------------------------------- pictures

    def film(self, play: str, angle: str) -> Film:
        """InputError where that play has no film from there."""
        with self._lock:
            for row in self._rows("film", play, angle)[-1:]:
                name = self.trace.acts.texts[row["file"]]
                if name not in self._own:
                    self._own[name] = Film(self.trace.path.parent / name)
                return self._own[name]
            if angle not in self.films:
                raise InputError(f"play {shown(play)} has no film from {shown(angle)}")
            return self.films[angle]

    def picture(self, play: str, angle: str, number: int) -> dict[str, Any]:
        """What one picture shows, and wants next."""
        film = self.film(play, angle)
        if not 0 <= number < len(film.stamps):
            raise InputError(f"picture {number}; accepted: 0 to {len(film.stamps) - 1}")
        time = float(film.stamps[number])
        with self._lock:
            known = self._known
            marks = self._rows("mark", play, angle, time)
            feet = self._rows("foot", play, angle, time)
            balls = self._rows("ball", play, angle, time)
            look = self.trace.look(play, angle, time) if known.reading is not None else None
            job = self._jobs.get((play, angle))
            cameras = job.cameras if job else {}
            pose, sure = self._pose(play, angle, time, look, cameras)
            others = self._solved_elsewhere(play, angle, time)
            sure = sure and others > 1
            wrong = set(look["wrong"]) if look else set()
            clicked = {row["mark"] for row in marks}
            offered = self.marks.offered(pose, clicked, OFFERED) if pose else []
            likely = [] if pose else self.marks.likely(clicked, self._ball(play), OFFERED)
            men = self.men(play)
            there = {row["player"] for row in feet}
            ghosts = self._ghosts(play, angle, time, pose, [man for man in men if man["player"] not in there])
            keys = {*self.key_pictures(film, self._events(play, angle)), *(job.keys if job else ())}
            between = bool(keys) and number not in keys and not marks and not feet
            waiting = job is not None and not between and self._follow_on(job, number, ghosts)
            between_clicks, changed = self._men_between(job) if job else ([], 0)
        followed = cameras.get(number) if not marks else None
        wanted = FEW if sure else MANY
        centre = float(look["sd"]) if look else math.inf
        least = FEW if sure else MANY
        if self.follows and not sure:
            least = FEW if others else FIRST_MARKS
        enough = look is not None and (len(marks) >= wanted or (centre <= ENOUGH and len(marks) >= least))
        return {
            "play": play,
            "angle": angle,
            "number": number,
            "time": time,
            "last": len(film.stamps) - 1,
            "between": between,
            "marks": [
                {"n": row["n"], "name": row["mark"], "x": row["x"], "y": row["y"], "wrong": row["n"] in wrong}
                for row in marks
            ],
            "offered": offered,
            "likely": likely,
            "men": [
                {name: row[name] for name in ("n", "player", "x", "y", "at")}
                | {"hidden": row["hidden"] == 1, "followed": row["followed"] == 1}
                for row in feet
            ],
            "guessed": ghosts,
            "ball": [{"n": row["n"], "x": row["x"], "y": row["y"]} for row in balls],
            "camera": None
            if look is None
            else {"sd": round(centre, 3), "rms": round(float(look["rms"]), 2), "marks": look["marks"]},
            "enough": bool(enough),
            "wanted": 0 if enough else max(wanted - len(marks), 1),
            "place_known": bool(sure),
            "followed": None
            if job is None
            else {
                "share": round(job.share, 3),
                "going": job.going,
                "here": followed is not None and followed.good,
                "lost": job.lost,
                "says": job.says,
                "waiting": waiting,
                "men": len(between_clicks),
                "changed": changed,
                "seen": [
                    {"player": one.player, "x": one.pixel[0], "y": one.pixel[1]}
                    for one in between_clicks
                    if one.number == number
                ],
            },
            "next": self._next(
                followed is not None and followed.good,
                enough,
                [*(one["name"] for one in offered), *likely],
                men,
                there,
                [] if waiting else ghosts,
            ),
        }

    def _next(
        self,
        followed: bool,
        enough: bool,
        marks: list[str],
        men: list[dict[str, Any]],
        there: set[str],
        ghosts: list[dict[str, Any]],
    ) -> dict[str, Any]:
        """What to click now: whoever is not where he was followed to; else a mark while the camera is neither known nor
        followed, then man after man, then the next picture."""
        if (followed or enough) and any(ghost.get("followed") for ghost in ghosts):
            return {"what": "followed"}
        if followed:
            return {"what": "camera"}
        if not enough:
            return {"what": "mark", "name": marks[0] if marks else None}
        for man in men:
            if man["player"] not in there:
                return {
                    "what": "man",
                    "player": man["player"],
                    "guessed": man["player"] in {g["player"] for g in ghosts},
                }
        return {"what": "picture"}

    def _pose(
        self, play: str, angle: str, time: float, look: dict[str, Any] | None, cameras: Mapping[int, Followed]
    ) -> tuple[Pose | None, bool]:
        """The picture's camera as far as it is known or guessed, and whether the camera's place is known. cameras: as
        they were followed."""
        size = self.trace.angles[angle]
        known = self._known.reading
        solved = known.cameras.angles[angle] if known else None
        sure = bool(solved and solved.view.solved and place_known(solved, size))
        if look is not None:
            pose = np.array(
                [np.radians(look["pan"]), np.radians(look["tilt"]), np.log(look["focal"]), np.radians(look["roll"])]
            )
            view = np.array([look[name] for name in ("x", "y", "z", "k1", "crown")])
            return Pose(size, view, pose), sure
        if solved is None or not solved.view.solved:
            return None, False
        assert known is not None
        number = self.film(play, angle).nearest(time)
        if number in cameras and cameras[number].good:
            return cameras[number].pose, sure
        code = known.cameras.code.get(play, -2)
        found = pose_between(solved, code, time, size)
        if found is None:
            found = pose_at_ball(solved, self._ball(play), size)
        return found, sure

    def _solved_elsewhere(self, play: str, angle: str, time: float) -> int:
        """How many other pictures of an angle have a camera."""
        known = self._known.reading
        if known is None:
            return 0
        solved = known.cameras.angles[angle]
        frames, code = solved.frames, known.cameras.code.get(play, -2)
        here = (frames.play == code) & (np.abs(frames.time - time) <= SAME_FRAME)
        return int((np.asarray(solved.view.frame_solved[: len(here)], bool) & ~here).sum())

    def _ball(self, play: str) -> tuple[float, float]:
        return self._snap(play)[0]

    def _snap(self, play: str) -> tuple[tuple[float, float], int]:
        """Where the ball lies, NaN if that is not known, and the direction, 0 if not: as they were said last, even a
        moment ago; else as clicks gave them when they were last worked out."""
        rows = self.trace.acts.columns("snap")
        code = {text: number for number, text in enumerate(self.trace.acts.texts)}
        for row in np.flatnonzero(rows["play"] == code.get(play, -2))[::-1]:
            return (float(rows["ball_x"][row]), float(rows["ball_y"][row])), int(rows["direction"][row])
        known = self._known.reading
        trace = known.ways.plays.get(known.cameras.code.get(play, -2)) if known else None
        return (trace.moment.ball, trace.moment.direction) if trace else ((math.nan, math.nan), 0)

    def men(self, play: str) -> list[dict[str, Any]]:
        """Who is to be clicked: everybody said to be somebody, in the order in which men are clicked."""
        with self._lock:
            rows, texts = self.trace.acts.columns("man"), self.trace.acts.texts
        found = {}
        code = {text: number for number, text in enumerate(texts)}
        for player, unit, position, of in zip(
            *(rows[name].tolist() for name in ("player", "unit", "position", "play")), strict=True
        ):
            if of in (-1, code.get(play, -2)):
                found[texts[player]] = {"player": texts[player], "unit": texts[unit], "position": texts[position]}
        left_out = self._left_out(play)

        def order(man: dict[str, Any]) -> tuple[int, int, str]:
            position = man["position"]
            return UNITS.index(man["unit"]), FIRST.index(position) if position in FIRST else len(FIRST), man["player"]

        return [man for man in sorted(found.values(), key=order) if man["player"] not in left_out]

    def _left_out(self, play: str) -> set[str]:
        """Men who are not clicked in this play, by a note of the page's: "not in play: ID"."""
        with self._lock:
            rows, texts = self.trace.acts.columns("note"), self.trace.acts.texts
        code = {text: number for number, text in enumerate(texts)}
        kept = rows["text"][rows["play"] == code.get(play, -2)].tolist()
        said = [texts[text].removeprefix(LEFT_OUT) for text in kept if texts[text].startswith(LEFT_OUT)]
        return {player for player in said if said.count(player) % 2}

    def _ghosts(
        self, play: str, angle: str, time: float, pose: Pose | None, men: list[dict[str, Any]]
    ) -> list[dict[str, Any]]:
        """Men not clicked in this picture yet, where they most likely are: player, x, y in pixels."""
        known = self._known.reading
        if pose is None or known is None:
            return []
        solved = known.cameras.angles[angle]
        feet, texts = solved.feet, known.cameras.code
        found = []
        first = self._first_places(known, play)
        of_play = feet["play"] == texts.get(play, -2)
        for man in men:
            own = of_play & (feet["player"] == texts.get(man["player"], -2)) & np.isfinite(feet["place"][:, 0])
            place = place_guess(feet["time"][own], feet["place"][own], time)
            if place is None:
                place = first.get(man["player"])
            if place is None:
                continue
            pixel = pose.seen(place[None])[0]
            if np.isfinite(pixel).all() and pose.inside(pixel[None])[0]:
                height = pose.scale(place)
                found.append(
                    {"player": man["player"], "x": float(pixel[0]), "y": float(pixel[1]), "tall": round(2 * height, 1)}
                )
        return found

    def _follow_on(self, job: FollowJob, number: int, ghosts: list[dict[str, Any]]) -> bool:
        """Puts guesses where men were followed on to from the last picture they were clicked in, when that is worked
        out; True while it is not."""
        known = self._known.reading
        if known is None or not ghosts or number not in job.cameras or not job.cameras[number].good:
            return False
        film, feet = job.film, known.cameras.angles[job.angle].feet
        until = float(film.stamps[number]) - SAME_FRAME
        of_play = (feet["play"] == known.cameras.code.get(job.play, -2)) & (feet["time"] < until)
        clicks = {row["n"] for row in self._rows("foot", job.play, job.angle) if row["time"] < until}
        if clicks != set(feet["n"][of_play].tolist()):
            return True  # men clicked, or put right, a moment ago are not followed from where they were before
        before = feet["time"][of_play & np.isfinite(feet["place"][:, 0])]
        last = film.nearest(float(before.max())) if len(before) else number
        if last >= number:
            return False
        step = max(1, round(AHEAD * (number - last) / float(film.stamps[number] - film.stamps[last])))
        between = sorted({*range(last + step, number, step), number})
        if number - last > 40 or any(k not in job.cameras or not job.cameras[k].good for k in (last, *between)):
            return False
        before_it = {
            player: [one for one in his if one.number <= last]
            for player, his in job.clicks_of(known, job.play, job.angle).items()
        }
        begun = {player: his for player, his in before_it.items() if his and his[-1].number == last}
        from_ = frozenset((player, one.number, *one.pixel) for player, his in begun.items() for one in his)
        key = (job, last, number, from_)
        if key not in self._ahead:
            self._ahead[key] = None
            threading.Thread(target=self._work_on, args=(key, begun, between, known), daemon=True).start()
        found = self._ahead[key]
        for ghost in ghosts:
            player = ghost["player"]
            if found and player in found and player in begun:
                ghost["x"], ghost["y"] = (float(value) for value in found[player])
                ghost["followed"] = True
        return found is None

    def _work_on(self, key: Way, clicks: dict[str, list[Clicked]], between: list[int], known: Reading) -> None:
        found: dict[str, np.ndarray] = {}
        try:
            job, last, number, _ = key
            wanted = {last, *between}
            pictures = {
                last + k: picture
                for k, picture in enumerate(job.film.arrays(last, number - last + 1))
                if last + k in wanted
            }
            cameras = {k: job.cameras[k].pose for k in wanted}
            starts, rises = {player: his[-1] for player, his in clicks.items()}, job.rises(known)
            ends = follow_on(pictures, cameras, starts, between, job.film.stamps, rises, job.speeds(clicks))
            off = job.hand_off(clicks, rises, float(known.cameras.header["errors"]["foot"]))
            found = {player: pixel - off[player] for player, pixel in ends.items()}
        finally:
            self._ahead[key] = found

    def accept_guessed(self, play: str, angle: str, number: int) -> int:
        """Takes every man of a picture where he was followed to, kept apart as followed. Gives how many."""
        with self._lock:
            seen = [one for one in self.picture(play, angle, number)["guessed"] if one.get("followed")]
            if not seen:
                raise InputError("no man was followed to this picture: click them")
            time = float(self.film(play, angle).stamps[number])
            with self._at_once():
                self._take_camera(play, angle, time)
                for one in seen:
                    x, y = round(one["x"], 2), round(one["y"], 2)
                    self.trace.foot(play, angle, time, one["player"], x, y, at="between", followed=True)
        self._again()
        return len(seen)

    def _first_places(self, known: Reading, play: str) -> dict[str, np.ndarray]:
        """Where men likely stand in a play's first picture: as they stood to the ball in the last play before it,
        turned round with the direction."""
        ball, direction = self._snap(play)
        if not np.isfinite(ball).all() or not direction:
            return {}
        found: dict[str, np.ndarray] = {}
        for other in known.ways.plays.values():
            moment = other.moment
            if not moment.direction or not np.isfinite(moment.ball).all() or known.cameras.texts[other.play] == play:
                continue
            for player, place in at_snap(known.ways, other).items():
                apart = (place - np.array(moment.ball)) * moment.direction * direction
                found[known.cameras.texts[player]] = np.array(ball) + apart
        return found

    # ------------------------------------------------------------------------------------------------- plays

    def plays(self) -> list[dict[str, Any]]:
        """Every play the trace names, with its events, how far it is, and its doubts."""
        return self._plays_with_films()[0]

    def _plays_with_films(self) -> tuple[list[dict[str, Any]], dict[tuple[str, str], Film]]:
        """The same, and the film of each play and angle. A game of a hundred plays takes long enough that no act waits
        for it: only reading the acts is done at once."""
        with self._lock:
            known, texts = self._known, self.trace.acts.texts
            kinds = ("film", "snap", "event", "ball", "mark", "foot")
            columns = {kind: self.trace.acts.columns(kind) for kind in kinds}
            pockets = set(known.pockets)

        def rows(kind: str, *names: str) -> Iterator[tuple[Any, ...]]:
            return zip(*(columns[kind][name].tolist() for name in names), strict=True)

        events: dict[str, dict[str, dict[str, float]]] = {}
        for play, angle, what, time in rows("event", "play", "angle", "what", "time"):
            events.setdefault(texts[play], {}).setdefault(texts[angle], {})[texts[what]] = time
        order: dict[str, None] = {}
        for kind in kinds:
            codes = columns[kind]["play"]
            for play in codes[np.sort(np.unique(codes, return_index=True)[1])].tolist():
                order.setdefault(texts[play])
        feet = columns["foot"]
        hundredths = np.round(feet["time"] * 100).astype(np.int64)
        of_each = np.column_stack([feet["play"], feet["angle"], hundredths])
        clicked, counts = np.unique(of_each, axis=0, return_counts=True)
        seen = {
            (texts[play], texts[angle], at): count
            for (play, angle, at), count in zip(clicked.tolist(), counts.tolist(), strict=True)
        }
        said = {
            texts[play]: {"ball_x": x, "ball_y": y, "direction": int(direction)}
            for play, x, y, direction in rows("snap", "play", "ball_x", "ball_y", "direction")
        }
        balls = {texts[play] for (play,) in rows("ball", "play")}
        doubts = Counter(doubt["play"] for doubt in known.doubts)
        own = {(texts[play], texts[angle]) for play, angle in rows("film", "play", "angle")}
        films: dict[tuple[str, str], Film] = {}
        found = []
        for play in order:
            angles = {}
            men = len(self.men(play)) or 1
            for angle in self.trace.angles:
                film = self.film(play, angle) if (play, angle) in own else self.films.get(angle)
                if film is None:
                    continue
                films[play, angle] = film
                when = events.get(play, {}).get(angle, {})
                keys = self.key_pictures(film, when)
                done = sum(min(seen.get((play, angle, round(film.stamps[key] * 100)), 0) / men, 1.0) for key in keys)
                angles[angle] = {
                    "events": when,
                    "keys": keys,
                    "done": round(done / len(keys), 3) if keys else 0.0,
                }
            found.append(
                {
                    "play": play,
                    "said": said.get(play),
                    "ball": play in said or play in balls,
                    "angles": angles,
                    "doubts": doubts[play],
                    "measured": play in pockets,
                }
            )
        return found, films

    def key_pictures(self, film: Film, events: Mapping[str, float]) -> list[int]:
        """The numbers of the pictures men are clicked in: from just before the snap to the throw, or the end."""
        if "snap" not in events:
            return []
        ends = [events[what] for what in ("throw", "end") if what in events]
        end = min([*ends, events["snap"] + LONGEST, float(film.stamps[-1])])
        first = events["snap"] - BEFORE
        times = np.array([first, *np.arange(first + max(self.every, STAND), end + self.every / 2, self.every)])
        return sorted({film.nearest(float(time)) for time in np.maximum(times, film.stamps[0])})

    def state(self, play: str, version: int = -1) -> dict[str, Any]:
        """All that is not of one picture: plays, doubts, what was measured, whether more is being worked out."""
        with self._lock:
            self._play = play
            known, acts = self._known, len(self.trace)
        if known.upto >= acts and play and known.reading is not None and play not in known.pockets:
            self._wanted.set()
        plays, films = self._plays_with_films()
        self._want(plays, films, play)
        return {
            "acts": acts,
            "version": known.upto,
            "busy": known.upto < acts,
            "plays": plays,
            "ready": {angle: round(self.shelf.ready(film), 3) for angle, film in self._films_of(play).items()},
            "men": self.men(play),
            "doubts": known.doubts,
            "pocket": known.pockets.get(play),
            "undo": bool(self.trace.acts.next_undone),
            "redo": bool(self.trace.acts.next_redone),
        }

    def _films_of(self, play: str) -> dict[str, Film]:
        """Angle to film, of those a play has."""
        found = {}
        for angle in self.trace.angles:
            with suppress(InputError):
                found[angle] = self.film(play, angle)
        return found

    def _want(self, plays: list[dict[str, Any]], films: Mapping[tuple[str, str], Film], play: str) -> None:
        """Has plays' pictures made ready: all of the one in hand first, then the first one of every play, to which he
        goes from another, then all of those after it, then of the others."""
        names = [one["play"] for one in plays]
        at = names.index(play) if play in names else 0
        whole, begins = [], []
        for one in plays[at:] + plays[:at]:
            for angle, of in one["angles"].items():
                if of["keys"]:
                    film, (first, last) = films[one["play"], angle], (of["keys"][0], of["keys"][-1])
                    whole.append((film, max(first - AROUND, 0), min(last + AROUND, len(film.stamps) - 1)))
                    begins.append((film, first, first))
        own = sum(bool(of["keys"]) for of in plays[at]["angles"].values()) if plays else 0
        self.shelf.want([*whole[:own], *begins[own:], *whole[own:]])

    def above(self, play: str, time: float, angle: str) -> dict[str, Any]:
        """The play from above at a time of an angle's film: men with the ellipses of their errors and speeds, the ball,
        the pocket. Yards of the field."""
        with self._lock:
            known = self._known
        nothing: dict[str, Any] = {"men": [], "pocket": None, "ball": None}
        if known.reading is None:
            return nothing | {"says": "It is being worked out." if len(self.trace) else None}
        trace = known.reading.ways.plays.get(known.reading.cameras.code.get(play, -2))
        if trace is None:
            return nothing
        at = time - trace.shifts.get(angle, 0.0)
        men = []
        for way in trace.ways:
            if not len(way.at) or not way.at[0] - 0.16 <= at <= way.at[-1] + 0.16:
                continue
            row = int(np.argmin(np.abs(way.at - at)))
            spread = way.spread[row][:2, :2]
            unit, position = known.reading.ways.who(way.player, trace.play)
            values, vectors = np.linalg.eigh(spread)
            men.append(
                {
                    "player": known.reading.cameras.texts[way.player],
                    "unit": unit,
                    "position": position,
                    "x": round(float(way.mean[row, 0]), 3),
                    "y": round(float(way.mean[row, 1]), 3),
                    "speed": round(float(np.hypot(*way.mean[row, 2:4])), 2),
                    "long": round(float(np.sqrt(max(values[1], 0))), 3),
                    "short": round(float(np.sqrt(max(values[0], 0))), 3),
                    "turn": round(float(np.degrees(np.arctan2(vectors[1, 1], vectors[0, 1]))), 1),
                }
            )
        ball = trace.moment.ball
        pocket = known.pockets.get(play, {}).get("frames")
        frame = None
        if pocket:
            frame = min(pocket, key=lambda one: abs(one["time"] - (at - trace.moment.snap_time)))
            if abs(frame["time"] - (at - trace.moment.snap_time)) > 0.15:
                frame = None
        says = None
        if not men and (known_at := [float(way.at[k]) for way in trace.ways if len(way.at) for k in (0, -1)]):
            first, last = (at_snap_said(edge - trace.moment.snap_time) for edge in (min(known_at), max(known_at)))
            when = first if first == last else f"from {first} to {last}"
            says = f"No man is known in this picture, only {when}."
        return {
            "says": says,
            "men": men,
            "ball": list(ball) if np.isfinite(ball).all() else None,
            "direction": trace.moment.direction,
            "since_snap": round(at - trace.moment.snap_time, 3),
            "pocket": frame,
        }

    # ------------------------------------------------------------------------------------------------ behind

    def _again(self) -> None:
        self._wanted.set()

    def _work_behind(self) -> None:
        while not self._ended:
            self._wanted.wait()
            self._wanted.clear()
            if self._ended:
                return
            self._work_out()

    def _work_out(self) -> None:
        with self._lock:
            acts, play, known = len(self.trace), self._play, self._known
        if known.upto < acts or known.reading is None:
            try:
                reading = Reading(Journal(self.trace.path, write=False))
                for angle in reading.cameras.angles.values():
                    angle.view.poses  # noqa: B018 - solved here, not under the lock
                now = Known(acts, reading, [doubt_of(*one) for one in reading.doubts], {})
            except Exception as why:  # whatever an odd state of clicks does, the page goes on and says so
                doubt = doubt_of(None, None, None, "camera", f"cannot be worked out yet: {why}")
                now = replace(known, upto=acts, doubts=[doubt])
            with self._lock:
                if now.reading is not None and now.reading is not known.reading:
                    self.trace.hold(now.reading)
                self._known = known = now
                self._changed.notify_all()
        if play and known.reading is not None and play not in known.pockets:
            try:
                pocket = pocket_of(known.reading, play)
            except Exception as why:
                pocket = {"says": f"cannot be worked out yet: {why}"}
            with self._lock:
                known.pockets[play] = pocket


Way = tuple["FollowJob", int, int, frozenset[Any]]  # who follows, from which picture to which, who was clicked where


@dataclass
class SeenMan:
    """A man followed into a picture between clicks: pixels of his feet, and the numbers of those clicks' acts."""

    number: int
    time: float
    player: str
    pixel: tuple[float, float]
    clicks: frozenset[int]


class FollowJob:
    """Follows camera and men of one play on one film, behind what is clicked. What was found so far can be looked at
    at any time: cameras by picture, men, share (0 to 1), lost (pictures whose camera was lost), going."""

    def __init__(
        self, known: Reading, play: str, angle: str, film: Film, poses: dict[int, Pose], keys: list[int]
    ) -> None:
        self.known, self.play, self.angle, self.film, self.poses, self.keys = known, play, angle, film, poses, keys
        self.cameras: dict[int, Followed] = {}
        self.men: list[SeenMan] = []
        self.share, self.going, self.lost, self.says = 0.0, False, 0, ""
        clicks = self.clicks_of(known, play, angle)
        self._wanted = self._between(clicks)
        self._clicked = {*keys, *(one.number for his in clicks.values() for one in his)}
        self._decoded: dict[int, np.ndarray] = {}  # pictures men are followed in, while the camera is
        self._pictures: dict[int, np.ndarray] = {}  # that men were or will be clicked in
        self._apart: dict[tuple[float, ...], Apart | None] = {}  # two clicks of a man, to what they differ by
        self._stopped = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def start(self) -> None:
        self.going = True
        self._thread.start()

    def stop(self) -> None:
        self._stopped.set()

    def let_go(self) -> None:
        """Lets go the pictures: another play is followed. They are decoded again if need be."""
        self._pictures = {}

    def join(self) -> None:
        self._thread.join()

    def _run(self) -> None:
        try:
            self._follow()
        except Exception as why:  # the page goes on without, and says so
            self.says = f"following failed: {why}"
        finally:
            self.going, self._decoded = False, {}

    def _follow(self) -> None:
        def going_on(share: float) -> bool:
            self.share = 0.7 * share
            return not self._stopped.is_set()

        first = min(self.keys[0], min(self.poses))
        last = max(self.keys[-1], max(self.poses))
        ticks = ticks_of(self.known.cameras.header["field"])
        self.cameras = follow_camera(self._stream, self.poses, first, last, self._boxes, going_on, ticks)
        self.lost = sum(not one.good for one in self.cameras.values()) + (last - first + 1 - len(self.cameras))
        if self._stopped.is_set():
            return
        self._follow_men()
        self.share = 1.0

    def _boxes(self, number: int) -> list[tuple[float, float, float, float]]:
        """Where men's bodies are, as far as they were clicked."""
        solved = self.known.cameras.angles[self.angle]
        code, time = self.known.cameras.code.get(self.play, -2), float(self.film.stamps[number])
        size = tuple(self.known.cameras.header["angles"][self.angle])
        pose = pose_between(solved, code, time, size)
        if pose is None:
            return []
        feet = solved.feet
        own = (feet["play"] == code) & np.isfinite(feet["place"][:, 0])
        found = []
        for player in np.unique(feet["player"][own]):
            rows = own & (feet["player"] == player)
            place = place_guess(feet["time"][rows], feet["place"][rows], time)
            if place is not None:
                found.append(body_box(pose, place))
        return [box for box in found if np.isfinite(box).all()]

    def _stream(self, first: int, count: int) -> Iterator[np.ndarray]:
        """Pictures for the camera; those men are followed in are kept, so that the film is decoded once."""
        for number, picture in enumerate(self.film.arrays(first, count), first):
            if number in self._clicked:
                self._pictures[number] = picture
            elif number in self._wanted:
                self._decoded[number] = picture
            yield picture

    def _between(self, clicks: dict[str, list[Clicked]]) -> dict[int, list[str]]:
        """Pictures men are followed into, and who."""
        wanted: dict[int, list[str]] = {}
        for player, his in clicks.items():
            for before, after in pairwise(his):
                gap = float(self.film.stamps[after.number] - self.film.stamps[before.number])
                steps = min(round(gap / BETWEEN), MOST_BETWEEN)
                for step in range(1, steps):
                    number = before.number + round((after.number - before.number) * step / steps)
                    wanted.setdefault(number, []).append(player)
        return wanted

    def _follow_men(self) -> None:
        clicks, wanted = self.clicks_of(self.known, self.play, self.angle), self._wanted
        if not wanted:
            return
        cameras = {number: one.pose for number, one in self.cameras.items() if one.good}
        pictures, self._decoded = self._decoded | self._pictures, {}
        needed = {*wanted, *(one.number for his in clicks.values() for one in his)}
        if missing := sorted(needed - set(pictures)):
            for number, picture in enumerate(self.film.arrays(missing[0], missing[-1] - missing[0] + 1), missing[0]):
                if number in missing:
                    pictures[number] = picture
        error = float(self.known.cameras.header["errors"]["foot"])
        rises = self.rises(self.known)
        found = []

        def follow(player: str, his: list[Clicked]) -> dict[int, np.ndarray]:
            numbers = [number for number, men in wanted.items() if player in men]
            return {} if self._stopped.is_set() else follow_man(pictures, cameras, his, numbers, error, rises)

        with ThreadPoolExecutor(2) as both:
            seen = {player: both.submit(follow, player, his) for player, his in clicks.items()}
            for k, (player, his_places) in enumerate(seen.items()):
                his_acts = frozenset(one.act for one in clicks[player])
                for at, pixel in his_places.result().items():
                    place = (float(pixel[0]), float(pixel[1]))
                    found.append(SeenMan(at, float(self.film.stamps[at]), player, place, his_acts))
                self.share = 0.7 + 0.3 * (k + 1) / len(clicks)
        if self._stopped.is_set():
            return
        self.men = sorted(found, key=lambda one: one.number)

    def clicks_of(self, known: Reading, play: str, angle: str) -> dict[str, list[Clicked]]:
        """Each man's clicks, and where he was followed to in a picture to click in and a person took it, in order.
        Where he was followed between them says nothing new of him."""
        solved, texts = known.cameras.angles[angle], known.cameras
        feet, code = solved.feet, texts.code.get(play, -2)
        clicks: dict[str, list[Clicked]] = {}
        low = stooping(known, angle, code)
        for row in np.flatnonzero((feet["play"] == code) & np.isfinite(feet["place"][:, 0])):
            number = self.film.nearest(float(feet["time"][row]))
            pixel = np.array([feet["x"][row], feet["y"][row]])
            if feet["at"][row] == texts.code.get("waist", -2) or feet["hidden"][row] == 1:
                continue
            left, stoops = bool(feet["followed"][row] == 1), int(feet["player"][row]) in low
            if left and number not in self.keys:
                continue
            one = Clicked(number, pixel, feet["place"][row], left, stoops, int(feet["n"][row]))
            clicks.setdefault(texts.texts[feet["player"][row]], []).append(one)
        return {player: sorted(his, key=lambda one: one.number) for player, his in clicks.items()}

    def hand_off(self, clicks: dict[str, list[Clicked]], rises: tuple[int, int], error: float) -> dict[str, np.ndarray]:
        """How far the last of each man's clicks most likely lies off him, pixels, by all of them so far."""
        cameras = {number: one.pose for number, one in self.cameras.items() if one.good}
        pictures = self._pictures
        for number in sorted({one.number for his in clicks.values() for one in his} - set(pictures)):
            pictures.update(enumerate(self.film.arrays(number, 1), number))
        found = {}
        for player, his in clicks.items():
            apart = []
            for first, second in permutations(range(len(his)), 2):
                one, other = his[first], his[second]
                key = (one.number, *one.pixel, other.number, *other.pixel)
                if key not in self._apart:
                    self._apart[key] = click_apart(pictures, cameras, one, other, rises)
                if (known := self._apart[key]) is not None:
                    apart.append(replace(known, first=first, second=second))
            found[player] = hand_errors(errors_of(his, error), apart)[-1]
        return found

    def speeds(self, clicks: dict[str, list[Clicked]]) -> dict[str, np.ndarray]:
        """How men ran from the last click but one to the last, yd/s."""
        found = {}
        for player, his in clicks.items():
            gap = float(self.film.stamps[his[-1].number] - self.film.stamps[his[-2].number]) if len(his) > 1 else 0.0
            if 0 < gap <= LONG_AGO:
                found[player] = (his[-1].place - his[-2].place) / gap
        return found

    def rises(self, known: Reading) -> tuple[int, int]:
        """The pictures in which men come out of their stance."""
        trace = known.ways.plays.get(known.cameras.code.get(self.play, -2))  # none before a man is clicked
        snap = trace.events.get(self.angle, {}).get("snap") if trace else None
        return (0, 0) if snap is None else (self.film.nearest(snap), self.film.nearest(snap + UPRIGHT))


def stooping(known: Reading, angle: str, play: int) -> set[int]:
    """Those who stand in the first picture they were clicked in as linemen do: near the ball."""
    trace, feet = known.ways.plays.get(play), known.cameras.angles[angle].feet
    first: dict[int, tuple[float, np.ndarray]] = {}
    for row in np.flatnonzero((feet["play"] == play) & np.isfinite(feet["place"][:, 0])):
        player, time = int(feet["player"][row]), float(feet["time"][row])
        if player not in first or time < first[player][0]:
            first[player] = (time, feet["place"][row])
    ball = np.array(trace.moment.ball if trace else (np.nan, np.nan))
    return {player for player, (_, place) in first.items() if (np.abs(place - ball) <= STOOP).all()}


LEFT_OUT = "not in play: "
FOLLOWED_MARKS = 8  # marks a followed camera is kept as
BETWEEN, MOST_BETWEEN = 0.125, 8  # s between pictures men are followed into, and steps from click to click
UPRIGHT = 0.5  # s after the snap in which men come out of their stance
STOOP = np.array([2.5, 7.0])  # yd along and across the field from the ball in which men stoop until the snap
LONG_AGO = 0.8  # s between clicks over which a speed says nothing of now
CATCH_UP = 30.0  # s that following waits for what was clicked last to be worked out
AHEAD = 0.08  # s between pictures in which men are looked for on the way to the next to be clicked


def place_known(angle: Angle, size: tuple[float, float]) -> bool:
    """Whether the camera's place is known well enough for two marks a picture."""
    count = len(angle.frames.play)
    solved = np.flatnonzero(np.asarray(angle.view.frame_solved[:count], bool))
    if len(solved) < 2:
        return False
    one = solved[-1:].astype(np.int32)
    middle = np.array([[size[0] / 2, size[1] / 2]])
    _, xx, _, yy = angle.view.sight(one, middle, np.full(1, 1e-6), np.zeros(1), np.full(1, 1e-9), 0.0)
    return bool(np.sqrt((xx[0] + yy[0]) / 2) < SURE)


def doubt_of(play: str | None, angle: str | None, time: float | None, what: str, says: str) -> dict[str, Any]:
    when = None if time is None or not math.isfinite(time) else round(time, 3)
    return {"play": play, "angle": angle, "time": when, "what": what, "says": says}


def pocket_of(reading: Reading, play: str) -> dict[str, Any]:
    """A play's measured pocket, frame by frame, in yards of the field; or why there is none yet ("says")."""
    code = reading.cameras.code.get(play, -2)
    if code not in reading.ways.plays:
        return {"says": "nothing was clicked in this play yet"}
    try:
        game = game_of(reading, "trace", [code])
        m = measure(game)
    except (InputError, FileError) as why:
        return {"says": str(why).split("found no play that can be measured: ")[-1].removeprefix(f"play {play}: ")}
    frames, edges = rows_of(m.frames, play), rows_of(m.edges, play)
    picture = _core.picture(game.core, game.row(play), m.rules)
    moment = reading.ways.plays[code].moment
    found = []
    for row, drawn in zip(frames, picture["frames"], strict=True):
        ring = np.asarray(drawn["ring"], float)
        x = moment.ball[0] - moment.direction * ring[:, 1] if len(ring) else np.empty(0)
        y = moment.ball[1] - moment.direction * ring[:, 0] if len(ring) else np.empty(0)
        sides = {
            one["side"]: {
                "man": one["edge_man"],
                "short": figure(one["short_edge"]),
                "exposure": figure(one["exposure"]),
            }
            for one in edges
            if abs(one["time"] - row["time"]) < 1e-6
        }
        found.append(
            {
                "time": float(row["time"]),
                "status": row["status"],
                "width": figure(row["pocket_width"]),
                "depth": figure(row["pocket_depth"]),
                "ring": [[round(float(a), 3), round(float(b), 3)] for a, b in zip(x, y, strict=True)],
                "edges": sides,
            }
        )
    return {"frames": found}


def at_snap_said(since: float) -> str:
    return f"{abs(since):.2f} s {'before' if since < 0 else 'after'} the snap"


def figure(value: Any) -> float | None:
    return None if value is None or not math.isfinite(value) else round(float(value), 2)


def checked(name: str, value: Any, wanted: type) -> Any:
    """A value of JSON as what an act wants. InputError else."""
    if wanted is float and isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        return float(value)
    if wanted is int and isinstance(value, int) and not isinstance(value, bool):
        return value
    if wanted in (str, bool) and isinstance(value, wanted):
        return value
    said = {float: "a number", int: "a whole number", str: "a text", bool: "true or false"}[wanted]
    raise InputError(f"{name} is {shown(value)}; accepted: {said}")
