"""The compiled side of shortedge."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal, TypedDict, final

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[Any]
Floats = npt.NDArray[np.float64]
Table = dict[str, Array]
Kept = list[tuple[str, Any]]  # name and values: float64, int64, or a list of texts with "" for none

METRES_PER_YARD: float
FIELD_LENGTH: float
FIELD_WIDTH: float
__version__: str

class InputError(ValueError): ...
class FileError(OSError): ...

class Column(TypedDict):
    """An output column: its kind, what its names index, its unit, when it is missing, what it says, its words."""

    name: str
    kind: Literal["name", "number", "count", "flag", "word"]
    names: Literal["plays", "players", "labels", ""]  # labels: those of the game's snaps, row by row
    unit: str
    missing: str
    says: str
    words: tuple[str, ...]

class Rules:
    """The rules of measurement that may be changed. Any of them by name; the rest keep their defaults.

    Raises InputError for an unknown name or a value that makes no sense.
    """

    def __init__(
        self,
        *,
        reach: float = ...,
        body: float = ...,
        engage: float = ...,
        meet: float = ...,
        cushion: float = ...,
        detach: float = ...,
        arm: float = ...,
        bow: float = ...,
        horizon: float = ...,
        takeover: float = ...,
        vmax: float = ...,
        tau: float = ...,
        a_lat: float = ...,
        a_brake: float = ...,
    ) -> None: ...
    @property
    def reach(self) -> float: ...
    @property
    def body(self) -> float: ...
    @property
    def engage(self) -> float: ...
    @property
    def meet(self) -> float: ...
    @property
    def cushion(self) -> float: ...
    @property
    def detach(self) -> float: ...
    @property
    def arm(self) -> float: ...
    @property
    def bow(self) -> float: ...
    @property
    def horizon(self) -> float: ...
    @property
    def takeover(self) -> float: ...
    @property
    def vmax(self) -> float: ...
    @property
    def tau(self) -> float: ...
    @property
    def a_lat(self) -> float: ...
    @property
    def a_brake(self) -> float: ...
    def as_dict(self) -> dict[str, float]: ...
    def __eq__(self, other: object, /) -> bool: ...

class Prepared(TypedDict):
    """One play ready to measure; game.Play says what each is."""

    time: Floats
    throw_time: float
    end_time: float
    top_time: float
    filled: int
    player: npt.NDArray[np.int32]
    unit: list[str]
    role: list[str]
    slot: list[str]
    counts_from: npt.NDArray[np.int64]
    place: Floats
    velocity: Floats

@final
class Game:
    """A game as the compiled side holds it; codes are indices into plays and players. Every look gives new arrays."""

    @property
    def name(self) -> str: ...
    @property
    def plays(self) -> list[str]: ...
    @property
    def players(self) -> list[str]: ...
    @property
    def problems(self) -> list[tuple[int, str]]: ...
    @property
    def dropped(self) -> dict[str, int]: ...
    @property
    def measured(self) -> npt.NDArray[np.int64]: ...
    @property
    def tracks(self) -> Table: ...
    @property
    def snaps(self) -> Table: ...
    @property
    def people(self) -> dict[str, Any]: ...
    @property
    def kept_snaps(self) -> Kept: ...
    @property
    def kept_people(self) -> Kept: ...
    def prepare(self, snap_row: int) -> Prepared: ...

class Measured(TypedDict):
    frames: Table
    edges: Table
    rushers: Table

class PocketAt(TypedDict):
    """wall: codes of its men, left to right by bearing; ring: (n, 2) of the polygon in the play frame."""

    wall: npt.NDArray[np.int32]
    ring: Floats

class WayRound(TypedDict):
    length: float
    bend: float
    time: float
    points: Floats

class TautPath(TypedDict):
    length: float
    bend: float
    points: Floats

def columns() -> dict[str, list[Column]]: ...
def band_columns() -> dict[str, list[Column]]: ...
def make_game(
    *,
    name: str,
    plays: Sequence[str],
    players: Sequence[str],
    tracks: dict[str, Any],
    snaps: dict[str, Any],
    people: dict[str, Any],
    units: str,
    origin: str,
    y: str,
    ball: int,
    kept_snaps: Kept,
    kept_people: Kept,
    orientation: str,
) -> Game: ...
def measure(game: Game, rules: Rules, threads: int, progress: Callable[[int, int], object] | None) -> Measured: ...
def reps(
    game: Game, rules: Rules, threads: int, progress: Callable[[int, int], object] | None
) -> dict[str, Table]: ...
def bands(
    game: Game,
    rules: Rules,
    sigma: float,
    draws: int,
    seed: int,
    threads: int,
    progress: Callable[[int, int], object] | None,
) -> dict[str, Table]: ...
def rep_bands(
    game: Game,
    rules: Rules,
    sigma: float,
    draws: int,
    seed: int,
    threads: int,
    progress: Callable[[int, int], object] | None,
) -> dict[str, Table]: ...
def estimate_noise(game: Game) -> tuple[float, int]: ...
def draw_noise(time: Floats, play: str, player: str, sigma: float, seed: int, draw: int) -> Floats: ...
def pocket_at(game: Game, snap_row: int, frame: int, rules: Rules) -> PocketAt: ...
def cutoff_ratio(rusher: Floats, blocker: Floats, passer: Floats, /) -> Floats: ...
def corner_held(
    rusher: Floats, blocker: Floats, passer: Floats, side: npt.NDArray[np.int64], reach: float, /
) -> Floats: ...
def closest_approach(apart: Floats, velocity: Floats, /) -> tuple[Floats, Floats]: ...
def fit_velocity(time: Floats, place: Floats, /) -> Floats: ...
def way_round(
    rusher: Floats, blocker: Floats, passer: Floats, side: int, velocity: Floats, rules: Rules, /
) -> WayRound: ...
def taut_path(start: Floats, goal: Floats, centers: Floats, reach: Floats, /) -> TautPath: ...
def write_game(path: str, game: Game, digest: str) -> None: ...
def read_game(path: str) -> tuple[Game, str]: ...
def write_results(
    path: str,
    tables: Mapping[str, Mapping[str, Array]],
    rules: Rules,
    game_name: str,
    digest: str,
    library_version: str,
    plays: Sequence[str],
    players: Sequence[str],
    noise: tuple[float, int, int, str] | None,
    bands: Mapping[str, Mapping[str, Array]] | None,
) -> None: ...
def read_results(path: str) -> dict[str, Any]: ...
def write_reps(
    path: str,
    tables: Mapping[str, Mapping[str, Array]],
    rules: Rules,
    game_name: str,
    digest: str,
    library_version: str,
    plays: Sequence[str],
    players: Sequence[str],
    labels: Sequence[str],
    corrections: Mapping[str, Any],
    noise: tuple[float, int, int, str] | None,
    bands: Mapping[str, Mapping[str, Array]] | None,
) -> None: ...
def read_reps(path: str) -> dict[str, Any]: ...
def file_kind(path: str) -> Literal["game", "results", "reps"]: ...
