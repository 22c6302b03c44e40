"""Make the README's picture of a pocket on film again: one picture of a film drawn by data/make_film.py, clicked as a
hand would click it, measured, and drawn on.

    python data/make_on_film.py [data/pictures/on_film.jpg]

The play is one of the demo game's; nobody in it exists. Only the picture shown is drawn in full; the others of its film
stay green, for no camera is followed here. Needs ffmpeg.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).parent))
import make_film as make

import shortedge as se

PLAY, ANGLE = "P041", "end zone"
AT = 2.1  # s since the snap
EVERY = 9  # pictures between clicked ones
PLACE = np.array([-14.0, 28.0, 13.0])


def main(out: Path) -> None:
    game = make.demo(20240, 60)
    people = {person["player"]: person for person in game.people}
    units = {player: str(person["unit"]) for player, person in people.items()}
    play = make.plays_of(game, [PLAY])[0]
    place = PLACE if play.snap["direction"] > 0 else PLACE * (-1, 1, 1) + (make.LENGTH, 0, 0)
    times = np.arange(-0.3, float(play.times[-1]) - 0.1, 1 / make.FPS)
    passer = next(player for player in play.paths if people[player]["position"] == "QB")
    shots = make.shots_of(play, ANGLE, {ANGLE: place}, times, passer)
    keys = list(range(0, len(times), EVERY))
    shown = min(keys, key=lambda number: abs(float(times[number]) - AT))
    rng = np.random.default_rng(7)
    with tempfile.TemporaryDirectory() as folder:
        green = np.tile(make.GRASS.astype(np.uint8), (make.SIZE[1], make.SIZE[0], 1))
        make.encode(
            Path(folder) / "film.mp4",
            (
                make.picture_of(play, shots[number], units, float(times[number]), rng) if number == shown else green
                for number in range(len(times))
            ),
        )
        trace = se.Trace(Path(folder) / "game.trace", "pro", {ANGLE: make.SIZE}, films={ANGLE: "film.mp4"})
        with trace.together():
            trace.snap(PLAY, play.snap["ball_x"], play.snap["ball_y"], int(play.snap["direction"]))
            trace.event(PLAY, "snap", ANGLE, 0.3)
            for player in play.paths:
                trace.person(player, units[player], people[player]["position"])
            for number in keys:
                at = number / make.FPS
                places, pixels = make.visible_marks(shots[number])
                for row in rng.permutation(len(places))[:8]:
                    x, y = pixels[row] + rng.normal(0, 1, 2)
                    trace.mark(PLAY, ANGLE, at, x, y, *places[row])
                for player in play.paths:
                    man = make.standing(play, player, units[player], float(times[number]))
                    x, y = shots[number].see(make.on_ground(sum(man.feet()) / 2))[0] + rng.normal(0, 2, 2)
                    if 0 < x < make.SIZE[0] and 0 < y < make.SIZE[1]:
                        trace.foot(PLAY, ANGLE, at, player, x, y, at="between")
        trace.close()
        m = se.measure(se.from_trace(Path(folder) / "game.trace"))
        still = Path(folder) / "still.png"
        m.on_film(PLAY, still, trace=Path(folder) / "game.trace", time=float(times[shown]))
        with Image.open(still) as picture:
            picture.convert("RGB").resize((960, 540), Image.Resampling.LANCZOS).save(out, quality=82, optimize=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("pictures") / "on_film.jpg")
