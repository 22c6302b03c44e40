"""Charts as inline SVG: points over drop depth, where short edges opened, reps laid together at contact."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from ..base.rows import stretches
from ..base.text import plural
from ..measures.splits import DEPTHS
from ..tell.openings import Opening, line_at_snap, spread
from ..tell.scene import Scene
from .html import Html, el, together

if TYPE_CHECKING:
    from ..measures.results import Measures


CELL, LEVELS = 0.25, 8  # yd, and shades of the heat


@dataclass(frozen=True)
class Point:
    x: float
    y: float
    filled: bool
    says: str


def scatter(points: Sequence[Point], title: str, across: str, along: str, note: str) -> Html:
    """Points over drop depth in yd, with the median of each band of depths as a bar, and how many it holds."""
    wide, high, left, right, top, bottom = 460, 300, 46, 10, 14, 44
    x_low, x_high = math.floor(min((p.x for p in points), default=4)), math.ceil(max((p.x for p in points), default=11))
    most = max((p.y for p in points), default=1.0)
    step = next(step for step in (0.1, 0.2, 0.25, 0.5, 1, 2, 5, 10, 1e9) if most / step <= 6)
    y_high = max(step * math.ceil(1.1 * most / step), step)

    def x(value: float) -> float:
        return left + (wide - left - right) * (value - x_low) / max(x_high - x_low, 1)

    def y(value: float) -> float:
        return high - bottom - (high - bottom - top) * value / y_high

    parts = [el("rect", x=left, y=top, width=wide - left - right, height=high - top - bottom, class_="rp-sheet")]
    for k in range(round(y_high / step) + 1):
        parts.append(_line(left, y(k * step), wide - right, y(k * step), "rp-faint"))
        parts.append(_text(left - 6, y(k * step) + 4, f"{k * step:g}", "end"))
    for tick in range(x_low, x_high + 1):
        parts.append(_line(x(tick), y(0), x(tick), y(0) + 4, "rp-axis"))
        parts.append(_text(x(tick), y(0) + 17, str(tick), "middle"))
    parts += [_line(left, y(0), wide - right, y(0), "rp-axis"), _text(wide - right, high - 6, across, "end")]
    edges = [*DEPTHS.values(), math.inf]
    for low, up in pairwise(edges):
        inside = [p for p in points if low - 1e-9 <= p.x < up - 1e-9]
        if inside:
            start, end = x(max(low, x_low)), x(min(up, x_high))
            middle = float(np.median([p.y for p in inside]))
            parts.append(_line(start + 2, y(middle), end - 2, y(middle), "rp-median"))
            parts.append(_text((start + end) / 2, top + 11, plural(len(inside), "play"), "middle", "rp-small"))
    for p in points:
        dot = el("title", p.says)
        parts.append(
            el("circle", dot, cx=f"{x(p.x):.1f}", cy=f"{y(p.y):.1f}", r=4, class_="rp-under" if p.filled else "rp-back")
        )
    drawn = el(
        "svg", *parts, viewBox=f"0 0 {wide} {high}", class_="rp-chart", role="img", aria_label=f"{title}. {note}"
    )
    return el("figure", el("figcaption", title), el("p", along, class_="rp-note"), drawn)


def opened(measures: Sequence[Measures], found: Sequence[Opening]) -> Html:
    """Where the men who set the edge stood while it was short: shade, and a ring where it opened."""
    scale, left, top, wide, high = 26.0, -9.0, -2.0, 18.0, 13.0

    def x(u: float) -> float:
        return (u - left) * scale

    def y(v: float) -> float:
        return (v - top) * scale

    us, vs = (np.arange(start, start + length, CELL) + CELL / 2 for start, length in ((left, wide), (top, high)))
    density = sum((spread(one, us, vs) for one in found), np.zeros((len(vs), len(us))))
    level = np.ceil(density / max(float(density.max()), 1e-9) * LEVELS - 0.25).astype(int)
    parts = [el("rect", x=0, y=0, width=wide * scale, height=high * scale, class_="rp-sheet")]
    for shade in range(1, LEVELS + 1):
        path = "".join(
            f"M{x(us[start] - CELL / 2):g} {y(vs[row] - CELL / 2):g}h{(end - start) * CELL * scale:g}v{CELL * scale:g}"
            f"h{(start - end) * CELL * scale:g}z"
            for row in range(len(vs))
            for start, end in stretches(level[row] == shade)
        )
        if path:
            parts.append(el("path", d=path, class_="rp-heat", fill_opacity=f"{0.85 * shade / LEVELS:.2f}"))
    for v in (5, 10):
        parts += [_line(0, y(v), wide * scale, y(v), "rp-faint"), _text(4, y(v) - 3, f"{v} yd", "start", "rp-small")]
    parts += [
        _line(0, y(0), wide * scale, y(0), "rp-axis"),
        _text(4, y(0) - 4, "line of scrimmage", "start", "rp-small"),
    ]
    for name, (u, v) in line_at_snap(measures).items():
        parts.append(el("circle", cx=f"{x(u):.1f}", cy=f"{y(v):.1f}", r=11, class_="rp-man"))
        parts.append(_text(x(u), y(0) - 5, name, "middle", "rp-small rp-quiet"))  # where no ring covers it
    for one in found:
        u, v = one.path[0]
        parts.append(
            el(
                "circle",
                el("title", f"{one.play}, {one.side}, {one.man}"),
                cx=f"{x(u):.1f}",
                cy=f"{y(v):.1f}",
                r=4.5,
                class_="rp-ring",
            )
        )
    seconds = float(sum(one.seconds.sum() for one in found))
    title = f"{len(found)} openings in {len({one.play for one in found})} plays, {seconds:.1f} s in all"
    note = "Shade: where the man who set the edge stood while it was short. Ring: where it opened."
    drawn = el(
        "svg",
        *parts,
        viewBox=f"0 0 {wide * scale:.0f} {high * scale:.0f}",
        class_="rp-chart",
        role="img",
        aria_label=f"{title}. {note}",
    )
    return el("figure", el("figcaption", title), el("p", note, class_="rp-note"), drawn)


def laid_together(m: Measures, rows: Sequence[Mapping[str, Any]], names_game: bool = False) -> list[Html]:
    """A small figure a rep: the protector's path and his rusher's, with the protector at the cross at first contact."""
    of = f"{m.game_name}, " if names_game else ""
    return [el("li", _rep(m, row, of)) for row in rows if not math.isnan(row["contact_time"])]


def _rep(m: Measures, row: Mapping[str, Any], of: str) -> Html:
    scene = Scene(m, row["play"])
    his, other = scene.code[row["protector"]], scene.code[row["rusher"]]
    contact, until = scene.nearest(row["contact_time"]), scene.last(row["end"]) + 1
    until = max(until, contact + 1)
    center = scene.place[contact, his]
    wide, scale = 150.0, 21.0

    def path(points: Any, name: str) -> Html:
        at = [f"{wide / 2 + scale * u:.0f},{52 + scale * v:.0f}" for u, v in points - center if not math.isnan(u)]
        return el("polyline", points=" ".join(at), class_=name)

    passer = scene.place[until - 1, scene.passer]
    parts = [el("rect", x=0, y=0, width=150, height=150, class_="rp-sheet")]
    line = 52 - scale * center[1]
    if line > 0:
        parts.append(_line(0, line, wide, line, "rp-axis"))
    parts.append(path(np.stack([scene.place[until - 1, other], passer]), "rp-way"))
    parts.append(path(scene.place[:until, his], "rp-his"))
    parts.append(path(scene.place[:until, other], "rp-rusher"))
    for man in (his, other):
        u, v = (scene.place[until - 1, man] - center) * scale
        if not math.isnan(u):
            parts.append(el("circle", cx=f"{wide / 2 + u:.0f}", cy=f"{52 + v:.0f}", r=3, class_="rp-dot"))
    parts += [_line(69, 52, 81, 52, "rp-axis"), _line(75, 46, 75, 58, "rp-axis")]
    ended = {"beat": "beaten", "driven": "driven"}.get(row["outcome"], row["outcome"])
    side = f" {row['beat_side']}" if row["outcome"] == "beat" and row["beat_side"] else ""
    technique = f", {row['technique']}" if row["technique"] else ""
    how = el("span" if row["outcome"] == "held" else "b", ended + side, class_="rp-ended")
    caption = together([el("span", f"{of}{row['play']}{technique}"), how])
    label = f"{of}{row['play']}: {ended}{side}"
    drawn = el("svg", *parts, viewBox="0 0 150 150", class_="rp-chart", role="img", aria_label=label)
    return el("figure", drawn, el("figcaption", caption))


def small(m: Measures, row: Mapping[str, Any], time: float, called: Callable[[str], str]) -> Html:
    """One moment of one rep as a small picture, for paper: its two men with the rusher's ways, all else faintly.
    called: what a player is called."""
    scene = Scene(m, row["play"])
    k = scene.nearest(time)
    wide, high, margin = 200.0, 145.0, 1.4
    two = [scene.code[name] for name in (row["protector"], row["rusher"]) if name]
    place = scene.place[k]
    near = place[[*two, scene.passer]]
    near = near[~np.isnan(near[:, 0])]
    if not len(near):
        near = np.array([[0.0, 0.0]])
    (left, top), (right, bottom) = near.min(axis=0) - margin, near.max(axis=0) + margin
    scale = min(wide / max(right - left, 8.6), high / max(bottom - top, 6.2))
    center = (left + right) / 2, (top + bottom) / 2

    def at(point: Any) -> tuple[float, float]:
        return wide / 2 + scale * (point[0] - center[0]), high / 2 + scale * (point[1] - center[1])

    def path(points: Any) -> str:
        return " ".join("{:.1f},{:.1f}".format(*at(point)) for point in points)

    parts = [el("rect", x=0, y=0, width=wide, height=high, class_="rp-sheet")]
    line = at((0.0, 0.0))[1]
    if 0 < line < high:
        parts.append(_line(0, line, wide, line, "rp-axis"))
    ring = scene.pocket(k)[1]
    if len(ring):
        parts.append(el("polygon", points=path(ring), class_="rp-pocket"))
    stands = scene.stands(k, row["rusher"]) if row["rusher"] else None
    has = stands is not None and (stands.man == scene.code[row["protector"]] if row["protector"] else stands.man < 0)
    ways: list[list[tuple[float, float]]] = []
    if stands is not None and has and scene.passer >= 0:
        for which in ("inside", "outside"):
            points = stands.points(which, place[scene.passer])
            if len(points):
                ways.append([at(point) for point in points])
                parts.append(el("polyline", points=path(points), class_=f"rp-go rp-{which}"))
    radius = max(0.37 * scale, 5.0)
    order = sorted(range(len(scene.play.men)), key=lambda i: i in two or i == scene.passer)
    texts = []
    for i in order:
        man = scene.play.men[i]
        x, y = at(place[i])
        if math.isnan(x) or not (radius < x < wide - radius and radius < y < high - radius):
            continue
        faint = "" if i in two or i == scene.passer else " rp-dim"
        if man.unit == "offense":
            name = "rp-passer" if i == scene.passer else "rp-him" if i in two else "rp-o"
            parts.append(el("circle", cx=f"{x:.1f}", cy=f"{y:.1f}", r=f"{radius:.1f}", class_=f"{name}{faint}"))
        else:
            a = 0.75 * radius
            cross = f"M{x - a:.1f},{y - a:.1f}l{2 * a:.1f},{2 * a:.1f}m0,{-2 * a:.1f}l{-2 * a:.1f},{2 * a:.1f}"
            parts.append(el("path", d=cross, class_=f"rp-x{faint}"))
        if i in two:
            texts.append((i, x, y))
    marks = [at(place[i]) for i in order]
    for i, x, y in texts:
        label = called(scene.play.men[i].player)
        cx, cy = _clear((x, y), radius, 6.4 * len(label) + 2, (wide, high), marks, ways)
        parts.append(_text(cx, cy + 4, label, "middle", "rp-small rp-strong rp-halo"))
        marks.append((cx, cy))
    names = " on ".join(called(scene.play.men[i].player) for i in two)
    drawn = el(
        "svg",
        *parts,
        viewBox=f"0 0 {wide:.0f} {high:.0f}",
        class_="rp-chart",
        role="img",
        aria_label=f"{row['play']}, {names}, {scene.time[k]:.1f} s after the snap",
    )
    return drawn


def _clear(
    man: tuple[float, float],
    radius: float,
    long: float,
    size: tuple[float, float],
    marks: Sequence[tuple[float, float]],
    ways: Sequence[Sequence[tuple[float, float]]],
) -> tuple[float, float]:
    """The middle of a name of that length beside a man, px: of eight places round him the first with 4 px to all marks
    and ways, else that with the most."""
    (x, y), (wide, high) = man, size
    lined = [
        (a[0] + (b[0] - a[0]) * k / 24, a[1] + (b[1] - a[1]) * k / 24)
        for way in ways
        for a, b in pairwise(way)
        for k in range(25)
    ]
    across, down = radius + long / 2 + 1, radius + 7

    def room(middle: tuple[float, float]) -> float:
        def away(other: tuple[float, float], about: float) -> float:
            dx, dy = abs(other[0] - middle[0]) - long / 2, abs(other[1] - middle[1]) - 5.5
            return math.hypot(max(dx, 0.0), max(dy, 0.0)) - about

        clear = [away(other, radius) for other in marks if not math.isnan(other[0])] + [away(o, 1.0) for o in lined]
        return min(4.0, *clear)

    tries = [(x + a * across, y + b * down) for a, b in ((0, -1), (0, 1), (1, 0), (-1, 0))]
    tries += [(x + a * across, y + b * down) for a in (0.8, -0.8) for b in (-0.8, 0.8)]
    inside = [one for one in tries if long / 2 <= one[0] <= wide - long / 2 and 6 <= one[1] <= high - 6]
    return max(inside or tries, key=room)


def picture_of_words(reach: float) -> Html:
    """A drawing of no play: where the fifteen words are. Numbers are those of the list beside it."""
    s = 34.0  # px a yard
    men = {"LT": (-3.6, 3.0), "LG": (-1.6, 1.7), "C": (0.0, 1.5), "RG": (1.7, 1.8), "RT": (3.3, 3.2)}
    rush = {"e": (-4.2, 3.9), "b": (-0.9, 0.9), "n": (1.9, 1.1), "r": (4.35, 3.5)}
    passer = (0.0, 6.6)
    left, top, wide, high = -5.6, -0.6, 11.2, 9.2

    def x(u: float) -> float:
        return (u - left) * s

    def y(v: float) -> float:
        return (v - top) * s

    def points(*of: tuple[float, float]) -> str:
        return " ".join(f"{x(u):.1f},{y(v):.1f}" for u, v in of)

    wall = [men[name] for name in ("LT", "LG", "C", "RG", "RT")]
    ring = [*wall, (3.3, 7.4), (-3.6, 7.4)]
    parts = [
        el("rect", x=0, y=0, width=wide * s, height=high * s, class_="rp-sheet"),
        _line(0, y(0), wide * s, y(0), "rp-axis"),
        el("polygon", points=points(*ring), class_="rp-pocket"),
        el("polyline", points=points(*wall), class_="rp-wall"),
        el("circle", cx=x(3.3), cy=y(3.2), r=reach * s, class_="rp-disc"),
        el("polyline", points=points(rush["r"], passer), class_="rp-way"),
        el(
            "path",
            d=f"M{x(4.35):.0f},{y(3.5):.0f}L{x(4.36):.0f},{y(3.35):.0f}A{reach * s:.0f},{reach * s:.0f},0,0,1,"
            f"{x(3.95):.0f},{y(4.03):.0f}L{x(0):.0f},{y(6.6):.0f}",
            class_="rp-go rp-outside",
        ),
        _line(x(-3.6), y(8.0), x(3.3), y(8.0), "rp-axis"),
        _line(x(0), y(6.6), x(0), y(1.9), "rp-axis"),
    ]
    for name, (u, v) in men.items():
        parts += [
            el("circle", cx=f"{x(u):.1f}", cy=f"{y(v):.1f}", r=12, class_="rp-o"),
            _text(x(u), y(v) + 4, name, "middle", "rp-small rp-strong"),
        ]
    parts.append(el("circle", cx=x(0), cy=f"{y(6.6):.1f}", r=12, class_="rp-passer"))
    for u, v in rush.values():
        parts.append(el("path", d=f"M{x(u) - 7:.1f},{y(v) - 7:.1f}l14,14m0,-14l-14,14", class_="rp-x"))
    for number, u, v in (
        (1, -2.4, 6.9),
        (2, -2.0, 8.0),
        (3, 0.0, 4.2),
        (4, 4.9, 2.6),
        (5, 3.6, 2.55),
        (6, 3.15, 3.95),
        (7, 2.2, 5.6),
        (8, 4.95, 3.9),
        (9, -4.85, 4.2),
        (10, -0.9, 1.75),
        (11, 0.75, 7.2),
        (12, -0.95, 5.9),
        (13, -2.4, 1.4),
        (14, 1.9, 0.45),
    ):
        parts += [
            el("circle", cx=f"{x(u):.1f}", cy=f"{y(v):.1f}", r=8.5, class_="rp-note-of"),
            _text(x(u), y(v) + 4, str(number), "middle", "rp-small rp-strong"),
        ]
    drawn = el(
        "svg",
        *parts,
        viewBox=f"0 0 {wide * s:.0f} {high * s:.0f}",
        class_="rp-chart",
        role="img",
        aria_label="A pocket of five men against four rushers, drawn by hand, with the words' numbers where they are",
    )
    return el("figure", drawn, el("figcaption", "A made picture, no play. The numbers are those of the list."))


def _line(x1: float, y1: float, x2: float, y2: float, name: str) -> Html:
    return el("line", x1=f"{x1:.1f}", y1=f"{y1:.1f}", x2=f"{x2:.1f}", y2=f"{y2:.1f}", class_=name)


def _text(x: float, y: float, text: str, anchor: str, name: str | None = None) -> Html:
    return el("text", text, x=f"{x:.1f}", y=f"{y:.1f}", text_anchor=anchor, class_=name)
