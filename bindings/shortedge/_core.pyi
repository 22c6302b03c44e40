"""The compiled side of shortedge."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal, TypedDict, final

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[Any]
Floats = npt.NDArray[np.float64]
Table = dict[str, Array]
MotionNumbers = tuple[float, float, float, float]  # jerk, start_jerk (yd^2/s^5), start (yd/s^2), tail
Kept = list[tuple[str, Any]]  # name and values: float64, int64, or a list of texts with "" for none

METRES_PER_YARD: float
FIELD_LENGTH: float
FIELD_WIDTH: float
SHOWN_EXPOSURE: float  # exposure from which a short edge is shown
TOLD_SHORT: float  # yd, from which an edge is told as short
DEFINITION: int  # the edition of the definitions that figures are made by
__version__: str

class InputError(ValueError): ...
class FileError(OSError): ...

class Column(TypedDict):
    """An output column: its kind, what its names index, its unit, when it is missing, what it says, since which schema
    version files have it, its words."""

    name: str
    kind: Literal["name", "number", "count", "flag", "word"]
    names: Literal["plays", "players", "labels", ""]  # labels: those of the game's snaps, row by row
    unit: str
    missing: str
    says: str
    since: int
    words: tuple[str, ...]

class CarriedFigure(TypedDict):
    """A figure whose bands are made by a table: its bounds, whether it is made of speeds, above and below which sigma
    it has none, and by sigma the two shares of the draws' width; no shares: it keeps the band of the draws
    (core/measure/carried.hpp)."""

    table: str
    column: str
    least: float
    greatest: float
    of_speed: bool
    most_sigma: float
    least_sigma: float
    ends: list[tuple[float, float, float]]

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

class Assumptions:
    """What the simulator assumes of the men. Any of them by name; the rest keep their defaults.

    Raises InputError for an unknown name or a value outside its bounds.
    """

    def __init__(
        self,
        *,
        rusher_reaction: float = ...,
        protector_reaction: float = ...,
        reaction_spread: float = ...,
        end_speed: float = ...,
        inside_speed: float = ...,
        run_speed: float = ...,
        speed_spread: float = ...,
        tau: float = ...,
        tau_spread: float = ...,
        a_lat: float = ...,
        a_brake: float = ...,
        response: float = ...,
        spread_across: float = ...,
        spread_along: float = ...,
        kick_speed: float = ...,
        kick_spread: float = ...,
        kick_back: float = ...,
        set_per_yard: float = ...,
        set_less: float = ...,
        set_least: float = ...,
        set_most: float = ...,
        set_guard: float = ...,
        set_centre: float = ...,
        opens_at: float = ...,
        turn_seconds: float = ...,
        settle: float = ...,
        close_in: float = ...,
        keep_off: float = ...,
        reach: float = ...,
        reach_open: float = ...,
        body: float = ...,
        end_outside: float = ...,
        end_power: float = ...,
        inside_outside: float = ...,
        inside_power: float = ...,
        later_end_outside: float = ...,
        later_end_inside: float = ...,
        later_inside_outside: float = ...,
        later_inside_inside: float = ...,
        move_at: float = ...,
        move_seconds: float = ...,
        move_spread: float = ...,
        hands_won: float = ...,
        hands_inside: float = ...,
        hands_room: float = ...,
        hands_first: float = ...,
        won_seconds: float = ...,
        won_grip: float = ...,
        won_kick: float = ...,
        looks_ahead: float = ...,
        guessed_depth: float = ...,
        grip: float = ...,
        grip_spread: float = ...,
        grip_open: float = ...,
        push: float = ...,
        push_power: float = ...,
        anchors: float = ...,
        push_open: float = ...,
        push_shared: float = ...,
        strength_spread: float = ...,
        ride_speeding: float = ...,
        chip_hit: float = ...,
        chip_hold: float = ...,
        chip_spread: float = ...,
        protector_room: float = ...,
        rusher_room: float = ...,
        passer_room: float = ...,
        arm: float = ...,
        bow: float = ...,
        drop_pace: float = ...,
        drop_under: float = ...,
        drop_gun: float = ...,
        hitch: float = ...,
        hitch_seconds: float = ...,
        fake_held: float = ...,
        early_throws: float = ...,
        early_from: float = ...,
        early_within: float = ...,
        early_clear: float = ...,
        early_lasts: float = ...,
        early_takes: float = ...,
        early_spread: float = ...,
        steps_first: float = ...,
        step_before: float = ...,
        step_speed: float = ...,
        step_most: float = ...,
        step_clear: float = ...,
        slide_most: float = ...,
        zone_sees: float = ...,
        man_sees: float = ...,
        man_changes: float = ...,
        crossed_by: float = ...,
        takes_within: float = ...,
        helps_within: float = ...,
    ) -> None: ...
    @property
    def rusher_reaction(self) -> float: ...
    @property
    def protector_reaction(self) -> float: ...
    @property
    def reaction_spread(self) -> float: ...
    @property
    def end_speed(self) -> float: ...
    @property
    def inside_speed(self) -> float: ...
    @property
    def run_speed(self) -> float: ...
    @property
    def speed_spread(self) -> float: ...
    @property
    def tau(self) -> float: ...
    @property
    def tau_spread(self) -> float: ...
    @property
    def a_lat(self) -> float: ...
    @property
    def a_brake(self) -> float: ...
    @property
    def response(self) -> float: ...
    @property
    def spread_across(self) -> float: ...
    @property
    def spread_along(self) -> float: ...
    @property
    def kick_speed(self) -> float: ...
    @property
    def kick_spread(self) -> float: ...
    @property
    def kick_back(self) -> float: ...
    @property
    def set_per_yard(self) -> float: ...
    @property
    def set_less(self) -> float: ...
    @property
    def set_least(self) -> float: ...
    @property
    def set_most(self) -> float: ...
    @property
    def set_guard(self) -> float: ...
    @property
    def set_centre(self) -> float: ...
    @property
    def opens_at(self) -> float: ...
    @property
    def turn_seconds(self) -> float: ...
    @property
    def settle(self) -> float: ...
    @property
    def close_in(self) -> float: ...
    @property
    def keep_off(self) -> float: ...
    @property
    def reach(self) -> float: ...
    @property
    def reach_open(self) -> float: ...
    @property
    def body(self) -> float: ...
    @property
    def end_outside(self) -> float: ...
    @property
    def end_power(self) -> float: ...
    @property
    def inside_outside(self) -> float: ...
    @property
    def inside_power(self) -> float: ...
    @property
    def later_end_outside(self) -> float: ...
    @property
    def later_end_inside(self) -> float: ...
    @property
    def later_inside_outside(self) -> float: ...
    @property
    def later_inside_inside(self) -> float: ...
    @property
    def move_at(self) -> float: ...
    @property
    def move_seconds(self) -> float: ...
    @property
    def move_spread(self) -> float: ...
    @property
    def hands_won(self) -> float: ...
    @property
    def hands_inside(self) -> float: ...
    @property
    def hands_room(self) -> float: ...
    @property
    def hands_first(self) -> float: ...
    @property
    def won_seconds(self) -> float: ...
    @property
    def won_grip(self) -> float: ...
    @property
    def won_kick(self) -> float: ...
    @property
    def looks_ahead(self) -> float: ...
    @property
    def guessed_depth(self) -> float: ...
    @property
    def grip(self) -> float: ...
    @property
    def grip_spread(self) -> float: ...
    @property
    def grip_open(self) -> float: ...
    @property
    def push(self) -> float: ...
    @property
    def push_power(self) -> float: ...
    @property
    def anchors(self) -> float: ...
    @property
    def push_open(self) -> float: ...
    @property
    def push_shared(self) -> float: ...
    @property
    def strength_spread(self) -> float: ...
    @property
    def ride_speeding(self) -> float: ...
    @property
    def chip_hit(self) -> float: ...
    @property
    def chip_hold(self) -> float: ...
    @property
    def chip_spread(self) -> float: ...
    @property
    def protector_room(self) -> float: ...
    @property
    def rusher_room(self) -> float: ...
    @property
    def passer_room(self) -> float: ...
    @property
    def arm(self) -> float: ...
    @property
    def bow(self) -> float: ...
    @property
    def drop_pace(self) -> float: ...
    @property
    def drop_under(self) -> float: ...
    @property
    def drop_gun(self) -> float: ...
    @property
    def hitch(self) -> float: ...
    @property
    def hitch_seconds(self) -> float: ...
    @property
    def fake_held(self) -> float: ...
    @property
    def early_throws(self) -> float: ...
    @property
    def early_from(self) -> float: ...
    @property
    def early_within(self) -> float: ...
    @property
    def early_clear(self) -> float: ...
    @property
    def early_lasts(self) -> float: ...
    @property
    def early_takes(self) -> float: ...
    @property
    def early_spread(self) -> float: ...
    @property
    def steps_first(self) -> float: ...
    @property
    def step_before(self) -> float: ...
    @property
    def step_speed(self) -> float: ...
    @property
    def step_most(self) -> float: ...
    @property
    def step_clear(self) -> float: ...
    @property
    def slide_most(self) -> float: ...
    @property
    def zone_sees(self) -> float: ...
    @property
    def man_sees(self) -> float: ...
    @property
    def man_changes(self) -> float: ...
    @property
    def crossed_by(self) -> float: ...
    @property
    def takes_within(self) -> float: ...
    @property
    def helps_within(self) -> float: ...
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
    counts_to: npt.NDArray[np.int64]
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
    def remarks(self) -> list[tuple[int, str, bool]]: ...
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
    def add_problems(self, problems: Sequence[tuple[int, str]]) -> None: ...
    def add_clicked(
        self,
        play: int,
        player: int,
        time: Floats,
        place: Floats,
        covariance: Floats,
        rest: float | None,
        motion: MotionNumbers,
    ) -> None: ...

@final
class SolvedView:
    """One view's cameras: what they share, and each frame's own.

    view: x, y, z (yd), k1, crown (yd); poses (frames, 4): pan, tilt (radians), log of f (pixels), roll (radians);
    covariances (frames, 9, 9): of view, then pose. marks: pixels off (n, 2), deletion sizes, whether each is wrong.
    """

    @property
    def solved(self) -> bool: ...
    @property
    def view(self) -> Floats: ...
    @property
    def view_covariance(self) -> Floats: ...
    @property
    def scale(self) -> float: ...
    @property
    def rms(self) -> float: ...
    @property
    def rms_of_all(self) -> float: ...
    @property
    def frame_solved(self) -> npt.NDArray[np.bool_]: ...
    @property
    def frame_marks(self) -> npt.NDArray[np.int64]: ...
    @property
    def frame_rms(self) -> Floats: ...
    @property
    def poses(self) -> Floats: ...
    @property
    def covariances(self) -> Floats: ...
    @property
    def marks(self) -> tuple[Floats, Floats, npt.NDArray[np.bool_]]: ...
    def solve_frame(
        self, frame: int, pixel: Floats, place: Floats, error: Floats
    ) -> tuple[Floats, Floats, npt.NDArray[np.bool_]]: ...
    def pose_unrest(self, play: npt.NDArray[np.int32], time: Floats) -> Floats: ...
    def add_between(
        self,
        a: int,
        b: int,
        after: float,
        before: float,
        unrest: Floats,
        pixel: Floats,
        place: Floats,
        error: Floats,
    ) -> int: ...
    def other_field(
        self, field: str, frame: npt.NDArray[np.int32], pixel: Floats, place: Floats, error: Floats
    ) -> tuple[str, bool, float, float] | None: ...
    def sight(
        self,
        frame: npt.NDArray[np.int32],
        pixel: Floats,
        pixel_error: Floats,
        height: Floats,
        height_error: Floats,
        posture: float,
    ) -> tuple[Floats, Floats, Floats, Floats]: ...
    def seen_at(self, frame: int, place: Floats, height: float) -> Floats: ...

@final
class Journal:
    """The acts of a trace file; texts are codes into texts."""

    def __init__(self) -> None: ...
    def read(self, text: bytes) -> int: ...
    @property
    def lines(self) -> int: ...
    @property
    def header(self) -> bytes: ...
    @property
    def texts(self) -> list[str]: ...
    @property
    def next_undone(self) -> int: ...
    @property
    def next_redone(self) -> int: ...
    def can_strike(self, act: int) -> bool: ...
    def columns(self, word: str) -> Table: ...

class Measured(TypedDict):
    frames: Table
    edges: Table
    rushers: Table

class DropStudied(TypedDict):
    """speed: the passer's own drop speed, yd/s; shallowest: what it can be shortened to, yd. NaN: he never drops."""

    speed: float
    shallowest: float
    drops: Table

