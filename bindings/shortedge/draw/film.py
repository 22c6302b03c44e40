"""A play as moving pictures: MP4 by ffmpeg, GIF by Pillow.

Only what moves is drawn again in each frame, on a copy of what stands still. The frames are the measured ones, each
shown as long as it lasted: nothing between them is made up.
"""

from __future__ import annotations

import errno
import math
import os
import signal
import subprocess
from collections.abc import Iterator
from numbers import Real
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.patches import Circle, Polygon, Rectangle

from .._core import InputError
from ..base.files import in_place, place_of
from ..base.rows import seconds_of
from ..base.text import first_line, shown
from ..base.vocabulary import SIDES
from ..film.pictures import ffmpeg_path
from ..tell.labels import CAUTION, Vector, cut_short, text_of
from ..tell.scene import Scene
from .paper import exposure_key, page, quiet, sheet_axes
from .pen import MAN, Pen
from .style import CARD, EXPOSURE, FAINT, FONT, INK, MUTED, PAPER, POCKET, WALL, Drawing

if TYPE_CHECKING:
    from ..measures.results import Measures

Image = npt.NDArray[np.uint8]

ENDS = (".mp4", ".gif")
SIZE, DPI = (9.6, 7.2), 100  # inches; 960 x 720 pixels
FILM_RATE = 30  # frames a second of an MP4
PANELS = ("left", "inside", "right")
NO_FFMPEG = (
    "an .mp4 needs ffmpeg, on the PATH or from pip install 'shortedge[video]'; accepted without it: a name that ends "
    "in .gif"
)


def animate(m: Measures, play: str, out: str | os.PathLike[str], speed: float = 1.0) -> None:
    """Writes a play as .mp4 or .gif; `speed` 0.5 is half as fast as it was.

    .mp4 needs ffmpeg, on the PATH or from the package imageio-ffmpeg (the extra `video`). What stood there before is
    whole until the new file is. InputError for another ending, a speed that is not positive, an unknown play, or
    without ffmpeg; FileError when it cannot be written.
    """
    target = Path(out)
    kind = target.suffix.lower()
    if kind not in ENDS:
        raise InputError(f"out is {shown(str(out))}; accepted: a name that ends in {', '.join(ENDS)}")
    if not isinstance(speed, Real) or not 0.01 <= speed <= 100:
        raise InputError(f"speed is {shown(speed)}; accepted: 0.01 to 100, 1 for as it was")
    place_of(target, m.sources)
    film = _Film(Scene(m, play))
    lasts = seconds_of(film.scene.time) / float(speed)
    ffmpeg = ffmpeg_path(NO_FFMPEG) if kind == ".mp4" else ""
    with in_place(target, inputs=m.sources) as made:
        if ffmpeg:
            write_mp4(ffmpeg, made, film.images(), lasts)
        else:
            write_gif(made, film.images(), lasts)


def write_mp4(ffmpeg: str, path: Path, images: Iterator[Image], lasts: Vector) -> None:
    """Each image as often as it lasts at the film's rate, so that the whole is never off by a film frame."""
    ends = np.rint(np.cumsum(lasts) * FILM_RATE).astype(int)

    def pictures() -> Iterator[Image]:
        shown_until = 0
        for image, end in zip(images, ends.tolist(), strict=True):
            yield from (image for _ in range(end - shown_until))
            shown_until = max(end, shown_until)

    encode(ffmpeg, path, pictures(), (int(SIZE[0] * DPI), int(SIZE[1] * DPI)), str(FILM_RATE), ["-crf", "20"])


