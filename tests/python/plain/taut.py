"""The shortest curve between two points clear of discs, by a graph over every tangent point."""

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

DEPTH = 1e-9  # yd, a curve this far inside a disc still only touches it


def clear(a: np.ndarray, b: np.ndarray, centres: np.ndarray, radii: np.ndarray) -> np.ndarray:
    """(n, m) whether segment n, from a[n] to b[n], stays out of disc m."""
    along = b - a
    length2 = np.maximum((along**2).sum(1), 1e-300)
    to = centres[None, :, :] - a[:, None, :]
    share = np.clip((to * along[:, None, :]).sum(2) / length2[:, None], 0.0, 1.0)
    off = to - share[:, :, None] * along[:, None, :]
    return np.hypot(off[:, :, 0], off[:, :, 1]) >= radii[None, :] - DEPTH


def only_outer(centres: np.ndarray, radii: np.ndarray) -> np.ndarray:
    """Indices of the discs that lie in no other one."""
    kept: list[int] = []
    for i in np.argsort(-radii, kind="stable"):
        if all(np.hypot(*(centres[i] - centres[k])) + radii[i] > radii[k] + 1e-12 for k in kept):
            kept.append(int(i))
    return np.array(kept, dtype=int)


def taut_length(start: np.ndarray, goal: np.ndarray, centres: np.ndarray, radii: np.ndarray) -> float:
    """Length in yd; +inf when there is no way. centres (m, 2), radii (m,) already shrunk to clear start and goal."""
    counted = radii >= 1e-6
    centres, radii = centres[counted], radii[counted]
    if clear(start[None], goal[None], centres, radii).all():
        return float(np.hypot(*(goal - start)))
    outer = only_outer(centres, radii)
    centres, radii = centres[outer], radii[outer]
    m = len(radii)

    points: list[np.ndarray] = [start, goal]
    on_rim: list[list[tuple[float, int]]] = [[] for _ in range(m)]  # (angle, point) per disc
    lines: list[tuple[int, int, tuple[int, ...]]] = [(0, 1, ())]  # from, to, discs it is tangent to

    def add(disc: int, angle: float, sign: int = 1) -> int:
        """A new point on a rim."""
        points.append(centres[disc] + sign * radii[disc] * np.array([np.cos(angle), np.sin(angle)]))
        on_rim[disc].append((angle if sign > 0 else angle + np.pi, len(points) - 1))
        return len(points) - 1

    for end in (0, 1):
        for i in range(m):
            away = points[end] - centres[i]
            distance = float(np.hypot(*away))
            angle = float(np.arctan2(away[1], away[0]))
            if distance <= radii[i] + DEPTH:
                on_rim[i].append((angle, end))
                continue
            for side in (-1, 1):
                lines.append((end, add(i, angle + side * np.arccos(radii[i] / distance)), (i,)))
    for i in range(m):
        for j in range(i + 1, m):
            away = centres[j] - centres[i]
            distance = float(np.hypot(*away))
            angle = float(np.arctan2(away[1], away[0]))
            for side in (-1, 1):
                outside = angle + side * np.arccos(np.clip((radii[i] - radii[j]) / distance, -1.0, 1.0))
                lines.append((add(i, outside), add(j, outside), (i, j)))
                if distance >= radii[i] + radii[j]:
                    between = angle + side * np.arccos((radii[i] + radii[j]) / distance)
                    lines.append((add(i, between), add(j, between, -1), (i, j)))

    place = np.array(points)
    a = np.array([line[0] for line in lines])
    b = np.array([line[1] for line in lines])
    free = clear(place[a], place[b], centres, radii)
    for n, line in enumerate(lines):
        free[n, list(line[2])] = True
    cost: dict[tuple[int, int], float] = {}

    def join(p: int, q: int, length: float) -> None:
        """Keep the shortest edge between two points."""
        key = (min(p, q), max(p, q))
        if p != q:
            cost[key] = min(cost.get(key, np.inf), max(length, 1e-15))

    for n in np.flatnonzero(free.all(axis=1)):
        join(int(a[n]), int(b[n]), float(np.hypot(*(place[a[n]] - place[b[n]]))))
    for i in range(m):
        rim = sorted((angle % (2 * np.pi), node) for angle, node in on_rim[i])
        if len(rim) < 2:
            continue
        begin = np.array([angle for angle, _ in rim])
        sweep = np.diff([*begin, begin[0] + 2 * np.pi])
        open_arc = np.ones(len(rim), dtype=bool)
        for j in range(m):
            if j == i:
                continue
            away = centres[j] - centres[i]
            distance = float(np.hypot(*away))
            facing = float(np.arctan2(away[1], away[0]))
            # nearest the arc comes to the other centre: facing it, or at an end
            ends = np.hypot(*(place[[node for _, node in rim]] - centres[j]).T)
            nearest = np.minimum(ends, np.roll(ends, -1))
            passes = (facing - begin) % (2 * np.pi) <= sweep
            nearest[passes] = abs(distance - radii[i])
            open_arc &= nearest >= radii[j] - DEPTH
        for k in np.flatnonzero(open_arc):
            join(rim[k][1], rim[(k + 1) % len(rim)][1], float(radii[i] * sweep[k]))

    if not cost:
        return float("inf")
    keys = np.array(list(cost))
    graph = csr_matrix((list(cost.values()), (keys[:, 0], keys[:, 1])), shape=(len(points), len(points)))
    return float(dijkstra(graph, directed=False, indices=0)[1])