class PicturedFrame(TypedDict):
    """Empty arrays unless the frame is ok. Men by their place in the play. ring: (n, 2) in the play frame; corners: who
    stands at each, -1 and -2 the left and right rear one; wall and detached: left to right."""

    wall: npt.NDArray[np.int32]
    ring: Floats
    corners: npt.NDArray[np.int32]
    detached: npt.NDArray[np.int32]

class Picture(TypedDict):
    """What pictures show of a play beside its tables. frames: one a measured frame. The rest: a row a rusher and frame.
    rusher, man: places in the play; man: who has him, there or not, -1 when he is free. side: of that man (of a free
    rusher his own), -1, 0, 1. outside_way, inside_way: ten numbers a row: where it begins, the ends of its arc, the
    arc's centre (u, v each), its radius, the radians turned (below 0 clockwise); radius 0: straight; NaN: none."""

    frames: list[PicturedFrame]
    frame: npt.NDArray[np.int32]
    rusher: npt.NDArray[np.int32]
    man: npt.NDArray[np.int32]
    side: npt.NDArray[np.int32]
    past: npt.NDArray[np.uint8]
    outside: npt.NDArray[np.uint8]
    outside_way: Floats
    inside_way: Floats

class WayRound(TypedDict):
    length: float
    bend: float
    time: float
    points: Floats

