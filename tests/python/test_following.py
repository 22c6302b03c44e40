"""Following the camera on a made film, and the pocket laid on it, against where the renderer's own camera was."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from itertools import pairwise, permutations
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from matplotlib.path import Path as Polygon
from PIL import Image, ImageDraw
from scipy.optimize import minimize

import shortedge as se
from made_film import PLAY, MadeFilm, click, make_film, maker
from shortedge import _core
from shortedge.draw.laid import Clip, Ground, Shown, dense, lay, put_plates
from shortedge.film.following import (
    FAR,
    RISES,
    WAIST,
    Ahead,
    Apart,
    Clicked,
    Reel,
    Sight,
    Tracker,
    click_apart,
    cut_between,
    errors_of,
    follow_camera,
    follow_man,
    follow_on,
    ground_of,
    hand_errors,
    lines_met,
    lock,
    opened,
    paint_gone,
    paint_met,
    seen_from,
    sight_of,
    slopes,
    solved,
    sought,
    ticks_of,
)
from shortedge.film.pictures import Film
from shortedge.film.poses import WIDTH, Pose, body_box, clicked_poses, pose_between

LIMITS = {"end zone": (0.04, 0.08), "sideline": (0.05, 0.12)}  # yd, median and 95 %: what following must reach


@pytest.fixture(scope="module", params=["end zone", "sideline"])
def filmed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> MadeFilm:
    folder = tmp_path_factory.mktemp(request.param.replace(" ", ""))
    made = make_film(folder, request.param, 0.6)
    click(made, [0, 9, 17]).close()
    return made


def pictures_of(made: MadeFilm) -> list[np.ndarray]:
    film = Film(made.film)
    return list(film.arrays(0, len(film.stamps)))


def known_poses(made: MadeFilm) -> dict[int, Pose]:
    trace = se.Trace(made.trace)
    try:
        return clicked_poses(trace.reading, PLAY, made.angle, Film(made.film))
    finally:
        trace.close()


def errors(made: MadeFilm, number: int, pose: Pose) -> np.ndarray:
    """How far off, in yards, a camera puts the true places of the men near the ball."""
    places = np.array([made.play.at(player, float(made.times[number])) for player in made.near])
    return np.hypot(*(ground_of(pose, made.seen(number, places)) - places).T)


def served(pictures: list[np.ndarray]):
    def some(first: int, count: int) -> Iterator[np.ndarray]:
        return iter(pictures[first : first + count])

    return some


def test_the_camera_between_clicked_pictures_is_followed_to_a_few_hundredths_of_a_yard(filmed: MadeFilm) -> None:
    pictures, known = pictures_of(filmed), known_poses(filmed)
    assert sorted(known) == [0, 9, 17]
    asked = []

    def once(first: int, count: int) -> Iterator[np.ndarray]:
        asked.append(first)
        return served(pictures)(first, count)

    found = follow_camera(once, known, 0, 17)
    assert asked == [0]  # decoded from end to end, not anew from each clicked picture
    between = [number for number in found if number not in known]
    assert len(between) == 15
    assert all(found[number].good for number in between)
    off = np.concatenate([errors(filmed, number, found[number].pose) for number in between])
    median, most = LIMITS[filmed.angle]
    assert np.median(off) <= median
    assert np.quantile(off, 0.95) <= most


def test_from_one_clicked_picture_it_holds_to_the_end(filmed: MadeFilm) -> None:
    pictures, known = pictures_of(filmed), known_poses(filmed)
    found = follow_camera(served(pictures), {0: known[0]}, 0, 17)
    assert all(found[number].good for number in range(18))
    start = np.median(errors(filmed, 0, known[0]))
    last = np.median(errors(filmed, 17, found[17].pose))
    assert last <= start + LIMITS[filmed.angle][1]


def test_paint_in_many_pictures_puts_a_wrong_place_right(filmed: MadeFilm) -> None:
    """Marks a little off put the camera elsewhere; from one such picture alone lines, ticks and the joint lock find it
    again, against where the renderer's camera stood."""
    pictures, known = pictures_of(filmed), known_poses(filmed)
    wrong = seen_from(known[0], known[0].view + np.array([0.25, -0.3, 0.2, 0.004, 0.04]))
    assert wrong is not None
    found = follow_camera(served(pictures), {0: wrong}, 0, 17, ticks=ticks_of("pro"))
    assert all(found[number].good for number in range(18))
    off = np.concatenate([errors(filmed, number, found[number].pose) for number in range(18)])
    median, most = LIMITS[filmed.angle]
    assert np.median(off) <= median
    assert np.quantile(off, 0.95) <= most
    place, true = found[9].pose.view, filmed.shots[0].place
    assert abs(place[2] - true[2]) < 0.1  # how high it stands, yd
    assert abs(place[4] - maker().CROWN) < 0.02


