"""Draws the README's pictures: the demo game's worst short edge, its timeline, six moments of a rep lost on it, and the
two of the depth of a drop."""

import sys
from pathlib import Path

import shortedge as se
from shortedge import draw


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    m = se.measure(se.example())
    play, time, _ = draw.worst(m)
    m.draw(play, time).savefig(folder / "frame.svg")
    m.timeline(play).savefig(folder / "timeline.svg")
    reps = se.reps(m.game, m).table
    lost = reps[(reps.outcome == "beat") & (reps.beat_side == "outside") & reps.ball_out]
    m.sheet(lost.sort_values("short_edge_seconds", kind="stable").iloc[-1]).savefig(folder / "moments.svg")
    se.drop_study(m.game, "P040").draw().savefig(folder / "drops.svg")
    se.break_even_study().draw().savefig(folder / "break_even.svg")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parents[1] / "data" / "pictures")