class TautPath(TypedDict):
    length: float
    bend: float
    points: Floats

class Formation:
    """A formation as the compiled side holds it: protectors as (place, slot, job, man, kick_speed, run_speed, tau,
    order), man an index of rushers or -1; rushers as (place, inside, path, top_speed, tau, plan, wait). NaN: the
    assumption's."""

    def __init__(
        self,
        takes: str,
        passer: tuple[float, float],
        protectors: list[tuple[tuple[float, float], str, str, int, float, float, float, str]],
        rushers: list[tuple[tuple[float, float], bool, list[tuple[float, float]], float, float, str, float]],
        roll: float,
        fake: float,
        slide: int,
    ) -> None: ...
    @property
    def sides(self) -> list[int]:
        """Of each protector: -1 left, 0 the centre, 1 right."""

class BoardInput(TypedDict):
    """One frame as a board is given it: its tables men and frame, a row of numbers each; columns: board_columns."""

    men: Floats
    frame: Floats

class Board:
    """A board as the page has it: tables by their place in board_columns, rows of numbers."""

    def __init__(self) -> None: ...
    def fill(self, table: int, rows: npt.NDArray[np.float64]) -> None: ...
    def measure(self) -> None: ...
    def sweep(self) -> None: ...
    def simulate(self) -> bool: ...
    def output(self, table: int) -> Floats: ...