def encode(
    ffmpeg: str, path: Path, pictures: Iterator[Image], size: tuple[int, int], rate: str, how: list[str]
) -> None:
    """Writes pictures of one size as .mp4. OSError with ffmpeg's words when it is not whole: on a full disk ffmpeg ends
    with 0, so any word of an error counts."""
    form = ["-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{size[0]}x{size[1]}", "-r", rate, "-i", "-"]
    to = ["-an", "-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", *how, "-movflags", "+faststart"]
    command = [ffmpeg, "-y", "-xerror", "-loglevel", "error", *form, *to, str(path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.PIPE) as run:
        assert run.stdin is not None
        assert run.stderr is not None
        try:
            for picture in pictures:
                run.stdin.write(np.ascontiguousarray(picture).tobytes())
            run.stdin.close()
        except BrokenPipeError:
            pass
        said = run.stderr.read().decode(errors="replace").strip()
    full = os.strerror(errno.ENOSPC)
    if run.returncode or said:
        ended = signal.strsignal(-run.returncode) if run.returncode < 0 else f"ended with {run.returncode}"
        why = full if full in said else first_line(RuntimeError(said or str(ended)))
        raise OSError(f"ffmpeg: {why}")


def write_gif(path: Path, images: Iterator[Image], lasts: Vector) -> None:
    """One palette for all, hundredths of a second each."""
    from PIL import Image as Pillow

    ends = np.rint(np.cumsum(lasts) * 100).astype(int)
    steps = np.maximum(np.diff(ends, prepend=0), 2) * 10  # ms; shorter ones are not kept to by those who show them
    pictures = [Pillow.fromarray(image) for image in images]
    palette = pictures[len(pictures) // 2].quantize(64, dither=Pillow.Dither.NONE)
    drawn = [picture.quantize(palette=palette, dither=Pillow.Dither.NONE) for picture in pictures]
    drawn[0].save(
        path, save_all=True, append_images=drawn[1:], duration=steps.tolist(), loop=0, optimize=False, disposal=1
    )


class _Film:
    """The picture of one play, redrawn for every frame."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.figure = Drawing(figsize=SIZE, dpi=DPI, facecolor=PAPER)
        self.canvas: Any = FigureCanvasAgg(self.figure)
        self.pockets = [scene.pocket(k) for k in range(len(scene.time))]
        self.moving: list[Any] = []
        self.still()
        self.movers()

    def images(self) -> Iterator[Image]:
        """(height, width, 3), a frame each."""
        for artist in self.moving:
            artist.set_animated(True)
        self.canvas.draw()
        background = self.canvas.copy_from_bbox(self.figure.bbox)
        for k in range(len(self.scene.time)):
            self.canvas.restore_region(background)
            self.at(k)
            for artist in sorted(self.moving, key=lambda one: one.get_zorder()):
                self.figure.draw_artist(artist)
            yield np.asarray(self.canvas.buffer_rgba())[:, :, :3].copy()

    def still(self) -> None:
        scene, play = self.scene, self.scene.play
        page(self.figure, 0.03, 0.948, f"Play {cut_short(play.id, 40)}", size=15, weight="bold")
        page(self.figure, 0.03, 0.012, "  ".join(CAUTION), size=8, style="italic")
        exposure_key(self.figure, (0.79, 0.957, 0.18, 0.012))
        near = [i for i, man in enumerate(play.men) if man.role != "other"]
        places = scene.place[:, near].reshape(-1, 2)
        places = places[np.abs(places[:, 0]) < 14]
        box = (0.03, 0.3, 0.94, 0.585)
        ratio = box[3] * SIZE[1] / (box[2] * SIZE[0])
        left, right = float(np.nanmin(places[:, 0])) - 1.2, float(np.nanmax(places[:, 0])) + 1.2
        top, bottom = max(float(np.nanmin(places[:, 1])), -4.0) - 0.8, min(float(np.nanmax(places[:, 1])), 13.0) + 1.4
        across = max(right - left, (bottom - top) / ratio)
        middle = (left + right) / 2
        bottom = top + across * ratio
        self.field = sheet_axes(self.figure, box, (middle - across / 2, middle + across / 2), (bottom, top))
        self.pen = Pen(self.field, box[2] * SIZE[0] * 72 / across)
        for v in range(math.ceil(top), math.floor(bottom) + 1):
            if v % 5 == 0 and v:
                self.pen.line([(middle - across / 2, v), (middle + across / 2, v)], color=FAINT, width=0.9, z=0)
                self.field.text(
                    middle - across / 2 + 0.15, v, f"{v} yd", fontsize=7.5, color=MUTED, va="bottom", fontfamily=FONT
                )
        self.pen.line([(middle - across / 2, 0), (middle + across / 2, 0)], color=INK, width=1.6, z=1)
        self.timelines()

    def timelines(self) -> None:
        scene = self.scene
        self.cursors = []
        for n, side in enumerate(PANELS):
            panel = self.figure.add_axes((0.06 + 0.314 * n, 0.095, 0.275, 0.135), facecolor=CARD)
            quiet(panel)
            values = np.array([row[f"exposure_{side}"] for row in scene.frames], float)
            for k in range(len(values) - 1):
                if not math.isnan(values[k] + values[k + 1]):
                    color = EXPOSURE((values[k] + values[k + 1]) / 2)
                    panel.fill_between(scene.time[k : k + 2], 0, values[k : k + 2], color=color, linewidth=0.4)
            panel.plot(scene.time, values, color=INK, linewidth=1.2)
            panel.set(xlim=(scene.time[0], scene.time[-1]), ylim=(0, 1), yticks=[0, 0.5, 1])
            if not math.isnan(scene.play.throw_time):
                panel.axvline(scene.play.throw_time, color=MUTED, linewidth=0.8, linestyle=(0, (4, 3)))
            title = f"exposure {side}"
            page(self.figure, 0.06 + 0.314 * n, 0.236, title, size=8.5, weight="bold")
            self.cursors.append(panel.axvline(0, color=INK, linewidth=1.4, zorder=9))
            self.moving.append(self.cursors[-1])

    def movers(self) -> None:
        """Everything that moves: made once, and put in its place by `at`."""
        pen, scene = self.pen, self.scene
        self.ring = Polygon(np.zeros((1, 2)), closed=True, facecolor=POCKET, edgecolor=WALL, linewidth=0.8, zorder=1.5)
        self.field.add_patch(self.ring)
        (self.wall,) = self.field.plot([], [], color=WALL, linewidth=2.2, zorder=2)
        self.ways = {side: self.field.plot([], [], linewidth=3, solid_capstyle="round", zorder=4)[0] for side in SIDES}
        self.men: list[tuple[int, Any, Any]] = []
        for i, man in enumerate(scene.play.men):
            color = MUTED if man.role == "other" else INK
            mark: Any
            if man.unit == "defense":
                (mark,) = self.field.plot([], [], marker="x", markersize=9, markeredgewidth=2.0, color=color, zorder=6)
            else:
                face = INK if man.role == "passer" else CARD
                shape = Rectangle((0, 0), 1.8 * MAN, 1.8 * MAN) if man.slot == "C" else Circle((0, 0), MAN)
                shape.set(facecolor=face, edgecolor=color, linewidth=1.5, zorder=5)
                mark = self.field.add_patch(shape)
            inside = man.unit == "offense" and len(scene.label[i]) <= 2
            size = min(8.0, 0.62 * pen.scale * MAN) if inside else 7.5
            name = self.field.text(
                0,
                0,
                scene.label[i],
                fontsize=size,
                fontfamily=FONT,
                fontweight="bold" if man.role != "other" else "normal",
                ha="center",
                va="center_baseline" if inside else "bottom",
                color=CARD if man.role == "passer" else color,
                zorder=7,
                clip_on=True,
                parse_math=False,
            )
            self.men.append((i, mark, name))
            self.moving += [mark, name]
        self.clock = page(self.figure, 0.03, 0.918, "", size=10.5)
        self.moving += [self.ring, self.wall, *self.ways.values(), self.clock]

    def at(self, k: int) -> None:
        """Puts everything where it is in frame k."""
        scene, (wall, ring) = self.scene, self.pockets[k]
        self.ring.set_visible(len(ring) > 0)
        if len(ring):
            self.ring.set_xy(ring)
        self.wall.set_data(*scene.place[k, wall].T)
        for line in self.ways.values():
            line.set_data([], [])
        for edge in scene.edges[scene.frames[k]["time"]]:
            if text_of(edge["rusher"]):
                line = self.ways[edge["side"]]
                line.set_data(*scene.way_of_edge(k, edge).T)
                line.set_color(EXPOSURE(float(edge["exposure"])))
        for i, mark, name in self.men:
            self.put(mark, name, i, k)
        for cursor in self.cursors:
            cursor.set_xdata([scene.time[k]] * 2)
        self.clock.set_text(self.said(k))

    def put(self, mark: Any, name: Any, i: int, k: int) -> None:
        place, man = self.scene.place[k, i], self.scene.play.men[i]
        seen = not np.isnan(place[0]) and self.pen.holds(place, 0.3)
        for artist in (mark, name):
            artist.set_visible(seen)
        if not seen:
            return
        if man.unit == "defense":
            active = self.scene.active(i, k)
            mark.set_data([place[0]], [place[1]])
            mark.set_color(INK if active else MUTED)
            name.set_color(INK if active else MUTED)
            name.set_position((place[0], place[1] - MAN))
            return
        if isinstance(mark, Circle):
            mark.set_center((place[0], place[1]))
        else:
            mark.set_xy((place[0] - 0.9 * MAN, place[1] - 0.9 * MAN))
        inside = len(self.scene.label[i]) <= 2
        name.set_position((place[0], place[1] if inside else place[1] - MAN))

    def said(self, k: int) -> str:
        row, play = self.scene.frames[k], self.scene.play
        text = f"{self.scene.time[k]:.2f} s"
        if row["status"] == "ok":
            text += f"   ·   pocket {row['pocket_width']:.1f} yd wide, {row['pocket_depth']:.1f} deep"
        else:
            text += f"   ·   pocket {row['status']}"
        thrown = not math.isnan(play.throw_time) and self.scene.time[k] >= play.throw_time - 1e-6
        return text + ("   ·   thrown" if thrown else "")
