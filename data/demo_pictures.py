"""Draws the demo game's worst short edge and its timeline into the folder given."""

import sys
from pathlib import Path

import shortedge as se
from shortedge import draw

out = Path(sys.argv[1])
m = se.measure(se.example())
play, time, side = draw.worst(m)
m.draw(play, time).savefig(out / "short_edge.png", dpi=150)
m.timeline(play).savefig(out / "timeline.png", dpi=150)
print(f"\nWorst short edge: {side} edge of {play} at {time:.1f} s after the snap.")
for what, name in (("results", "pocket.h5"), ("picture", "short_edge.png"), ("timeline", "timeline.png")):
    print(f"  {what:<8}  {out / name}")
