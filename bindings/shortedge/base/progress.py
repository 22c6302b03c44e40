"""How far some work is, and on how many threads."""

from __future__ import annotations

import sys
import time as clock
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Literal

from .._core import InputError
from .text import shown

Progress = Callable[[int, int], object] | Literal[False] | None


def threads_of(threads: int | None) -> int:
    """As the compiled side takes it: 0 for as many as the machine has."""
    if threads is not None and (not isinstance(threads, int) or isinstance(threads, bool) or threads < 1):
        raise InputError(f"threads is {shown(threads)}; accepted: a whole number from 1, None")
    return threads or 0


@contextmanager
def progress_of(progress: Progress, what: str) -> Iterator[Callable[[int, int], object] | None]:
    """What is called with (done, all) of `what`: for None a bar on a terminal, for False nothing."""
    bar = Bar(what) if progress is None and sys.stderr.isatty() else None
    try:
        yield bar or progress or None
    finally:
        if bar:
            bar.clear()


class Bar:
    """A progress bar on stderr, shown when the work has taken two seconds."""

    width = 30

    def __init__(self, what: str = "plays") -> None:
        self.what, self.start, self.drawn = what, clock.monotonic(), False

    def __call__(self, done: int, all: int) -> None:
        if clock.monotonic() - self.start > 2:
            full = self.width * done // max(all, 1)
            sys.stderr.write(f"\r[{'#' * full}{'.' * (self.width - full)}] {done} of {all} {self.what}")
            sys.stderr.flush()
            self.drawn = True

    def clear(self) -> None:
        if self.drawn:
            sys.stderr.write("\r\033[K")