def test_a_camera_that_marks_near_one_another_put_yards_off_is_found_by_the_paint_around_them(
    filmed: MadeFilm, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where men stand it fits as well as marks there can tell, from a place yards away, and far from them paint is not
    where it should be: no turning finds it. What does not find it says so."""
    sight, true, ticks = sight_of(pictures_of(filmed)[0], []), known_poses(filmed)[0], ticks_of("pro")
    men = np.array([filmed.play.at(player, float(filmed.times[0])) for player in filmed.near])
    found = 0
    for away in ([1, -2, 1.0], [-1, 3, -1.0], [1, 5, 2], [0, 4, -2], [2, -2, 1]):
        usual = Pose(true.size, true.view + np.array([*away, 0, 0]), true.pose)
        wrong, _, apart = solved(usual, men, true.seen(men), 12)
        assert apart < 2.0
        pose = opened(wrong, sight, ticks)
        if pose is None:
            continue
        found += 1
        assert np.hypot(*(pose.view - known_poses(filmed)[0].view)[:2]) < 0.3 * np.hypot(*away[:2])
        assert np.median(errors(filmed, 0, pose)) < 0.07
    assert found >= 2
    # What is right stays so, and so does what met more of the paint before.
    assert np.median(errors(filmed, 0, opened(true, sight, ticks) or true)) < 0.03
    for before, after, held in ((0.9, 0.8, False), (0.8, 0.9, True), (np.nan, 0.9, True), (0.5, 0.6, False)):
        shares = iter([(1.0, before), (1.0, after)])
        monkeypatch.setattr("shortedge.film.following.paint_met", lambda *_, shares=shares: next(shares))
        assert (opened(true, sight, ticks) is not None) == held


def off_across(made: MadeFilm, pose: Pose, yards: float) -> Pose:
    """A camera that shows the ground as if it lay so far to the side, along the lines."""
    near = np.array([made.play.snap["ball_x"], made.play.snap["ball_y"]]) + np.array(
        [(-4, -4), (-4, 4), (4, 4), (4, -4)]
    )
    shifted = pose.seen(near + np.array([0.0, yards]))
    for _ in range(8):
        base, by = slopes(pose, near)
        pose = Pose(pose.size, pose.view, pose.pose + np.linalg.lstsq(by.reshape(-1, 4), (shifted - base).ravel())[0])
    return pose


def test_ticks_pull_a_camera_back_that_slid_along_the_lines(filmed: MadeFilm) -> None:
    """On grass without grain corners stick to the picture as the camera turns. Lines say nothing of what lies along
    them, and all ticks are missed by as much: none of them is to be left out as odd for it."""
    sight, true = sight_of(pictures_of(filmed)[9], []), known_poses(filmed)[9]
    for yards in (-0.25, 0.2):
        slid = off_across(filmed, true, yards)
        assert np.median(errors(filmed, 9, slid)) > 0.14
        locked, _ = lock(slid, sight, ticks_of("pro"))
        assert locked is not None
        assert np.median(errors(filmed, 9, locked)) < 0.1


def test_corners_that_stuck_to_the_picture_are_not_gone_on_with(filmed: MadeFilm) -> None:
    """All corners thought a quarter of a yard aside, as when they stuck while the camera turned: ticks put the camera
    right, and no corner is kept where it then does not lie."""
    sights, true = [sight_of(one, []) for one in pictures_of(filmed)[9:11]], known_poses(filmed)[9]
    tracker = Tracker(true, sights[0], ticks_of("pro"))
    tracker.ground = tracker.ground + np.array([0.0, 0.25])
    found = tracker.step(10, sights[1])
    assert found.good
    assert np.median(errors(filmed, 10, found.pose)) < 0.1
    assert np.hypot(*(found.pose.seen(tracker.ground) - tracker.corners - 0.5).T).max() < 2.0


def test_a_camera_that_no_longer_shows_ticks_where_they_are_is_lost(filmed: MadeFilm) -> None:
    """Slid along the lines by a yard it shows every line where it is, and no tick."""
    sight, true, ticks = sight_of(pictures_of(filmed)[9], []), known_poses(filmed)[9], ticks_of("pro")
    first = paint_met(true, sight, ticks)
    assert min(first) > 0.9
    assert not paint_gone(first, paint_met(off_across(filmed, true, 0.02), sight, ticks))
    assert paint_gone(first, paint_met(off_across(filmed, true, 0.45), sight, ticks))  # met, but not where they are
    slid = paint_met(off_across(filmed, true, 1.0), sight, ticks)
    assert slid[0] > 0.9
    assert paint_gone(first, slid)


def test_ground_is_grass_and_white_paint_and_no_shirt() -> None:
    """Shirts as light as paint in two colours, or in one, are neither."""
    picture = np.full((360, 640, 3), (70, 110, 60), np.uint8)
    patches = [(205, 205, 200), (250, 150, 150), (150, 150, 250), (205, 150, 40), (160, 20, 160), (20, 20, 160)]
    for k, colour in enumerate(patches):
        picture[150:210, 40 + 100 * k : 100 + 100 * k] = colour
    seen = sight_of(picture, [(10.0, 250.0, 60.0, 340.0)]).ground > 0
    assert [bool(seen[180, 70 + 100 * k]) for k in range(len(patches))] == [True, *5 * [False]]
    assert seen[100, 300]
    assert not seen[300, 30]  # where a man is


@pytest.mark.parametrize("grain", [0.0, 1.0, 1.6])
def test_lines_are_met_on_grass_of_any_grain_and_not_where_there_are_none(filmed: MadeFilm, grain: float) -> None:
    make, true = maker(), known_poses(filmed)[0]
    make.SIZE = filmed.size
    with pytest.MonkeyPatch.context() as patch:
        usual = make.grain
        patch.setattr(make, "grain", lambda *given: grain * usual(*given))
        picture = make.ground_picture(filmed.shots[0], np.random.default_rng(1))
    sight = sight_of(np.clip(picture, 0, 255).astype(np.uint8), [])
    expected, there, _, _ = lines_met(true, sight)
    assert expected > 100
    assert len(there) > 0.85 * expected
    elsewhere = Pose(true.size, true.view + np.array([2.5, 0, 0, 0, 0]), true.pose)  # lines between those that are
    expected, there, _, _ = lines_met(elsewhere, sight)
    assert len(there) < 0.08 * expected


def test_stretches_of_a_film_are_decoded_once_and_asked_for_again_where_it_breaks_off(filmed: MadeFilm) -> None:
    pictures, asked, given = pictures_of(filmed), [], []

    def some(first: int, count: int) -> Iterator[np.ndarray]:
        asked.append((first, count))
        for number in range(first, first + count):
            if number == 11 and len(asked) == 1:
                return
            given.append(number)
            yield pictures[number]

    reel = Reel(some, lambda number: [], 17)
    for (start, end), there in (((0, 4), 5), ((4, 6), 3), ((7, 9), 3), ((9, 12), 2), ((12, 17), 6)):
        seen = reel.sights(start, end)
        assert len(seen) == there
        for number, sight in zip(range(start, end + 1), seen, strict=False):
            assert np.array_equal(sight.grey, sight_of(pictures[number], []).grey)
    assert asked == [(0, 18), (12, 6)]
    assert given == [*range(11), *range(12, 18)]


def test_slopes_are_those_of_the_projection_and_ground_is_its_inverse() -> None:
    """Of the projection that OpenCV's own agrees with (test_film_oracles), by differences to both sides."""
    size, place = (1280.0, 720.0), np.array([[25.0, 12.0], [32.0, 30.0], [41.0, 44.0]])
    camera = np.array([-15.0, 25.5, 14.0, -0.03, 0.2, 0.06, 0.24, 7.6, 0.02])  # view, then pose

    def seen(camera: np.ndarray) -> np.ndarray:
        height = 4 * camera[4] * place[:, 1] / WIDTH * (1 - place[:, 1] / WIDTH)
        return np.asarray(_core.project(size, camera[:5], camera[5:], np.column_stack([place, height])))

    pixels, by = _core.project_slopes(size, camera[:5], camera[5:], place)
    assert np.allclose(pixels, seen(camera), atol=1e-9)
    assert np.allclose(pixels, _core.project_ground(size, camera[:5], camera[5:], place, 0.0), atol=1e-9)
    for k, step in enumerate(np.diag(np.full(9, 1e-5))):
        assert np.allclose(by[..., k], (seen(camera + step) - seen(camera - step)) / 2e-5, rtol=1e-5, atol=1e-3)
    assert np.allclose(_core.ground_at(size, camera[:5], camera[5:], pixels), place, atol=1e-8)
    sky = np.array([[640.0, -4000.0]])
    assert np.isnan(_core.ground_at(size, camera[:5], camera[5:], sky)).all()
    behind = np.array([[-30.0, 25.5]])
    assert np.isnan(_core.project_slopes(size, camera[:5], camera[5:], behind)[1]).all()


def test_following_stops_when_told_and_fails_as_its_film_does(filmed: MadeFilm) -> None:
    film = Film(filmed.film)
    known = {number: pose for number, pose in known_poses(filmed).items() if number in (0, 17)}
    told: list[float] = []

    other = threading.Event()

    def three(share: float) -> bool:
        if share > 1.5 / 34:  # of the second of 34 steps, which may be the other way's
            other.set()
        other.wait(0.3)  # time for the other way to come in between, which it must not
        told.append(share)
        return len(told) < 3

    found = follow_camera(film.arrays, known, 0, 17, going_on=three)
    assert {0, 17} <= set(found)
    assert len(found) < 12
    assert told[:3] == sorted(told[:3])

    def breaks(first: int, count: int) -> Iterator[np.ndarray]:
        for k, picture in enumerate(film.arrays(first, count)):
            if k == 5:
                raise se.FileError("film.mp4: gone")
            yield picture

    before = threading.enumerate()
    with pytest.raises(se.FileError, match="gone"):
        follow_camera(breaks, known, 0, 17)
    assert set(threading.enumerate()) <= set(before)


def test_after_a_film_broke_off_its_next_stretch_is_waited_for() -> None:
    """The film breaks off after picture 5, and picture 9, with which the next stretch begins, comes late."""
    asked = threading.Event()

    class Broken(Reel):
        def __init__(self) -> None:
            pass

        def sights(self, start: int, end: int) -> list[Sight]:
            if start == 9:
                asked.wait(10)
            return [] if 5 < start < 9 else [Sight(np.zeros((2, 2), np.uint8), np.zeros((2, 2), np.uint8))]

    with Ahead(Broken(), [(0, 9), (9, 12)]) as ahead:
        assert ahead.end(0) == 5
        assert ahead.sight(5) is not None
        assert ahead.sight(7) is None
        threading.Timer(0.1, asked.set).start()
        assert ahead.sight(9) is not None
        assert ahead.end(9) == 12


def test_ticks_are_where_the_codes_put_them() -> None:
    """NCAA rule 1-2-1: 24 inches long; hash rows 60 ft from the sidelines (college), 70 ft 9 in (pro)."""
    for field, row in (("college", 20.0), ("pro", (70 * 12 + 9) / 36)):
        ticks = ticks_of(field)
        assert np.allclose(np.abs(ticks[:, 1, 1] - ticks[:, 0, 1]), 24 / 36)
        assert np.allclose(ticks[:, 0, 0], ticks[:, 1, 0])
        assert set(np.round(np.minimum(ticks[:, 0, 1], 160 / 3 - ticks[:, 0, 1]), 6)) == {round(row, 6)}
        assert len(ticks) == 2 * 80  # every yard between the goal lines but every fifth


def test_a_cut_a_black_picture_and_men_all_over_it_are_noticed(filmed: MadeFilm) -> None:
    pictures, known = pictures_of(filmed), {0: known_poses(filmed)[0]}
    other = np.roll(pictures[10][::-1, ::-1], 90, axis=1)  # another view of other ground
    cut = [*pictures[:8], *[np.ascontiguousarray(other)] * 8]
    black = [*pictures[:8], np.zeros_like(pictures[0]), *pictures[9:16]]
    crowd = [picture.copy() for picture in pictures[:16]]
    rng = np.random.default_rng(3)
    for picture in crowd[8:]:  # cloth of no ground's colour, anew in every picture
        picture[:] = np.repeat(np.repeat(rng.integers(0, 255, (45, 80, 3)), 8, axis=0), 8, axis=1)
    for spoilt in (cut, black, crowd):
        found = follow_camera(served(spoilt), known, 0, len(spoilt) - 1)
        assert all(found[number].good for number in range(8))
        assert not any(found[number].good for number in range(8, len(spoilt)) if number in found)


def test_a_wipe_to_another_picture_is_noticed(filmed: MadeFilm) -> None:
    """No two pictures in turn differ much; what gives it away is that lines are no longer where they should be."""
    pictures, known = pictures_of(filmed), {0: known_poses(filmed)[0]}
    wide, steps, begins = filmed.size[0], 12, 4
    wiped = []
    for k, picture in enumerate(pictures[begins : begins + steps + 4]):
        other, edge = pictures[-1 - k][:, ::-1], min(wide, (k + 1) * wide // steps)
        wiped.append(np.concatenate([other[:, :edge], picture[:, edge:]], axis=1))
    spoilt = [*pictures[:begins], *wiped]
    found = follow_camera(served(spoilt), known, 0, len(spoilt) - 1)
    assert all(found[number].good for number in range(begins))
    assert not any(found[number].good for number in range(begins + steps, len(spoilt)) if number in found)
    for number in range(begins, begins + steps):
        assert number not in found or not found[number].good or errors(filmed, number, found[number].pose).max() < 0.35


def test_pictures_without_a_corner_are_lost_not_an_error(filmed: MadeFilm) -> None:
    blank = [np.full_like(pictures_of(filmed)[0], 90)] * 4
    found = follow_camera(served(blank), {0: known_poses(filmed)[0]}, 0, 3)
    assert not any(found[number].good for number in (1, 2, 3) if number in found)


def test_neighbouring_pictures_are_no_cut(filmed: MadeFilm) -> None:
    grey = [picture.mean(axis=2).astype(np.uint8) for picture in pictures_of(filmed)]
    assert not any(cut_between(a, b) for a, b in pairwise(grey))
    assert cut_between(grey[0], np.zeros_like(grey[0]))


def test_men_are_followed_between_two_clicks(filmed: MadeFilm) -> None:
    """A man found again must be nearer to the truth than the worst that a straight line between the clicks makes."""
    pictures, known = dict(enumerate(pictures_of(filmed))), known_poses(filmed)
    cameras = {number: one.pose for number, one in follow_camera(served(list(pictures.values())), known, 0, 17).items()}
    off, seen = [], 0
    for player in filmed.near:
        ends = []
        for number in (0, 17):
            pixel = filmed.feet(player, number)
            ends.append(Clicked(number, pixel, ground_of(cameras[number], pixel[None])[0]))
        for number, pixel in follow_man(pictures, cameras, ends, [6, 12], 1.0).items():
            seen += 1
            truth = filmed.play.at(player, float(filmed.times[number]))
            off.append(float(np.hypot(*(ground_of(cameras[number], pixel[None])[0] - truth))))
    assert seen >= 0.6 * 2 * len(filmed.near)
    assert np.median(off) <= 0.2


def test_a_man_covered_for_a_moment_is_found_again_and_one_who_stays_covered_is_not(filmed: MadeFilm) -> None:
    pictures, known = dict(enumerate(pictures_of(filmed))), known_poses(filmed)
    cameras = {number: one.pose for number, one in follow_camera(served(list(pictures.values())), known, 0, 17).items()}
    clicks = {}
    for player in filmed.near:
        pixel = filmed.feet(player, 0)
        clicks[player] = Clicked(0, pixel, ground_of(cameras[0], pixel[None])[0])
    numbers = [3, 6, 9, 12, 15, 17]
    usual = follow_on(pictures, cameras, clicks, numbers, filmed.times)
    assert len(usual) >= 0.5 * len(clicks)

    def covered(player: str, hidden: list[int]) -> dict[str, np.ndarray]:
        shown = dict(pictures)
        for number in hidden:
            box = body_box(cameras[number], filmed.play.at(player, float(filmed.times[number])))
            left, top, right, bottom = np.clip(box, 0, None).astype(int)
            shown[number] = shown[number].copy()
            shown[number][top:bottom, left:right] = np.median(shown[number], axis=(0, 1)).astype(np.uint8)
        return follow_on(shown, cameras, {player: clicks[player]}, numbers, filmed.times)

    again = {player: covered(player, [6, 9]) for player in usual}
    found = [player for player, one in again.items() if player in one]
    assert len(found) >= 0.7 * len(usual)
    assert np.median([np.hypot(*(again[player][player] - usual[player])) for player in found]) < 1.0
    assert all(player not in covered(player, [6, 9, 12]) for player in usual)
    assert all(player not in covered(player, [17]) for player in usual)


def test_who_runs_is_found_by_how_he_ran_and_who_comes_up_at_his_feet() -> None:
    """A man of grain on grass, a fifth of a second later 1.2 yd to the side, beyond where he is looked for."""
    import cv2

    rng, times, size = np.random.default_rng(5), np.array([0.0, 0.2]), (1280.0, 720.0)
    pose = Pose(size, np.array([-15.0, 25.5, 14.0, 0.0, 0.0]), np.array([0.06, 0.24, 7.6, 0.0]))
    man = cv2.GaussianBlur(rng.uniform(0, 255, (121, 61, 3)), (0, 0), 2.0).astype(np.uint8)
    here = np.array([32.0, 27.0])

    def shown(place: np.ndarray, up: float) -> np.ndarray:
        picture = np.full((720, 1280, 3), 90, np.uint8) + rng.integers(0, 12, (720, 1280, 3), np.uint8)
        x, y = np.rint(pose.seen(place[None], WAIST + up)[0]).astype(int)
        picture[y - 60 : y + 61, x - 30 : x + 31] = man
        return picture

    def missed(moved: float, up: float, stoops: bool, speed: float) -> float:
        """How far off his feet are found, yd; infinite where he is not."""
        there = here + np.array([0.0, moved])
        clicks = {"a": Clicked(0, pose.seen(here[None])[0], here, stoops=stoops)}
        pictures = {0: shown(here, 0.0), 1: shown(there, up)}
        given = ([1], times, (0, 1), {"a": np.array([0.0, speed])})
        found = follow_on(pictures, {0: pose, 1: pose}, clicks, *given)
        return float(np.hypot(*(found["a"] - pose.seen(there[None])[0])) / pose.scale(there)) if found else np.inf

    assert missed(1.2, 0.0, False, 6.0) < 0.05
    assert missed(1.2, 0.0, False, 0.0) > 0.3
    assert missed(0.0, RISES, True, 0.0) < 0.05
    assert missed(0.0, RISES, False, 0.0) > 0.2
    assert missed(0.0, 0.0, False, 0.0) < 0.05
    # What two clicks differ by counts from their pixels, also where a camera followed since puts his place elsewhere.
    pictures, pixel = {number: shown(here, 0.0) for number in (0, 1)}, pose.seen(here[None])[0]
    ends = Clicked(0, pixel, here), Clicked(1, pixel + np.array([2.0, -1.0]), here + np.array([0.0, 0.3]))
    apart = click_apart(pictures, {0: pose, 1: pose}, *ends, (0, 0))
    assert apart is not None
    assert np.allclose(apart.differ, [-2.0, 1.0], atol=0.6)


def test_all_of_a_mans_clicks_put_each_other_right(filmed: MadeFilm) -> None:
    """Three clicks, each off as a hand is: where he was followed to lies nearer to him than the clicks did. From the
    side a man is 30 pixels high here: he is covered more often, and found again no nearer than a pixel."""
    hand, seen, share = {"end zone": (3.0, 0.6, 0.71), "sideline": (2.0, 0.4, 1.0)}[filmed.angle]
    pictures, known = dict(enumerate(pictures_of(filmed))), known_poses(filmed)
    cameras = {number: one.pose for number, one in follow_camera(served(list(pictures.values())), known, 0, 17).items()}
    rng = np.random.default_rng(3)
    clicked, followed, hands = [], [], 3
    for player in [*filmed.near] * hands:
        clicks = []
        for number in (0, 9, 17):
            off = rng.normal(0, hand, 2)
            pixel = filmed.feet(player, number) + off
            clicked.append(off)
            clicks.append(Clicked(number, pixel, ground_of(cameras[number], pixel[None])[0]))
        for number, pixel in follow_man(pictures, cameras, clicks, [5, 13], hand, (9, 17)).items():
            followed.append(pixel - filmed.feet(player, number))
    assert len(followed) >= seen * 2 * len(filmed.near) * hands
    across = [np.median(np.abs(np.array(some)[:, 0])) for some in (clicked, followed)]
    # Two clicks that answer for a picture come to 0.71 of the error of one, three put right by what was seen to 0.58.
    assert across[1] < share * across[0]


def test_errors_of_a_hand_are_the_likeliest_by_all_that_is_known_of_them() -> None:
    """Against the same likelihood (normal errors of clicks, Cauchy's of what they were seen to differ by), written out
    and searched by scipy."""
    rng = np.random.default_rng(1)
    errors = np.array([3.0, 3.0, 1.5, 3.0, 1.5])  # the hand's, and half of it where a person left him
    clicks = [Clicked(k, np.zeros(2), np.zeros(2), left=k in (2, 4)) for k in range(5)]
    truth = rng.normal(0, errors[:, None], (5, 2))
    apart = [
        Apart(a, b, truth[a] - truth[b] + rng.normal(0, 1, 2), np.array([1.0, 2.5]))
        for a, b in permutations(range(5), 2)
        if (a, b) != (0, 4)
    ]
    apart[3].differ += 7.0  # somebody else was seen there
    found = hand_errors(errors_of(clicks, 3.0), apart)
    for axis in range(2):

        def unlikely(off: np.ndarray, axis: int = axis) -> float:
            missed = [(off[o.first] - off[o.second] - o.differ[axis]) / o.unsure[axis] / FAR for o in apart]
            return float(((off / errors) ** 2).sum() + FAR**2 * np.log1p(np.square(missed)).sum())

        told = minimize(unlikely, np.zeros(5), method="BFGS", options={"gtol": 1e-9}).x
        assert np.allclose(found[:, axis], told, atol=1e-3)
    assert np.abs(found - truth).mean() < 0.5 * np.abs(truth).mean()
    # What cannot be a hand's errors (he was taken for another) says nothing.
    strange = [Apart(0, 1, np.array([60.0, -60.0]), np.ones(2))]
    assert np.allclose(hand_errors(np.full(2, 3.0), strange), 0)


def test_clicks_far_apart_tell_how_far_each_is_off_and_a_stance_is_allowed_for(filmed: MadeFilm) -> None:
    """Two clicks of a man over the whole film, no picture between them, in which linemen come out of their stance."""
    pictures, known = dict(enumerate(pictures_of(filmed))), known_poses(filmed)
    rng = np.random.default_rng(4)
    missed: dict[bool, list[np.ndarray]] = {False: [], True: []}
    ball = np.array([filmed.play.snap["ball_x"], filmed.play.snap["ball_y"]])
    rises = tuple(round((at - filmed.times[0]) / (filmed.times[1] - filmed.times[0])) for at in (0.0, 0.5))
    near = [one for one in filmed.near if (np.abs(filmed.play.at(one, 0.0) - ball) <= [2.5, 7]).all()]
    for player in near:
        for stoops in missed:
            ends = []
            for number in (0, 17):
                pixel = filmed.feet(player, number) + rng.normal(0, 2, 2)
                place = ground_of(known[number], pixel[None])[0]
                ends.append(Clicked(number, pixel, place, stoops=stoops))
            off = [one.pixel - filmed.feet(player, one.number) for one in ends]
            apart = click_apart(pictures, known, *ends, rises)
            if apart is not None:
                missed[stoops].append((apart.differ - (off[0] - off[1])) / known[0].scale(ends[0].place))
    plain, allowed = (np.median(missed[stoops], axis=0) for stoops in missed)
    assert len(missed[True]) >= 0.3 * len(near)
    assert abs(allowed[0]) < 0.03  # yd across
    assert -plain[1] > 0.08  # upwards: he has come up by half when the film ends
    assert abs(allowed[1]) < 0.5 * abs(plain[1])


def test_a_man_is_seen_to_a_part_of_a_pixel_and_never_beyond_where_he_is_looked_for() -> None:
    import cv2

    rng = np.random.default_rng(2)
    scale, reach = 20.0, 0.55 * 20
    whole = cv2.GaussianBlur(rng.uniform(0, 255, (160, 160)).astype(np.float32), (0, 0), 2.0)
    part = cv2.getRectSubPix(whole, (17, 25), (80.3, 79.6))
    move, alike = sought(whole, (part, scale), np.array([78.5, 78.5]), scale)
    assert alike > 0.95
    assert np.allclose(move, [2.3, 1.6], atol=0.2)  # getRectSubPix counts from a pixel's centre
    for _ in range(200):  # of something else the best of what is there has no summit within reach
        other = cv2.GaussianBlur(rng.uniform(0, 255, (160, 160)).astype(np.float32), (0, 0), 6.0)
        move, _ = sought(other, (part, scale), np.array([80.0, 80.0]), scale)
        assert np.abs(move).max() <= reach + 1.5


def test_the_pocket_lies_where_the_true_camera_puts_it_and_leaves_men_as_they_are(filmed: MadeFilm) -> None:
    game = se.from_trace(filmed.trace)
    clip = Clip(se.measure(game), PLAY, filmed.trace, None)
    make, film = maker(), Film(filmed.film)
    make.SIZE = filmed.size
    units = {player: str(person["unit"]) for player, person in filmed.people.items()}
    off, share = [], []
    for shot in clip.shots:
        ground = clip.ground(shot.time)
        if not len(ground.ring):
            continue
        off.append(np.hypot(*(shot.pose.seen(ground.ring) - filmed.seen(shot.number, ground.ring)).T).max())
        if shot.number not in (12, 14):
            continue
        shot_ = filmed.shots[shot.number]
        empty = make.ground_picture(shot_, np.random.default_rng(1))
        men = [
            make.standing(filmed.play, one, units[one], float(filmed.times[shot.number])) for one in filmed.play.paths
        ]
        men.sort(key=lambda man: -float((make.on_ground(man.body) - shot_.place) @ shot_.ahead))
        peopled = empty.copy()
        for man in men:
            make.draw_man(peopled, shot_, man)
        body = np.abs(peopled - empty).sum(axis=2) > 60
        before = next(film.arrays(shot.number, 1))
        after = np.asarray(lay(before, shot.pose, ground, clip.bodies(shot.time, shot.pose)))
        changed = np.abs(after.astype(int) - before).sum(axis=2) > 12
        x, y = shot.pose.seen(ground.ring).T
        area = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
        assert changed.sum() > 0.1 * area  # something was drawn
        share.append((changed & body).sum() / body.sum())
    assert max(off) <= 3.0 * filmed.size[1] / 720  # 3 pixels of a picture 720 high
    assert len(share) == 2
    assert max(share) < 0.02


def test_what_lies_on_the_ground_is_laid_where_it_is_and_nowhere_else(filmed: MadeFilm) -> None:
    """Against the polygon itself, point by point; in the picture, over its rim, and all outside."""
    pose = known_poses(filmed)[0]
    width, height = filmed.size
    plain = np.full((height, width, 3), (70, 110, 60), np.uint8)
    y, x = np.mgrid[0.5:height, 0.5:width]
    rim = max(height / 240, 1.5)
    ball = np.array([filmed.play.snap["ball_x"], filmed.play.snap["ball_y"]])
    for aside, there in ((0.0, (0.01, 0.5)), (9.0, (0.005, 0.5)), (200.0, (0.0, 0.0))):
        ring = ball + np.array([[-4.0, aside - 4], [4, aside - 4], [4, aside + 4], [-4, aside + 4]])
        changed = (np.asarray(lay(plain, pose, Ground(ring=ring), [])) != plain).any(axis=2)
        assert there[0] <= changed.mean() <= there[1]
        seen = pose.seen(dense(np.concatenate([ring, ring[:1]])))
        seen = seen[np.isfinite(seen).all(axis=1)]
        pixels = np.column_stack([x.ravel(), y.ravel()])
        inside = Polygon(seen).contains_points(pixels).reshape(height, width)
        near = Polygon(seen).contains_points(pixels, radius=2 * rim) | Polygon(seen[::-1]).contains_points(
            pixels, radius=2 * rim
        )
        assert changed[inside].mean() > 0.999 if inside.any() else not changed.any()
        assert not changed[~near.reshape(height, width)].any()


@pytest.mark.parametrize("seen", [0, 1, 2])
def test_a_pocket_of_which_next_to_nothing_is_seen_is_left_out(seen: int) -> None:
    """Behind the camera places have no pixels."""

    class Behind:
        def seen(self, places: np.ndarray) -> np.ndarray:
            pixels = np.full(places.shape, np.nan)
            pixels[:seen] = np.array([[20.0, 20], [24, 22]])[:seen]
            return pixels

    ring = np.array([[50.0, 20], [54, 20], [54, 24]])
    plain = np.full((40, 60, 3), (70, 110, 60), np.uint8)
    made = np.asarray(lay(plain, Behind(), Ground(ring=ring), []))  # type: ignore[arg-type]
    assert np.array_equal(made, plain) == (seen < 2)


class Flat:
    """Places are pixels."""

    def seen(self, places: np.ndarray) -> np.ndarray:
        return np.asarray(places, float)


def boxed(left: float, top: float, right: float, bottom: float) -> Ground:
    return Ground(ring=np.array([[left, top], [right, top], [right, bottom], [left, bottom]], float))


LOWER_RIGHT, LOWER_LEFT, UPPER_LEFT = (1000, 600), (200, 600), (150, 100)


@pytest.mark.parametrize(
    ("few", "many"),
    [(LOWER_LEFT, LOWER_RIGHT), (LOWER_RIGHT, LOWER_LEFT), (UPPER_LEFT, LOWER_LEFT), (LOWER_LEFT, UPPER_LEFT)],
)
def test_the_pocket_is_shown_larger_where_fewest_men_are_over_the_whole_clip(
    few: tuple[int, int], many: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of the sideline's three corners one has no man but in the first picture, two have men all the time."""
    crowd = [one for one in (LOWER_RIGHT, LOWER_LEFT, UPPER_LEFT) if one != few]
    assert many in crowd

    def men(time: float) -> list[tuple[float, float, float, float]]:
        return [(x - 20.0, y - 60.0, x + 20.0, y + 5.0) for x, y in ([few] if time == 0 else crowd) for _ in range(3)]

    clip = Clip.__new__(Clip)
    clip.angle, clip.size, clip.zero = "sideline", (1280, 720), 0.0
    clip.film = SimpleNamespace(stamps=np.arange(60) / 30, rate=30.0)  # type: ignore[assignment]
    clip.__dict__["turned"] = dict.fromkeys(range(60), Flat())
    monkeypatch.setattr(clip, "bodies", lambda time, pose: men(time))
    monkeypatch.setattr(clip, "ground", lambda time: boxed(560, 300, 700, 360))
    for number in (0, 1, 30, 59):
        shot = Shown(number, number / 30, Flat())  # type: ignore[arg-type]
        above, larger = clip.insets(shot, clip.ground(shot.time))
        assert larger[0] < few[0] < larger[2]
        assert larger[1] < few[1] < larger[3]
        assert above[0] > 1000
        assert above[3] < 200
        assert not (larger[0] < 700 and larger[2] > 560 and larger[1] < 360 and larger[3] > 300)
    # A pocket under that corner is not covered; what is said of men lies beside the insets.
    under = boxed(few[0] - 60, few[1] - 40, few[0] + 60, few[1] + 20)
    (away,) = clip.insets(shot, under)[1:]
    assert not (away[0] < few[0] < away[2] and away[1] < few[1] < away[3])
    told = []

    def plated(draw: ImageDraw.ImageDraw, *given: Any) -> None:
        told.extend([given[2], given[5]])
        draw.rectangle((540, 280, 720, 380), fill=(255, 255, 255))

    monkeypatch.setattr("shortedge.draw.laid.put_plates", plated)
    monkeypatch.setattr("shortedge.draw.laid.lay", lambda picture, *_: Image.fromarray(picture))
    monkeypatch.setattr("shortedge.draw.laid.above", lambda *_: None)
    clip.play = "P"
    made = clip.drawn(shot, np.zeros((720, 1280, 3), np.uint8), True)
    assert told == [[*men(shot.time), above], [larger]]
    left, top, right, bottom = map(int, larger)
    assert made[top - 1, left - 1].min() > 200  # its frame, and no plate in it
    assert made[top:bottom, left:right].max() == 0
    clip.angle = "end zone"
    assert clip.insets(shot, clip.ground(0.0)) == [above]


def test_a_plate_lies_beside_an_inset_unless_that_is_far_from_its_man() -> None:
    """A man at the left edge of an inset: beside it, where there is room. Where somebody's box leaves none near, the
    plate lies over the inset's edge, close to him, and not across the picture, where others may stand."""
    draw = ImageDraw.Draw(Image.new("RGB", (1280, 720)))
    ground = Ground(plates=[(np.array([640.0, 400.0]), "TK-78")])
    inset = (660.0, 300.0, 1270.0, 710.0)

    def put(
        *boxes: tuple[float, float, float, float], beside: tuple[float, float, float, float] | None = inset
    ) -> tuple[float, float, float, float]:
        insets = [beside] if beside else []
        (plate,) = put_plates(draw, Flat(), ground, list(boxes), 720, (1280, 720), insets)  # type: ignore[arg-type]
        return plate

    def over(plate: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
        return plate[0] < other[2] and plate[2] > other[0] and plate[1] < other[3] and plate[3] > other[1]

    beside = put()
    assert not over(beside, inset)
    assert np.hypot(max(beside[0] - 640, 0, 640 - beside[2]), max(beside[1] - 400, 0, 400 - beside[3])) < 60
    few = (300.0, 150.0, 655.0, 424.0)
    assert over(put(few, beside=None), inset)  # the nearest place of all
    assert not over(put(few), inset)
    ground.plates.append((np.array([642.0, 402.0]), "TK-74"))
    one, other = put_plates(draw, Flat(), ground, [], 720, (1280, 720), [inset])  # type: ignore[arg-type]
    assert not over(one, other)
    ground.plates.pop()
    crowd = (300.0, 150.0, 655.0, 700.0)
    near = put(crowd)
    assert over(near, inset)
    assert not over(near, crowd)
    assert np.hypot(near[0] - 640, max(near[1] - 400, 0, 400 - near[3])) < 60


@pytest.mark.parametrize("filmed", ["end zone", pytest.param("sideline", marks=pytest.mark.full)], indirect=True)
def test_a_clip_of_a_part_shows_the_pictures_of_that_part(filmed: MadeFilm) -> None:
    m = se.measure(se.from_trace(filmed.trace))
    clip = Clip(m, PLAY, filmed.trace, None)
    clip.moments = []  # nowhere does it stand still
    whole = [np.asarray(one) for one in clip.pictures(1.0, clip.shots[:7])]
    part = [np.asarray(one) for one in clip.pictures(1.0, clip.shots[4:7])]
    assert len(part) == 3
    assert all(np.array_equal(one, two) for one, two in zip(part, whole[4:], strict=True))
    assert not np.array_equal(part[0], whole[0])
    clip.moments = [(clip.shots[1].time, "beat")]  # over before the part begins: it does not stand still there
    assert len(list(clip.pictures(1.0, clip.shots[4:7]))) == 3


@pytest.mark.parametrize("filmed", ["end zone", pytest.param("sideline", marks=pytest.mark.full)], indirect=True)
def test_stills_and_clips_are_written_and_refused(filmed: MadeFilm, tmp_path: Path) -> None:
    m = se.measure(se.from_trace(filmed.trace))
    m.on_film(PLAY, tmp_path / "still.png", trace=filmed.trace, time=0.2)
    m.on_film(PLAY, tmp_path / "clip.mp4", trace=filmed.trace, speed=1.0)
    clip = Film(tmp_path / "clip.mp4")
    assert clip.size == filmed.size
    assert len(clip.stamps) >= 9
    with pytest.raises(se.InputError, match=r"accepted: -?0"):
        m.on_film(PLAY, tmp_path / "late.png", trace=filmed.trace, time=9.0)
    with pytest.raises(se.InputError, match="accepted for play"):
        m.on_film(PLAY, tmp_path / "no.png", trace=filmed.trace, angle="the moon")
    assert not (tmp_path / "late.png").exists()


def test_without_following_the_camera_turns_evenly_between_clicked_pictures(filmed: MadeFilm) -> None:
    trace = se.Trace(filmed.trace)
    solved = trace.reading.cameras.angles[filmed.angle]
    code = trace.reading.cameras.code[PLAY]
    size = filmed.size
    ends = [pose_between(solved, code, number / 30, size) for number in (0, 9)]
    middle = pose_between(solved, code, 4.5 / 30, size)
    trace.close()
    assert middle is not None
    assert all(end is not None for end in ends)
    assert np.allclose(middle.pose, (ends[0].pose + ends[1].pose) / 2, atol=1e-9)
