"""Measured pieces of a job: read before the models, so that limits may follow from them."""

from __future__ import annotations

from array import array
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePath
from typing import cast

from jigs.errors import Place, ReadingError, ReadingErrors, nearest
from jigs.fields import LengthReader
from jigs.reading.measured import LONGEST_ID, Read, Wanted, read_csv
from jigs.reading.nodes import Tree
from jigs.reading.source import Source
from jigs.shop.piece import LIMITED, SINGLE, Batch
from jigs.units import Limits, Units, ValueRefused, parse_limits

AT_LEAST_ZERO = LengthReader(at_least=0.0)


@dataclass(frozen=True)
class Batches:
    """What was measured: batches by the name of their piece, the files, the bad lines told."""

    of: Mapping[str, Batch] = field(default_factory=dict)
    files: tuple[Path, ...] = ()
    bad: tuple[str, ...] = ()


def with_batches(
    source: Source, units: Units, folder: Path, *, skip_bad: bool = False,
    instead: Mapping[str, Path] | None = None,
) -> tuple[Source, Batches]:  # fmt: skip
    """Read what the pieces of a job were measured as, and put the limits into the job's data.

    Parameters: folder = of the job file; skip_bad = go on with the good lines;
    instead = piece -> CSV file in the place of what the job names; the piece may be left empty
    where there can be only one. What is malformed in the job itself is left for its models to say.
    Raises ReadingError or ReadingErrors.
    """
    data: dict[str, Tree] = dict(source.data)
    pieces = data.get("pieces")
    if not isinstance(pieces, dict):
        return source, Batches()
    found: dict[str, Batch] = {}
    files: list[Path] = []
    told: list[str] = []
    data["pieces"] = {**pieces}
    other = {_measured_by(source, pieces, n): path for n, path in (instead or {}).items()}
    for name, piece in pieces.items():
        here = other.get(name)
        if not isinstance(piece, dict) or (piece.get("measured") is None and here is None):
            continue
        read = _read(source, name, piece, units, folder, files, here)
        if read is None:
            continue
        if read.errors and not skip_bad:
            raise _all_of(read)
        told += [str(error) for error in _listed(read)]
        if not len(read.batch):
            raise _none_left(source, name, read)
        found[name] = read.batch
        cast("dict[str, Tree]", data["pieces"])[name] = _filled(piece, read.batch)
    return replace(source, data=data), Batches(found, tuple(files), tuple(told))


def _read(
    source: Source, name: str, piece: dict[str, Tree], units: Units, folder: Path,
    files: list[Path], instead: Path | None,
) -> Read | None:  # fmt: skip
    """The batch of one piece; None where the models will say what is wrong."""
    shape, measured = piece.get("shape"), piece.get("measured")
    if shape not in LIMITED:
        return None
    limited, single = LIMITED[str(shape)], SINGLE[str(shape)]
    if isinstance(measured, list) and instead is None:
        return _listed_here(source, name, piece, units)
    columns: Mapping[str, str] = {}
    if isinstance(measured, dict):
        own = measured.get("columns", {})
        if not isinstance(own, dict) or not all(isinstance(v, str) for v in own.values()):
            return None
        columns, measured = cast("dict[str, str]", own), measured.get("file")
        _need_words(source, name, columns, ("id", *limited, *single))
    if instead is None and not isinstance(measured, str):
        return None
    path = instead or folder / str(measured)
    wanted = Wanted(limited, single, _said(piece, limited, single, units), columns, units)
    try:
        read = read_csv(path, wanted)
    except ReadingError as error:
        if error.place.line or instead is not None:
            raise
        raise ReadingError(
            source.place(("pieces", name, "measured")),
            f"the measured pieces cannot be read: {error.problem}", str(measured),
            f"the path of a CSV file, as seen from {folder}/",
        ) from error  # fmt: skip
    files.append(path)
    return read


def _measured_by(source: Source, pieces: Mapping[str, Tree], named: str) -> str:
    """The piece that a CSV file named beside the job is for."""
    if named in pieces:
        return named
    if named:
        raise ReadingError(
            source.place(("pieces",)), f"there is no piece '{named}'{nearest(named, list(pieces))}",
            named, f"one of {', '.join(pieces)}",
        )  # fmt: skip
    likely = [n for n, p in pieces.items() if isinstance(p, dict) and p.get("measured") is not None]
    likely = likely or list(pieces)
    if len(likely) != 1:
        raise ReadingError(
            source.place(("pieces",)), "the measured pieces could be of several of these",
            ", ".join(likely), "the name of the piece before the file: --csv PIECE=FILE",
        )  # fmt: skip
    return likely[0]


