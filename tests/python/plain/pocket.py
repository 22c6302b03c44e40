"""3: the wall, the pocket polygon, the status of a frame and its pocket figures."""

from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, Point, Polygon

from .geometry import span

Spots = dict[str, np.ndarray]
FAR = 400.0  # yd, farther than anything in a play


def bearing(point: np.ndarray, passer: np.ndarray) -> float:
    """Degrees from the passer: 0 straight upfield, positive to the offence's right, (-180, 180]."""
    du, dv = point - passer
    angle = float(np.degrees(np.arctan2(du, -dv)))
    return 180.0 if angle == -180.0 else angle


@dataclass
class Wall:
    """Men in bearing order, left to right, and the one the lanes are counted from."""

    men: list[str]
    centre: str
    left: str  # who stands farthest left, and right
    right: str


def choose_centre(men: list[str], spots: Spots, linemen: dict[str, str], centres: list[str]) -> str:
    """C (of two listed so the first of `centres`), else the lineman nearest u = 0, else the man nearest it."""
    listed = [p for p in centres if p in men]
    if listed:
        return listed[0]
    pool = [p for p in men if p in linemen] or men
    return min(pool, key=lambda p: (abs(spots[p][0]), p))


def attached(men: list[str], spots: Spots, centre: str, detach: float) -> list[str]:
    """Men left when, from the centre outward, those beyond a hole wider than `detach` are dropped."""
    row = sorted(men, key=lambda p: (spots[p][0], p))
    middle = row.index(centre)
    kept = [centre]
    for outward in (row[middle + 1 :], row[:middle][::-1]):
        before = centre
        for man in outward:
            if abs(spots[man][0] - spots[before][0]) > detach:
                break
            kept.append(man)
            before = man
    return kept


def build_wall(
    passer: np.ndarray,
    protectors: Spots,
    rushers: Spots,
    linemen: dict[str, str],
    centres: list[str],
    rules: dict[str, float],
) -> Wall | None:
    """The wall of one frame, from those present in it. None when nobody is in it.

    centres: the men listed C, who stood nearest u = 0 first.
    """
    men = [
        p
        for p, at in protectors.items()
        if (p in linemen or any(span(at, r) <= rules["engage"] for r in rushers.values()))
        and at[1] >= -3.0
        and span(at, passer) > 0.05
        and abs(bearing(at, passer)) <= 135.0
    ]
    if not men:
        return None
    men = attached(men, protectors, choose_centre(men, protectors, linemen, centres), rules["detach"])
    by_distance = sorted(men, key=lambda p: (span(protectors[p], passer), p))
    seen: list[str] = []
    for man in by_distance:
        if all(abs(bearing(protectors[man], passer) - bearing(protectors[other], passer)) > 1e-9 for other in seen):
            seen.append(man)
    seen.sort(key=lambda p: bearing(protectors[p], passer))
    return Wall(
        men=seen,
        centre=choose_centre(seen, protectors, linemen, centres),
        left=min(seen, key=lambda p: (protectors[p][0], p)),
        right=min(seen, key=lambda p: (-protectors[p][0], p)),
    )


LEFT_CORNER, RIGHT_CORNER = "left rear corner", "right rear corner"


def build_polygon(passer: np.ndarray, wall: Wall, spots: Spots, cushion: float) -> list[tuple[str, np.ndarray]]:
    """(who, point) of the wall and the two rear corners, in bearing order round the passer."""
    rear = max([passer[1]] + [spots[p][1] for p in wall.men]) + cushion
    points = [(p, spots[p]) for p in wall.men]
    points.append((LEFT_CORNER, np.array([spots[wall.left][0], rear])))
    points.append((RIGHT_CORNER, np.array([spots[wall.right][0], rear])))
    return sorted(points, key=lambda item: bearing(item[1], passer))


def encloses(passer: np.ndarray, wall: Wall, spots: Spots, polygon: list[tuple[str, np.ndarray]]) -> bool:
    """Three or more men, the passer strictly between the outermost, no two neighbours 180 degrees or more apart."""
    if len(wall.men) < 3 or not spots[wall.left][0] < passer[0] < spots[wall.right][0]:
        return False
    turn = [bearing(point, passer) for _, point in polygon]
    gaps = np.diff([*turn, turn[0] + 360.0])
    return bool(np.all(gaps < 180.0))


def room(polygon: Polygon, passer: np.ndarray, rushers: Spots) -> float:
    """Area of the part of the polygon nearer to the passer than to any rusher, sq yd."""
    left = polygon
    for at in rushers.values():
        away = at - passer
        length = float(np.hypot(*away))
        if length == 0.0:
            return 0.0
        along = away / length
        across = np.array([-along[1], along[0]])
        middle = (at + passer) / 2
        half_plane = Polygon(
            [
                middle + FAR * across,
                middle - FAR * across,
                middle - FAR * across - FAR * along,
                middle + FAR * across - FAR * along,
            ]
        )
        left = left.intersection(half_plane)
    return float(left.area)


def figures(
    passer: np.ndarray, wall: Wall, spots: Spots, points: list[tuple[str, np.ndarray]], rushers: Spots
) -> dict[str, object]:
    """Pocket figures of an ok frame."""
    polygon = Polygon([point for _, point in points])
    upfield = LineString([passer, passer + np.array([0.0, -FAR])])
    return {
        "pocket_width": float(spots[wall.right][0] - spots[wall.left][0]),
        "wall_left": wall.left,
        "wall_right": wall.right,
        "pocket_depth": float(upfield.intersection(polygon).length),
        "pocket_area": float(polygon.area),
        "passer_room": room(polygon, passer, rushers),
    }


def in_polygon(points: list[tuple[str, np.ndarray]], spot: np.ndarray) -> bool:
    return bool(Point(spot).covered_by(Polygon([point for _, point in points])))
