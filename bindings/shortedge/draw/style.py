"""The house style, and a figure in it."""

from __future__ import annotations

import os
from io import BytesIO
from pathlib import Path
from typing import Any

import matplotlib
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.text import Text

from .._core import FileError, InputError
from ..base.files import in_place
from ..base.text import HIDDEN, shown, visible

PAPER, CARD, INK, MUTED, FAINT = "#f7f4ec", "#fffdf8", "#23282d", "#7b7d7c", "#d6d1c4"
POCKET, WALL = "#dfe7ea", "#3f5a68"
EXPOSURE = LinearSegmentedColormap.from_list("exposure", ["#c9c1b0", "#cf7434", "#7a1f12"])
FONT = "DejaVu Sans"


class Drawing(Figure):
    """A figure that saves the same bytes every time, keeps its text as text in SVG and PDF, and shows in a notebook."""

    def savefig(self, fname: Any, *, transparent: bool | None = None, **given: Any) -> None:
        """As matplotlib's: PNG, SVG or PDF by the name's ending, or by `format`. What stood there is whole until the
        new picture is. FileError when it cannot be written."""
        if isinstance(fname, str | os.PathLike):
            target = Path(fname)
            kind = given.pop("format", None) or target.suffix[1:] or matplotlib.rcParams["savefig.format"]
            if str(kind).lower() not in self.canvas.get_supported_filetypes():
                raise InputError(f"picture {shown(target.name)}; accepted: a name that ends in .png, .svg, .pdf")
            whole = target if target.suffix else target.with_name(f"{target.name}.{kind}")
            if whole.suffix[1:].lower() not in self.canvas.get_supported_filetypes() and whole.exists():
                raise FileError(f"{whole}: stands there and is no picture; it is left as it is: name another")
            with in_place(whole) as made, made.open("wb") as file:
                self.savefig(file, transparent=transparent, format=kind, **given)
            return
        kind = str(given.get("format") or matplotlib.rcParams["savefig.format"]).lower()
        undated = {"svg": {"Date": None}, "pdf": {"CreationDate": None}}.get(kind, {})
        given["metadata"] = {**undated, **(given.get("metadata") or {})}
        given.setdefault("facecolor", PAPER)
        for text in self.findobj(Text):
            lines = text.get_text().split("\n")
            if any(map(HIDDEN.search, lines)):
                text.set_text("\n".join(map(visible, lines)))
        with matplotlib.rc_context({"svg.fonttype": "none", "svg.hashsalt": "shortedge", "pdf.fonttype": 42}):
            super().savefig(fname, transparent=transparent, **given)

    def _repr_png_(self) -> bytes:
        page = BytesIO()
        self.savefig(page, format="png")
        return page.getvalue()
