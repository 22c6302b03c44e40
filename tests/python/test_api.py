"""One way to name and order things, over everything the facade gives."""

import dataclasses
import inspect
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import polars as pl
import pyarrow as pa
import pytest

import shortedge as se

KEYWORD, EITHER = inspect.Parameter.KEYWORD_ONLY, inspect.Parameter.POSITIONAL_OR_KEYWORD

DEMO = Path(__file__).parents[2] / "data" / "demo_game"

# What a call works on, in this order; then `out`, where it writes something; all else by keyword.
WORKED_ON = {
    "board": ("of",),
    "break_even_depth": ("rusher", "blocker", "passer", "speed_ratio"),
    "break_even_study": (),
    "check_simulator": ("game",),
    "compare": ("reps", "player"),
    "corner_held": ("rusher", "blocker", "passer", "side"),
    "cut": ("rows", "game"),
    "cutoff_ratio": ("rusher", "blocker", "passer"),
    "drop_study": ("game", "play"),
    "example": (),
    "fit_simulator": ("game",),
    "fit_speeds": ("game",),
    "fit_sprint": ("distance", "time"),
    "field_marks": ("field",),
    "formation": (),
    "formation_of": ("game", "play"),
    "from_tables": ("tracks", "snaps", "people"),
    "from_trace": ("path",),
    "measure": ("game",),
    "measure_many": ("paths",),
    "measure_table": ("tracks", "snaps", "people", "title"),
    "paired": ("f", "against"),
    "player_page": ("games", "player"),
    "read": ("path",),
    "report": ("game",),
    "reps": ("game", "m"),
    "set_output": ("library",),
    "simulate": ("f",),
    "table_schema": ("title",),
    "taut_path": ("start", "goal", "centers", "reach"),
    "way_round": ("rusher", "blocker", "passer", "side", "velocity"),
}
WRITE = {"board", "cut", "measure_many", "player_page", "report", "simulate"}


def functions() -> dict[str, Callable[..., Any]]:
    named = {name: getattr(se, name) for name in se.__all__}
    return {name: one for name, one in named.items() if inspect.isfunction(one)}


def classes() -> dict[str, type]:
    return {name: one for name in se.__all__ if inspect.isclass(one := getattr(se, name))}


def positional(function: Callable[..., Any]) -> tuple[str, ...]:
    return tuple(name for name, one in inspect.signature(function).parameters.items() if one.kind is EITHER)


def test_every_function_is_known() -> None:
    assert set(functions()) == set(WORKED_ON)


@pytest.mark.parametrize("name", sorted(WORKED_ON))
def test_settings_go_by_keyword_and_out_comes_after_what_is_worked_on(name: str) -> None:
    out = ("out",) if name in WRITE else ()
    assert positional(functions()[name]) == WORKED_ON[name] + out
    assert "out" in inspect.signature(functions()[name]).parameters or not out


def methods() -> Iterator[tuple[str, Callable[..., Any]]]:
    for name, one in classes().items():
        for method, function in vars(one).items():
            if inspect.isfunction(function) and not method.startswith("_"):
                yield f"{name}.{method}", function


# Of a method these are what it works on or where it writes; all with a default go by keyword, but for one alone.
ALONE = {
    "Board.to_html",
    "BreakEven.board",
    "Measures.heat",
    "Measures.words",
    "Reps.summary",
    "Simulation.draw",
    "SimulatorFit.study",
    "Speeds.of",
    "Trace.mark",
}


@pytest.mark.parametrize(("name", "method"), [pytest.param(*one, id=one[0]) for one in methods()])
def test_a_method_takes_its_settings_by_keyword(name: str, method: Callable[..., Any]) -> None:
    parameters = inspect.signature(method).parameters
    chosen = [key for key in positional(method) if parameters[key].default is not inspect.Parameter.empty]
    assert len(chosen) == (1 if name in ALONE else 0), chosen


def test_one_name_is_one_kind_of_thing() -> None:
    """A property of one class is no method of another."""
    kinds: dict[str, dict[bool, set[str]]] = defaultdict(lambda: defaultdict(set))
    for name, one in classes().items():
        fields = {field.name for field in dataclasses.fields(one)} if dataclasses.is_dataclass(one) else set()
        for key in {*dir(one), *fields}:
            if (
                one.__module__.startswith("shortedge")
                and not key.startswith("_")
                and not hasattr(KeyboardInterrupt, key)
            ):
                kinds[key][callable(getattr(one, key, None))].add(name)
    assert not {key: dict(found) for key, found in kinds.items() if len(found) > 1}


@pytest.mark.parametrize(
    ("library", "kind"), [("pandas", pd.DataFrame), ("polars", pl.DataFrame), ("pyarrow", pa.Table)]
)
def test_every_table_comes_out_in_the_library_that_is_set(library: Any, kind: type) -> None:
    tables = [pd.read_csv(DEMO / name) for name in ("tracks.csv.gz", "snaps.csv", "people.csv")]
    where: dict[str, Any] = {"units": "yd", "origin": "corner", "y": "up"}
    game = se.from_tables(*tables, **where)
    m = se.measure(game, noise=0.05, draws=2)
    made = se.reps(game, m)
    try:
        se.set_output(library)
        given = [
            *(game.plays, game.people, game.problems),
            *(m.frames, m.edges, m.rushers, m.bands.frames, m.bands.edges, m.bands.rushers, m.words()),
            *(made.table, made.as_measured, made.dropbacks, made.corrections, made.bands.table, made.summary()),
            se.measure_table(*tables, "edges", **where),
            se.break_even_study().table,
            se.drop_study(game, "P024").table,
            se.fit_speeds(game, progress=False).table,
        ]
    finally:
        se.set_output(None)
    assert {type(table) for table in given} == {kind}
    assert isinstance(se.measure_table(*map(pa.Table.from_pandas, tables), "edges", **where), pa.Table)


def test_a_summary_is_by_protector_unless_said() -> None:
    made = se.reps(se.example())
    pd.testing.assert_frame_equal(made.summary(), made.summary("protector"))


def test_bands_are_one_kind_of_thing() -> None:
    m = se.measure(se.example(), noise=0.05, draws=2)
    made = se.reps(m.game, m)
    assert isinstance(m.bands, se.Bands)
    assert isinstance(made.bands, se.Bands)
    assert len(made.bands.table) == len(made.as_measured)
    for without in (se.measure(m.game), se.reps(m.game)):
        with pytest.raises(se.InputError, match="measured without noise"):
            without.bands  # noqa: B018