def board_columns() -> str:
    """JSON: the tables of a board, in and out, and their columns."""

def board_stills(game: Game, snap_row: int, rules: Rules, frames: list[int]) -> list[BoardInput]: ...
def board_formation(formation: Formation, depth: float, rules: Rules) -> BoardInput: ...

class Counted(TypedDict):
    """Draws with each outcome before the throw, and 10, 50, 90 % quantiles."""

    arrived: int
    pressure: int
    hurried: int
    hips: int
    hips_early: int
    hips_time: list[float]
    arrival_time: list[float]
    cutoff: list[float]
    exposure: list[float]

class SimulatedDepth(TypedDict):
    depth: float
    top_time: float
    draws: int
    arrived: int
    pressure: int
    hurried: int
    hips: int
    hips_early: int
    hips_time: list[float]
    arrival_time: list[float]
    cutoff: list[float]
    exposure: list[float]
    protectors: list[Counted]

class SimulatedRep(TypedDict):
    """place, velocity: (frames, men, 2): passer, protectors, rushers; the rest by protector or by rusher."""

    throw_time: float
    top_time: float
    end: float
    time: Floats
    place: Floats
    velocity: Floats
    engaged: Floats
    hips: Floats
    peak_cutoff: Floats
    peak_cutoff_time: Floats
    peak_exposure: Floats
    arrival: Floats
    pressure: Floats
    hurried: Floats

