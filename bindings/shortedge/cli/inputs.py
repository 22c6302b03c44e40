"""What the commands are given beside games: settings and numbers, and where tables and pictures are to go."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any, Literal

import numpy as np

from .._core import InputError, Rules
from ..base.files import place_of
from ..base.text import shown
from ..game.game import Game
from ..measures.folder import HDF5
from ..measures.reps import Reps
from .terminal import one_line

PICTURES = (".svg", ".png", ".pdf")
PAGE = ".html"
MOST_NUMBERS = 1000  # in a range that is typed


def labels_of(found: Iterable[tuple[str, Game, Reps]]) -> list[str]:
    return sorted({label for _, _, made in found for label in made.labels})


def targets_of(
    games: Sequence[tuple[str, Game]], out: Path, arguments: argparse.Namespace, end: str = ".h5"
) -> list[Path]:
    """Where what is made of each game goes, none on what is read (`keep_apart`); the folder of several is made."""
    sources = [*arguments.read, *(source for _, game in games for source in game.sources)]
    if len(games) == 1:
        place_of(out, sources)
        return [out]
    if out.suffix.lower() in (*HDF5, PAGE):
        raise InputError(f"--out is {shown(out.name)}; accepted for {len(games)} games: a folder")
    targets = [out / f"{stem.strip('/').replace('/', '-')}{end}" for stem, _ in games]
    twice = [name for name, count in Counter(targets).items() if count > 1]
    if twice:
        raise InputError(f"two inputs would both be written to {twice[0]}; accepted: files of different names")
    for target in targets:
        place_of(target, sources)
    out.mkdir(parents=True, exist_ok=True)
    return targets


# ----------------------------------------------------------------------------------------- settings and pictures


def rules_of(settings: Iterable[str]) -> Rules:
    return Rules(**settings_of(settings, "RULE=NUMBER, such as reach=1.1"))


def settings_of(settings: Iterable[str], accepted: str) -> dict[str, float]:
    """Numbers by name as they are typed: reach=1.1."""
    given: dict[str, float] = {}
    for setting in settings:
        name, _, value = setting.partition("=")
        try:
            given[name] = float(value)
        except ValueError:
            raise InputError(f"--set: found {shown(setting)}; accepted: {accepted}") from None
    return given


def noise_of(text: str | None) -> float | Literal["auto", "tracks"] | None:
    """Noise as it is typed: yd per axis, auto or tracks."""
    if text is None:
        return None
    if text == "auto" or text == "tracks":
        return "auto" if text == "auto" else "tracks"
    try:
        return float(text)
    except ValueError:
        raise InputError(f"--noise: found {shown(text)}; accepted: yd per axis, auto, tracks") from None


def numbers_of(name: str, text: str | None) -> list[float] | None:
    """Numbers as they are typed: 5,7,9,10 or first:last:step, the last one included."""
    if text is None:
        return None
    try:
        parts = [float(part) for part in text.split(":" if ":" in text else ",")]
    except ValueError:
        parts = []
    if ":" not in text and parts:
        return parts
    if len(parts) == 3 and np.isfinite(parts).all():
        first, last, step = parts
        if step > 0 and last >= first and (last - first) / step < MOST_NUMBERS:
            return [first + k * step for k in range(int((last - first) / step + 1e-9) + 1)]
    raise InputError(
        f"{name}: found {shown(text)}; accepted: numbers such as 5,7,9,10, or first:last:step, as 5:12:0.5"
    )


def picture_path(path: str, accepted: Sequence[str] = PICTURES) -> None:
    if Path(path).suffix.lower() not in accepted:
        raise InputError(f"picture {shown(path)}; accepted: a name that ends in {', '.join(accepted)}")


def save_picture(figure: Any, path: str) -> None:
    picture_path(path)
    figure.savefig(path)
    print(f"picture in {one_line(path)}")


def save_study(study: Any, picture: Callable[[Any], Any], arguments: argparse.Namespace) -> None:
    """Keeps a study's table and its picture where they are asked for."""
    if arguments.table:
        study.save(arguments.table)
        print(f"table in {one_line(arguments.table)}")
    if arguments.out:
        save_picture(picture(study), arguments.out)