def _need_words(
    source: Source, name: str, columns: Mapping[str, str], words: tuple[str, ...]
) -> None:
    for word in columns:
        if word not in words:
            raise ReadingError(
                source.place(("pieces", name, "measured", "columns", word), of_key=True),
                f"a column cannot stand for '{word}'", word, f"one of {', '.join(words)}",
            )  # fmt: skip


def _said(
    piece: dict[str, Tree], limited: tuple[str, ...], single: tuple[str, ...], units: Units
) -> dict[str, Limits]:
    """What the job itself says of the sizes; malformed values are left for the models."""
    said = {}
    for word in (*limited, *single):
        if word not in piece and word in limited:
            continue
        try:
            said[word] = parse_limits(cast("str", piece.get(word, 0)), units)
        except ValueRefused:
            continue
    return said


def _listed_here(source: Source, name: str, piece: dict[str, Tree], units: Units) -> Read | None:
    """Pieces that the job lists itself. Values that cannot be read are left for the models."""
    rows = [row for row in cast("list[Tree]", piece["measured"]) if isinstance(row, dict)]
    limited, single = LIMITED[str(piece["shape"])], SINGLE[str(piece["shape"])]
    said = _said(piece, limited, single, units)
    words = [w for w in (*limited, *single) if any(w in row for row in rows)]
    sizes = {word: array("d") for word in words}
    empty: dict[str, list[int]] = {word: [] for word in words}
    ids: dict[str, int] = {}
    for i, row in enumerate(rows):
        at = ("pieces", name, "measured", i)
        given = str(row.get("id", f"({i + 1})")).strip()
        if given in ids or not 0 < len(given) <= LONGEST_ID:
            raise ReadingError(
                source.place((*at, "id")), f"the id '{given[:LONGEST_ID]}' cannot be used",
                source.found((*at, "id")), "an id of its own for each piece, not empty",
            )  # fmt: skip
        ids[given] = source.place(at).line
        for word in words:
            value = row.get(word)
            if value is None and word not in said:
                raise ReadingError(
                    source.place(at), f"piece {given} has no {word}, and the job gives none",
                    source.found(at), f"{word}: ... here, or {word} of the piece",
                )  # fmt: skip
            if value is None:
                empty[word].append(i)
                sizes[word].append(said[word].nominal)
                continue
            try:
                sizes[word].append(AT_LEAST_ZERO.read(value, units))
            except ValueRefused:
                return None
    batch = Batch(
        PurePath(source.file).name, tuple(ids), tuple(ids.values()), sizes,
        {word: tuple(places) for word, places in empty.items() if places},
        {word: limits for word, limits in said.items() if word in sizes},
    )  # fmt: skip
    return Read(batch)


def _filled(piece: dict[str, Tree], batch: Batch) -> dict[str, Tree]:
    """The piece with limits from the batch in the place of what the job says."""
    filled = dict(piece)
    for word in batch.sizes:
        limits = batch.limits(word)
        single = word in SINGLE[str(piece["shape"])]
        # The models read Limits as they are, and a text with its unit whatever the job's is.
        filled[word] = cast("Tree", f"{limits.most!r} mm" if single else limits)
    filled.setdefault("count", len(batch))
    return filled


def _listed(read: Read) -> list[ReadingError]:
    """The errors of the lines, and one that counts the rest."""
    errors = list(read.errors)
    if read.more:
        last = errors[-1].place
        errors.append(
            ReadingError(Place(last.file), f"and {read.more:,} more lines that cannot be read",
                         "", "the same remedies, or `jigs batch --skip-bad`")
        )  # fmt: skip
    return errors


def _all_of(read: Read) -> ReadingError | ReadingErrors:
    errors = _listed(read)
    return errors[0] if len(errors) == 1 else ReadingErrors(errors)


def _none_left(source: Source, name: str, read: Read) -> ReadingError | ReadingErrors:
    if read.errors:
        return _all_of(read)
    return ReadingError(
        source.place(("pieces", name, "measured")), "no piece is listed",
        source.found(("pieces", name, "measured")), "a line for each piece below the header",
    )  # fmt: skip
