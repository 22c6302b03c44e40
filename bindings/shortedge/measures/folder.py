"""Tables of codes in a folder of Parquet files, there and back."""

from __future__ import annotations

import hashlib
import json
import os
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
STORED = {"number": np.float64, "count": np.int32, "flag": np.uint8, "name": np.int32, "word": np.int8}
DIGESTS = "digests.json"  # in a folder: the SHA-256 of each of its files
TRIES = 20  # to read a folder while others replace it
ABOUT = ("game", "digest", "library_version", "definition", "rules", "noise")  # what each file of a folder says
NEWER = {f"{title}.parquet" for title in ("exchanges", "searches", "looks", "brought")}  # since schema version 4
OLDER = "made by an older definition: edges and blockers are of the protector nearest in each frame"


def holds(path: Path, titles: Iterable[str]) -> bool:
    """Whether a path is a folder of these tables."""
    return path.is_dir() and all((path / f"{title}.parquet").is_file() for title in titles)


def save_folder(tables: Mapping[str, pa.Table], about: Mapping[str, str], target: Path, inputs: Iterable[Path]) -> None:
    """Writes a folder of these tables; what stood there is whole until the new one is."""
    there = {path.name for path in target.iterdir()} if target.is_dir() else {target.name} if target.exists() else set()
    ours = {f"{title}.parquet" for title in tables if not title.endswith("_bands")}
    bands = {f"{title}_bands.parquet" for title in _core.band_columns()}
    first = {name for name in ours if name not in NEWER}  # an older folder of ours may lack the newer ones
    if there and not first <= there <= ours | bands | {DIGESTS}:
        raise FileError(f"{target}: stands there and is no results folder; it is left as it is")
    described = {**_core.columns(), **{f"{of}_bands": has for of, has in _core.band_columns().items()}}
    digests: dict[str, str] = {}
    with in_place(target, inputs=inputs, folder=True) as made:
        for title, table in tables.items():
            units = {column["name"]: column["unit"] for column in described.get(title, ()) if column["unit"]}
            name = f"{title}.parquet"
            said = {**about, "units": json.dumps(units), "digests": DIGESTS}
            digests[name] = write_parquet(table, made / name, said, compression="zstd")
        (made / DIGESTS).write_text(json.dumps(digests, indent=1) + "\n", encoding="utf-8")


def write_parquet(table: pa.Table, path: Path, about: Mapping[str, str], **how: Any) -> str:
    """Writes a file whose pages carry checksums, and what is said of it; its SHA-256."""
    import pyarrow as pa
    from pyarrow import parquet

    said = {f"shortedge.{key}": value for key, value in about.items()}
    table = table.replace_schema_metadata(said if how.get("store_schema", True) else None)
    page = pa.BufferOutputStream()
    with parquet.ParquetWriter(page, table.schema, write_page_checksum=True, **how) as writer:
        writer.write_table(table)
        if table.schema.metadata is None:
            writer.add_key_value_metadata(said)
    data = page.getvalue()
    path.write_bytes(data)
    return hashlib.sha256(data).hexdigest()


def read_bands(
    path: Path,
    titles: Iterable[str],
    coded: Coded,
    about: Mapping[str, str],
    file: str = "{}.parquet",
    digests: Mapping[str, str] | None = None,
) -> tuple[Noise | None, Coded | None]:
    """The bands of a folder's tables, and their noise; None of a folder without."""
    if not about["noise"]:
        return None, None
    tables, said = read_tables(path, [f"{title}_bands" for title in titles], file, digests)
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
    return of_json(Noise, about["noise"], path), bands


def read_tables(
    path: Path, titles: Iterable[str], file: str = "{}.parquet", digests: Mapping[str, str] | None = None
) -> tuple[dict[str, pa.Table], dict[str, str]]:
    """The tables of a folder, and what they were made with. file: where in it the table {} stands. digests: the SHA-256
    of each file; None: as the folder says. FileError for a file that is not as it was written."""
    from concurrent.futures import ThreadPoolExecutor

    tables: dict[str, pa.Table] = {}
    about: dict[str, str] = {}
    names = {title: file.format(title) for title in titles}
    data = files_of(path, [*names.values(), *([DIGESTS] if digests is None else [])])
    if digests is None:
        digests = digests_of(data.pop(DIGESTS, b""), path / DIGESTS)
    with ThreadPoolExecutor(1) as pool:
        found = {name: pool.submit(hashlib.sha256, content) for name, content in data.items()}
        for title, name in names.items():
            at = path / name
            tables[title], said = read_parquet(data[name], at)
            this = {key: said.get(key, "") for key in ABOUT}
            about = about or this
            if this != about or not this["digest"]:
                raise FileError(f"{at}: was not written by shortedge together with the others in its folder")
            if said.get("digests") and name not in digests:
                raise FileError(f"{at}: {DIGESTS}, which says what is in it, is missing or does not tell")
        for name, digest in found.items():
            if name in digests and digests[name] != digest.result().hexdigest():
                raise FileError(f"{path / name}: is not as it was written: another SHA-256 than is told of it")
    return tables, about