class SplitFit(TypedDict):
    """Each figure with the ends of its 95 % interval; standard errors; measured less fitted times."""

    top_speed: tuple[float, float, float]
    tau: tuple[float, float, float]
    top_speed_error: float
    tau_error: float
    residuals: Floats

def columns() -> dict[str, list[Column]]: ...
def vocabulary() -> dict[str, tuple[str, ...]]: ...
def band_columns() -> dict[str, list[Column]]: ...
def on_grid(numbers: Floats) -> npt.NDArray[np.int64]:
    """What a digest takes of numbers: millionths, what is not finite apart."""

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
def reps(game: Game, rules: Rules, threads: int, progress: Callable[[int, int], object] | None) -> dict[str, Table]: ...
def measure_with_reps(
    game: Game, rules: Rules, threads: int, progress: Callable[[int, int], object] | None
) -> tuple[Measured, dict[str, Table]]: ...
def bands(
    game: Game,
    rules: Rules,
    sigma: float | None,
    draws: int,
    seed: int,
    threads: int,
    progress: Callable[[int, int], object] | None,
    carried: bool = True,
) -> dict[str, Table]: ...
def rep_bands(
    game: Game,
    rules: Rules,
    sigma: float | None,
    draws: int,
    seed: int,
    threads: int,
    progress: Callable[[int, int], object] | None,
    carried: bool = True,
) -> dict[str, Table]: ...
def carried_figures() -> list[CarriedFigure]: ...
def estimate_noise(game: Game) -> tuple[float, int]: ...
def field_marks(field: str) -> tuple[list[str], Floats, Floats]: ...
def solve_view(
    picture: tuple[float, float],
    angle: str,
    pixel_error: float,
    frame: npt.NDArray[np.int32],
    pixel: Floats,
    place: Floats,
    error: Floats,
) -> SolvedView: ...
def project(picture: tuple[float, float], view: Floats, pose: Floats, place: Floats) -> Floats: ...
def project_ground(
    picture: tuple[float, float], view: Floats, pose: Floats, place: Floats, height: float
) -> Floats: ...
def project_slopes(
    picture: tuple[float, float], view: Floats, pose: Floats, place: Floats
) -> tuple[Floats, Floats]: ...
def ground_at(picture: tuple[float, float], view: Floats, pose: Floats, pixel: Floats) -> Floats: ...
def fuse(a: Floats, a_covariance: Floats, b: Floats, b_covariance: Floats) -> tuple[Floats, Floats]: ...
def crc32(bytes: bytes) -> int: ...
def smooth(
    time: Floats, place: Floats, covariance: Floats, rest: float | None, wanted: Floats, motion: MotionNumbers
) -> dict[str, Any]: ...
def smooth_draws(
    time: Floats,
    place: Floats,
    covariance: Floats,
    rest: float | None,
    wanted: Floats,
    motion: MotionNumbers,
    draws: int,
    seed: int,
) -> Floats: ...
def strange_clicks(
    time: Floats, place: Floats, covariance: Floats, rest: float | None, over: float, motion: MotionNumbers
) -> npt.NDArray[np.bool_]: ...
def fit_offset(men: list[Any], error: float, motion: MotionNumbers) -> tuple[float, float]: ...
def draw_noise(time: Floats, play: str, player: str, sigma: float, seed: int, draw: int) -> Floats: ...
def fit_speeds(
    game: Game, rules: Rules, threads: int, progress: Callable[[int, int], object] | None
) -> dict[str, Table]: ...
def fit_splits(distance: Floats, time: Floats, /) -> SplitFit: ...
def run_of(game: Game, snap_row: int, player: int, rules: Rules) -> tuple[Floats, Floats] | None: ...
def picture(game: Game, snap_row: int, rules: Rules) -> Picture: ...
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
def break_even_depth(rusher: Floats, blocker: Floats, passer: Floats, speed_ratio: Floats, /) -> Floats: ...

