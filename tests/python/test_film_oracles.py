"""Cameras and smoother against other libraries: OpenCV (projection, homography, pose), SciPy (least squares), a plain
Kalman filter and smoother in NumPy, and a Gaussian process solved densely."""

import cv2
import numpy as np
import numpy.typing as npt
import pytest
from scipy.optimize import least_squares

from shortedge import _core

Floats = npt.NDArray[np.float64]
SIZE = (1280.0, 720.0)
HALF = float(np.hypot(*SIZE) / 2)
WIDTH = 160 / 3


def opencv_of(view: Floats, pose: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """The same camera as OpenCV has it: rotation and translation vectors, matrix, distortion. Its radius is of the
    undistorted picture at focal length 1, ours over half the diagonal."""
    pan, tilt, log_f, roll = pose
    ahead = np.array([np.cos(tilt) * np.cos(pan), np.cos(tilt) * np.sin(pan), -np.sin(tilt)])
    right = np.cross(ahead, [0, 0, 1])
    right /= np.linalg.norm(right)
    down = np.cross(ahead, right)
    turn = np.array([[np.cos(roll), np.sin(roll), 0], [-np.sin(roll), np.cos(roll), 0], [0, 0, 1]])
    rotation = turn @ np.array([right, down, ahead])
    f = np.exp(log_f)
    matrix = np.array([[f, 0, SIZE[0] / 2], [0, f, SIZE[1] / 2], [0, 0, 1]])
    return cv2.Rodrigues(rotation)[0], -rotation @ view[:3], matrix, np.array([view[3] * (f / HALF) ** 2, 0, 0, 0])


def some_camera(rng: np.random.Generator) -> tuple[Floats, Floats, Floats]:
    """view, pose, and ground points that are seen."""
    place = np.array([rng.uniform(-30, -10), rng.uniform(20, 33), rng.uniform(9, 18)])
    toward = np.array([rng.uniform(30, 60), rng.uniform(22, 31), 0]) - place
    pose = np.array(
        [
            np.arctan2(toward[1], toward[0]),
            np.arctan2(-toward[2], np.hypot(*toward[:2])),
            np.log(rng.uniform(1500, 3000)),
            rng.normal(0, 0.01),
        ]
    )
    view = np.array([*place, rng.uniform(-0.05, 0.05), rng.uniform(0, 0.55)])
    points = toward[:2] + place[:2] + rng.uniform(-9, 9, (40, 2))
    return view, pose, points


def raised(view: Floats, points: Floats) -> Floats:
    across = points[:, 1] / WIDTH
    return np.ascontiguousarray(np.column_stack([points, 4 * view[4] * across * (1 - across)]))


def test_projection_is_opencvs() -> None:
    rng = np.random.default_rng(1)
    for _ in range(200):
        view, pose, points = some_camera(rng)
        spots = raised(view, points)
        ours = _core.project(SIZE, view, pose, spots)
        turn, move, matrix, bend = opencv_of(view, pose)
        theirs = cv2.projectPoints(spots, turn, move, matrix, bend)[0][:, 0]
        assert np.abs(ours - theirs).max() < 1e-6


def clicked(
    rng: np.random.Generator, view: Floats, poses: list[Floats], points: list[Floats], noise: float
) -> tuple[npt.NDArray[np.int32], Floats, Floats]:
    frame = np.repeat(np.arange(len(poses), dtype=np.int32), [len(p) for p in points])
    pixel = np.concatenate(
        [_core.project(SIZE, view, pose, raised(view, p)) for pose, p in zip(poses, points, strict=True)]
    )
    return frame, pixel + rng.normal(0, noise, pixel.shape), np.concatenate(points)


def scene(rng: np.random.Generator, frames: int, marks: int) -> tuple[Floats, list[Floats], list[Floats]]:
    """One view over some frames with marks (points anywhere on the ground)."""
    view, pose, points = some_camera(rng)
    poses, all_points = [], []
    for _ in range(frames):
        poses.append(pose + rng.normal(0, (0.02, 0.005, 0.03, 0.004)))
        all_points.append(points[rng.choice(len(points), marks, replace=False)])
    return view, poses, all_points


def test_solution_is_scipys_least_squares() -> None:
    """The same sum of squares minimised by SciPy (from the truth): same parameters, and J'J's inverse the same."""
    rng = np.random.default_rng(2)
    for _ in range(5):
        view, poses, points = scene(rng, 3, 12)
        frame, pixel, place = clicked(rng, view, poses, points, 0.5)
        solved = _core.solve_view(SIZE, "end zone", 2.0, frame, pixel, place, np.zeros(len(frame)))
        assert solved.solved

        places, pixels = ([values[frame == f] for f in range(3)] for values in (place, pixel))

        def residuals(at: Floats, places: list[Floats] = places, pixels: list[Floats] = pixels) -> Floats:
            shared, own = at[:5], at[5:].reshape(-1, 4)
            off = np.concatenate(
                [
                    _core.project(SIZE, shared, one, raised(shared, there)) - seen
                    for one, there, seen in zip(own, places, pixels, strict=True)
                ]
            )
            square = (off**2).sum(axis=1) / 4
            # Cauchy's cost as a length: its square over 2 is 9/2 log(1 + square / 9).
            robust = np.sqrt(9 * np.log1p(square / 9) / np.maximum(square, 1e-30))
            priors = [shared[3] / 0.03, (shared[4] - 0.2) / 0.15, *(own[:, 3] / np.radians(1))]
            return np.concatenate([(off / 2 * robust[:, None]).ravel(), priors])

        found = least_squares(
            residuals, np.concatenate([view, *poses]), x_scale="jac", xtol=1e-15, ftol=1e-15, gtol=1e-15
        )
        ours = np.concatenate([solved.view, solved.poses.ravel()])
        covariance = np.linalg.inv(found.jac.T @ found.jac)
        sd = np.sqrt(np.diag(covariance))
        assert solved.scale == 1.0
        # Both stop where the cost has settled: within a thousandth of a standard deviation.
        assert (np.abs(ours - found.x) / sd).max() < 1e-2
        own_sd = np.sqrt(np.diag(solved.view_covariance))
        assert np.abs(own_sd / sd[:5] - 1).max() < 0.1  # weights of the few marks off by over a sigma differ in kind
        for f in range(3):
            index = [*range(5), *range(5 + 4 * f, 9 + 4 * f)]
            theirs = covariance[np.ix_(index, index)]
            scale = np.sqrt(np.diag(theirs))
            assert np.abs((solved.covariances[f] - theirs) / np.outer(scale, scale)).max() < 0.2


def test_a_flat_undistorted_frame_is_the_homography() -> None:
    rng = np.random.default_rng(3)
    for _ in range(20):
        view, poses, points = scene(rng, 2, 15)
        view[3:] = 0
        frame, pixel, place = clicked(rng, view, poses, points, 0.0)
        solved = _core.solve_view(SIZE, "end zone", 2.0, frame, pixel, place, np.zeros(len(frame)))
        homography = cv2.findHomography(pixel[frame == 0], place[frame == 0])[0]
        asked = np.array([[600.0, 380.0], [700.0, 420.0]])
        theirs = cv2.perspectiveTransform(asked[:, None], homography)[:, 0]
        zeros = np.zeros(2)
        ours = solved.sight(np.zeros(2, np.int32), asked, zeros + 1e-6, zeros, zeros + 1e-9, 0.0)[0]
        # The priors of crown (0.2 +- 0.15) and lens pull a little where marks say little; a homography has none.
        assert np.abs(ours - theirs).max() < 0.15


def test_pose_is_opencvs_with_the_place_known() -> None:
    """solvePnP knows the lens and finds place and direction of one picture; with clicks without error it must agree."""
    rng = np.random.default_rng(4)
    for _ in range(20):
        view, poses, points = scene(rng, 2, 15)
        frame, pixel, place = clicked(rng, view, poses, points, 0.0)
        solved = _core.solve_view(SIZE, "end zone", 0.001, frame, pixel, place, np.zeros(len(frame)))
        for f in range(2):
            _, _, matrix, bend = opencv_of(solved.view, solved.poses[f])
            spots = raised(solved.view, place[frame == f])
            _, turn, move = cv2.solvePnP(spots, pixel[frame == f], matrix, bend, flags=cv2.SOLVEPNP_ITERATIVE)
            rotation = cv2.Rodrigues(turn)[0]
            assert np.abs(-rotation.T @ move[:, 0] - solved.view[:3]).max() < 0.02


# ------------------------------------------------------------------------------------------------------- the smoother


def flow(dt: float) -> Floats:
    return np.kron(np.array([[1, dt, dt * dt / 2], [0, 1, dt], [0, 0, 1]]), np.eye(2))


def jerked(dt: float, q: float) -> Floats:
    noise = [[dt**5 / 20, dt**4 / 8, dt**3 / 6], [dt**4 / 8, dt**3 / 3, dt**2 / 2], [dt**3 / 6, dt**2 / 2, dt]]
    return q * np.kron(np.array(noise), np.eye(2))


def plain_smoother(
    time: Floats,
    place: Floats,
    covariance: Floats,
    rest: float,
    wanted: Floats,
    motion: tuple[float, float, float],
) -> tuple[Floats, Floats]:
    """Kalman's filter and Rauch, Tung and Striebel's way back, as the textbooks write them. motion: the jerk, that of
    the first 0.6 s after the rest, and the jump of the acceleration at it."""
    times = np.unique(np.concatenate([time, wanted, [rest, rest + 0.6]]))
    mean, spread = np.zeros((len(times), 6)), np.zeros((len(times), 6, 6))
    before: list[tuple[Floats, Floats]] = []
    m = np.array([*place[np.argmin(time)], 0, 0, 0, 0])
    p = np.diag([1e4, 1e4, 100, 100, 100, 100.0])
    for k, at in enumerate(times):
        if k:
            f, since = flow(at - times[k - 1]), times[k - 1] - rest
            q = motion[1] if 0 <= since < 0.6 else motion[0]
            if since == 0:
                p = p + motion[2] ** 2 * np.diag([0, 0, 0, 0, 1, 1])
            m, p = f @ m, f @ p @ f.T + jerked(at - times[k - 1], q)
        before.append((m, p))
        looks = [
            (np.eye(6)[:2], z, np.array([[c[0], c[1]], [c[1], c[2]]]))
            for t, z, c in zip(time, place, covariance, strict=True)
            if t == at
        ]
        if at == rest:
            looks.append((np.eye(6)[2:], np.zeros(4), np.diag([0.01, 0.01, 0.09, 0.09])))
        for h, z, r in looks:
            gain = p @ h.T @ np.linalg.inv(h @ p @ h.T + r)
            m, p = m + gain @ (z - h @ m), (np.eye(6) - gain @ h) @ p
        mean[k], spread[k] = m, p
    for k in range(len(times) - 2, -1, -1):
        f = flow(times[k + 1] - times[k])
        gain = spread[k] @ f.T @ np.linalg.inv(before[k + 1][1])
        mean[k] += gain @ (mean[k + 1] - before[k + 1][0])
        spread[k] += gain @ (spread[k + 1] - before[k + 1][1]) @ gain.T
    rows = np.searchsorted(times, wanted)
    return mean[rows], spread[rows]


def some_clicks(rng: np.random.Generator, many: int) -> tuple[Floats, Floats, Floats]:
    time = np.sort(rng.choice(np.arange(0, 3000), many, replace=False)) / 1000
    place = np.ascontiguousarray(np.array([50.0, 20.0]) + np.cumsum(rng.normal(0, 0.5, (many, 2)), axis=0))
    root = rng.normal(0, 0.2, (many, 2, 2)) + 0.15 * np.eye(2)
    full = root @ root.transpose(0, 2, 1) + 0.002 * np.eye(2)
    return time, place, np.ascontiguousarray(np.stack([full[:, 0, 0], full[:, 0, 1], full[:, 1, 1]], axis=1))


def test_the_smoother_is_the_plain_one() -> None:
    rng = np.random.default_rng(5)
    wanted = np.round(np.arange(0, 3.2, 0.1), 3)
    for _ in range(50):
        time, place, covariance = some_clicks(rng, int(rng.integers(2, 12)))
        motion = (300.0, 300.0, 0.0) if rng.integers(2) else (120.0, 1500.0, 6.0)
        made = _core.smooth(time, place, covariance, 0.0, wanted, (*motion, np.inf))
        mean, spread = plain_smoother(time, place, covariance, 0.0, wanted, motion)
        assert np.abs(made["mean"] - mean).max() < 1e-5
        assert np.abs(made["covariance"] - spread).max() < 1e-4


def test_the_smoother_is_a_gaussian_process() -> None:
    """Places alone, without rest: the kernel of twice integrated white jerk and a prior state at the first time."""
    rng = np.random.default_rng(6)
    q = 300.0
    for _ in range(20):
        time, place, covariance = some_clicks(rng, 8)
        wanted = np.array([time[0], 0.5 * (time[0] + time[-1]), time[-1]])

        def kernel(a: Floats, b: Floats) -> Floats:
            s, t = np.meshgrid(a - time[0], b - time[0], indexing="ij")  # noqa: B023
            low, high = np.minimum(s, t), np.maximum(s, t)
            # The integral of (s - r)^2 (t - r)^2 / 4 over r from 0 to the smaller.
            d = high - low
            wander = low**5 / 20 + d * low**4 / 8 + d * d * low**3 / 12
            return 1e4 + 100 * s * t + 100 * s**2 * t**2 / 4 + q * wander

        # Of clicks whose axes are independent the two axes are two processes.
        straight = covariance.copy()
        straight[:, 1] = 0
        ours = _core.smooth(time, place, straight, None, wanted, (q, 1.0, 1.0, np.inf))
        for axis in (0, 1):
            noise = np.diag(straight[:, 2 * axis])
            gain = kernel(wanted, time) @ np.linalg.inv(kernel(time, time) + noise)
            mean = place[0, axis] + gain @ (place[:, axis] - place[0, axis])
            spread = np.diag(kernel(wanted, wanted) - gain @ kernel(time, wanted))
            assert ours["mean"][:, axis] == pytest.approx(mean, abs=1e-4)
            assert ours["covariance"][:, axis, axis] == pytest.approx(spread, rel=1e-3, abs=1e-6)


def test_draws_are_of_the_posterior() -> None:
    rng = np.random.default_rng(7)
    time, place, covariance = some_clicks(rng, 7)
    wanted = np.array([0.4, 1.1, 2.0])
    made = _core.smooth(time, place, covariance, 0.0, wanted, (300.0, 900.0, 5.0, np.inf))
    drawn = _core.smooth_draws(time, place, covariance, 0.0, wanted, (300.0, 900.0, 5.0, np.inf), 20000, 3)
    for k in range(3):
        off = drawn[:, k] - made["mean"][k, :4]
        true = made["covariance"][k, :4, :4]
        sd = np.sqrt(np.diag(true))
        assert (np.abs(off.mean(axis=0)) < 5 * sd / np.sqrt(20000)).all()
        assert np.abs(np.cov(off.T) / np.outer(sd, sd) - true / np.outer(sd, sd)).max() < 0.05
