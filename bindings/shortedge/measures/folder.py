"""Tables of codes in a folder of Parquet files, there and back."""

from __future__ import annotations

import json
import warnings
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import FileError, Rules
from ..base.files import in_place
from ..base.text import first_line, shown
from .noise import Noise

if TYPE_CHECKING:
    import pyarrow as pa

Coded = Mapping[str, Mapping[str, npt.NDArray[Any]]]  # title, column: names and words as codes

HDF5 = (".h5", ".hdf5")
ABOUT = ("game", "digest", "library_version", "definition", "rules", "noise")  # what each file of a folder says
OLDER = "made by an older definition: edges and blockers are of the protector nearest in each frame"


def holds(path: Path, titles: Iterable[str]) -> bool:
    """Whether a path is a folder of these tables."""
    return path.is_dir() and all((path / f"{title}.parquet").is_file() for title in titles)


def save_folder(tables: Mapping[str, pa.Table], about: Mapping[str, str], target: Path) -> None:
    """Writes a folder of these tables; what stood there is whole until the new one is."""
    from pyarrow import parquet

    there = {path.name for path in target.iterdir()} if target.is_dir() else {target.name} if target.exists() else set()
    ours = {f"{title}.parquet" for title in tables if not title.endswith("_bands")}
    bands = {f"{title}_bands.parquet" for title in _core.band_columns()}
    if there and not ours <= there <= ours | bands:
        raise FileError(f"{target}: stands there and is no results folder; it is left as it is")
    described = {**_core.columns(), **{f"{of}_bands": has for of, has in _core.band_columns().items()}}
    with in_place(target, folder=True) as made:
        for title, table in tables.items():
            units = {column["name"]: column["unit"] for column in described.get(title, ()) if column["unit"]}
            said = {**about, "units": json.dumps(units)}
            table = table.replace_schema_metadata({f"shortedge.{key}": value for key, value in said.items()})
            parquet.write_table(table, made / f"{title}.parquet", compression="zstd")


def read_bands(
    path: Path, titles: Iterable[str], coded: Coded, about: Mapping[str, str], file: str = "{}.parquet"
) -> tuple[Noise | None, Coded | None]:
    """The bands of a folder's tables, and their noise; None of a folder without."""
    if not about["noise"]:
        return None, None
    tables, said = read_tables(path, [f"{title}_bands" for title in titles], file)
    if said != about:
        raise FileError(f"{path}: bands that were not written together with its tables")
    bands: dict[str, dict[str, npt.NDArray[Any]]] = {}
    for title in titles:
        name, rows = f"{title}_bands", len(coded[title]["play"])
        if tables[name].num_rows != rows:
            raise FileError(f"{path / name}.parquet: {tables[name].num_rows} rows, where {title} has {rows}")
        bands[name] = {
            column["name"]: recoded(tables[name], column, {}, path / f"{name}.parquet")
            for column in _core.band_columns()[title]
            if column["name"] not in coded[title]
        }
    return Noise(**json.loads(about["noise"])), bands


def read_tables(
    path: Path, titles: Iterable[str], file: str = "{}.parquet"
) -> tuple[dict[str, pa.Table], dict[str, str]]:
    """The tables of a folder, and what they were made with. file: where in it the table {} stands."""
    import pyarrow as pa
    from pyarrow import parquet

    tables: dict[str, pa.Table] = {}
    about: dict[str, str] = {}
    for title in titles:
        at = path / file.format(title)
        try:
            with parquet.ParquetFile(at) as stored:
                tables[title], metadata = stored.read(), stored.metadata.metadata or {}
        except (pa.ArrowInvalid, OSError) as why:
            raise FileError(f"{at}: {first_line(why)}") from why
        said = {key.decode(): value.decode() for key, value in metadata.items() if key != b"ARROW:schema"}
        this = {key: said.get(f"shortedge.{key}", "") for key in ABOUT}
        about = about or this
        if this != about or not this["digest"]:
            raise FileError(f"{at}: was not written by shortedge together with the others in its folder")
    return tables, about


def made_with(about: Mapping[str, str]) -> tuple[Rules, str, str, str]:
    """Rules, game's name, digest and library version, as Results takes them."""
    return Rules(**json.loads(about["rules"])), about["game"], about["digest"], about["library_version"]


def edition(about: Mapping[str, str]) -> dict[str, Any]:
    """The edition of the definitions, and what is to be said of it, as Results takes them. Folders that do not tell it
    are of the one before it was told."""
    stated = about["definition"] or str(_core.DEFINITION - 1)
    if not stated.isascii() or not stated.isdigit() or len(stated) > 4:
        raise FileError(f"its definition is {shown(stated)}; accepted: a number")
    made_by = int(stated)
    newer = f"made by a newer definition ({made_by}; this library has {_core.DEFINITION})"
    notes = () if made_by == _core.DEFINITION else (OLDER,) if made_by < _core.DEFINITION else (newer,)
    return {"definition": made_by, "notes": notes}


def told(made: Any, path: Path) -> None:
    """Warns of each thing that is to be said of results read from a file."""
    for note in made.notes:
        warnings.warn(f"{path}: {note}", stacklevel=4)


def coded_tables(path: Path, tables: Mapping[str, pa.Table]) -> tuple[Coded, dict[str, list[str]]]:
    """Tables of a folder as the compiled side would give them, and what the codes of names stand for."""
    names: dict[str, dict[str, int]] = {"plays": {}, "players": {}, "labels": {}}
    coded = {
        title: {
            column["name"]: recoded(table, column, names, path / f"{title}.parquet")
            for column in _core.columns()[title]
        }
        for title, table in tables.items()
    }
    return coded, {what: list(known) for what, known in names.items()}


def recoded(table: pa.Table, column: _core.Column, names: dict[str, dict[str, int]], file: Path) -> npt.NDArray[Any]:
    """A column of a Parquet file as the compiled side would give it."""
    import pyarrow as pa

    name, kind = column["name"], column["kind"]
    wanted = {"number": pa.float64(), "count": pa.int32(), "flag": pa.bool_()}.get(kind, pa.string())
    if name not in table.column_names and column["since"] > 1 and kind in ("number", "word"):  # written before it was
        return np.full(table.num_rows, np.nan) if kind == "number" else np.full(table.num_rows, -1, np.int8)
    if name not in table.column_names or table.schema.field(name).type != wanted:
        raise FileError(f"{file}: column {name} is missing or not of type {wanted}")
    values = table[name].combine_chunks()
    if kind not in ("name", "word"):
        return np.asarray(values.to_numpy(zero_copy_only=False))
    encoded = values.dictionary_encode()
    known = names.get(column["names"], {word: code for code, word in enumerate(column["words"])})
    found = encoded.dictionary.to_pylist()
    if kind == "name":
        for text in found:
            known.setdefault(text, len(known))
    if not set(found) <= set(known):
        raise FileError(f"{file}: column {name} holds {shown(next(iter(set(found) - set(known))))}")
    code_of = np.array([*(known[text] for text in found), -1], np.int32 if kind == "name" else np.int8)
    codes: npt.NDArray[Any] = code_of[encoded.indices.fill_null(-1).to_numpy()]
    return codes