def read_parquet(data: bytes, at: Path) -> tuple[pa.Table, dict[str, str]]:
    """A file's table, the checksums of its pages verified, and what is said of it. FileError for a damaged one."""
    import pyarrow as pa
    from pyarrow import parquet

    try:
        with parquet.ParquetFile(pa.BufferReader(data), page_checksum_verification=True) as stored:
            table, metadata = stored.read(), stored.metadata.metadata or {}
        said = {key.decode(): value.decode() for key, value in metadata.items() if key.startswith(b"shortedge.")}
        table.validate(full=True)
    except (pa.ArrowException, OSError, ValueError) as why:
        raise FileError(f"{at}: is damaged, or no Parquet file: {first_line(why)}") from why
    return table, {key.removeprefix("shortedge."): value for key, value in said.items()}


def files_of(folder: Path, names: Iterable[str]) -> dict[str, bytes]:
    """What is in the files of one folder, though another may take its place meanwhile: never some of each. A missing
    digests.json is left out."""
    for _ in range(TRIES):
        try:
            found = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        except OSError as why:
            raise FileError(f"{folder}: {why.strerror}") from why
        data: dict[str, bytes] = {}
        try:
            for name in names:
                try:
                    with open(os.open(name, os.O_RDONLY | os.O_NONBLOCK, dir_fd=found), "rb") as file:
                        data[name] = file.read()
                except FileNotFoundError:
                    if name != DIGESTS:
                        raise
            if os.path.samestat(os.fstat(found), os.stat(folder)):
                return data
        except FileNotFoundError as why:
            if os.path.samestat(os.fstat(found), os.stat(folder)):
                raise FileError(f"{folder / str(why.filename)}: no such file") from why
        except OSError as why:
            raise FileError(f"{folder}: {why.strerror}") from why
        finally:
            os.close(found)
    raise FileError(f"{folder}: is replaced faster than it can be read")


def digests_of(text: bytes | str, at: Path) -> dict[str, str]:
    """The SHA-256 of each file, as it was told; none of a folder that does not tell them."""
    try:
        told = dict(json.loads(text)) if text else {}
    except (ValueError, TypeError, RecursionError) as why:
        raise FileError(f"{at}: is damaged: {first_line(why)}") from why
    return {str(name): str(digest) for name, digest in told.items()}


def of_json(kind: Any, text: str, at: Path) -> Any:
    """Rules or noise as a file tells them."""
    try:
        return kind(**json.loads(text))
    except (ValueError, TypeError, RecursionError) as why:
        raise FileError(f"{at}: found {shown(text)}; accepted: the {kind.__name__.lower()} it was made with") from why


def made_with(about: Mapping[str, str], at: Path) -> tuple[Rules, str, str, str]:
    """Rules, game's name, digest and library version, as Results takes them."""
    return of_json(Rules, about["rules"], at), about["game"], about["digest"], about["library_version"]


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


def coded_tables(
    path: Path, tables: Mapping[str, pa.Table], titles: Iterable[str] = ()
) -> tuple[Coded, dict[str, list[str]]]:
    """Tables of a folder as the compiled side would give them, and what the codes of names stand for. titles: which
    there are, when an older folder may lack some: those have no rows."""
    names: dict[str, dict[str, int]] = {"plays": {}, "players": {}, "labels": {}}
    coded = {
        title: {
            column["name"]: recoded(table, column, names, path / f"{title}.parquet")
            for column in _core.columns()[title]
        }
        for title, table in tables.items()
    }
    for title in titles:
        if title not in coded:
            coded[title] = {column["name"]: np.empty(0, STORED[column["kind"]]) for column in _core.columns()[title]}
    return coded, {what: list(known) for what, known in names.items()}


def recoded(table: pa.Table, column: _core.Column, names: dict[str, dict[str, int]], file: Path) -> npt.NDArray[Any]:
    """A column of a Parquet file as the compiled side would give it."""
    import pyarrow as pa

    name, kind = column["name"], column["kind"]
    wanted = {"number": pa.float64(), "count": pa.int32(), "flag": pa.bool_()}.get(kind, pa.string())
    if name not in table.column_names and column["since"] > 1:  # written before that column was
        missing = {"number": np.nan, "count": 0, "flag": False}.get(kind, -1)
        return np.full(table.num_rows, missing, STORED[kind])
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