USUAL_HOLD: float

def drop_study(game: Game, snap_row: int, rules: Rules, depths: Sequence[float] | None) -> DropStudied: ...
def planned_top(
    takes: str, passer: tuple[float, float], roll: float, fake: float, depth: float, assumptions: Assumptions
) -> float: ...
def simulate_depth(
    formation: Formation,
    assumptions: Assumptions,
    throws: tuple[bool, list[float]],
    depth: float,
    seed: int,
    draws: int,
    step: float,
    threads: int,
    progress: Callable[[int, int], object] | None,
) -> SimulatedDepth | None: ...
def simulate_pair(
    first: tuple[Formation, Assumptions, tuple[bool, list[float]], float],
    second: tuple[Formation, Assumptions, tuple[bool, list[float]], float],
    seed: int,
    draws: int,
    step: float,
    threads: int,
    progress: Callable[[int, int], object] | None,
) -> npt.NDArray[np.int64] | None: ...
def simulate_rep(
    formation: Formation,
    assumptions: Assumptions,
    throws: tuple[bool, list[float]],
    depth: float,
    seed: int,
    number: int | None,
    after: float,
    every: float,
    step: float,
) -> SimulatedRep: ...

SUMMARY_END: float

def summary_names() -> list[str]: ...
def recorded_summary(
    plays: Sequence[tuple[Formation, float, float, float, Floats, Sequence[tuple[int, int, bool, int]], Floats]],
    places: Sequence[Floats],
) -> Floats: ...
def simulated_summaries(
    plays: Sequence[tuple[Formation, float, float, float, Floats, Sequence[tuple[int, int, bool, int]], Floats]],
    sets: Sequence[Assumptions],
    sigma: float,
    seed: int,
    threads: int,
    progress: Callable[[int, int], object] | None,
) -> Floats | None: ...
def write_game(path: str, game: Game, digest: str) -> None: ...
def read_game(path: str) -> tuple[Game, str, bool]: ...
def check_game(path: str) -> None: ...
def game_rows(path: str) -> tuple[str, list[str], Array]:
    """The game's name, its plays by code, and where each begins in the rows of tracks (one more entry)."""

def read_game_part(
    path: str, plays: tuple[int, int], rows: tuple[int, int], without: Sequence[int]
) -> tuple[Game, str]:
    """Some plays of a game file, first and last but one, as game_rows has them; and the digest of the whole."""

def write_results(
    path: str,
    tables: Mapping[str, Mapping[str, Array]],
    rules: Rules,
    game_name: str,
    digest: str,
    library_version: str,
    definition: int,
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
    definition: int,
    plays: Sequence[str],
    players: Sequence[str],
    labels: Sequence[str],
    corrections: Mapping[str, Any],
    brought: Kept,
    noise: tuple[float, int, int, str] | None,
    bands: Mapping[str, Mapping[str, Array]] | None,
) -> None: ...
def read_reps(path: str) -> dict[str, Any]: ...
def file_kind(path: str) -> Literal["game", "results", "reps"]: ...
