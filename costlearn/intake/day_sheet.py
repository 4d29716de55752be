"""Exports of the day sheet: their records, known by id, and several exports put together.

The day sheet (``costlearn daysheet``) writes one table with a row a record. Each record has an id
that never changes and a version that grows with every correction. A record taken out stays in the
export, marked as removed; one that is merely missing from an export says nothing, so a page may
be cleared of what was handed over. All exports are one file of the book, called :data:`NAME`.
"""

from __future__ import annotations

import csv
import hashlib
import io
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from costlearn import tidy
from costlearn.errors import InputProblem, Place
from costlearn.intake.files.sheets import Grid, read_grids
from costlearn.intake.tables import cell_text
from costlearn.intake.targets import fold_heading
from costlearn.intake.values.cells import Raw

NAME = "day sheets (all exports).csv"
"""What the exports of day sheets, put together, are called in the book."""

HEADINGS = (
    *("record", "day", "job", "person", "phase", "hours", "waiting", "waiting for", "note"),
    *("paid to", "cost kind", "amount before tax", "tax", "amount with tax"),
    *("extra", "price", "answer"),
    *("record id", "version", "removed", "line"),
)
"""The headings of an export."""

_MARKS = ("record", "day", "job", "record id", "version", "removed")
"""The headings by which an export is recognised."""
_TEXT_COLUMNS = frozenset(
    ("job", "person", "phase", "waiting for", "note", "paid to", "extra", "line", "record id")
)
LAST_VERSION = 10**6
"""A record is corrected a few times; a higher version is a slip, and counts as none."""
_YES = frozenset(("yes", "y", "x", "true", "1", "1.0"))


@dataclass(frozen=True, slots=True)
class Record:
    """One record of a day sheet as its export has it: texts by heading, guarded as written."""

    key: str
    version: int
    removed: bool
    cells: Mapping[str, str]
    place: Place

    def said(self, heading: str) -> str:
        """What stands under a heading, "" if nothing does; a guarded text as it was typed."""
        text = self.cells.get(heading, "")
        return tidy.unguard(text) if heading in _TEXT_COLUMNS else text


@dataclass(frozen=True, slots=True)
class Gathered:
    """Several exports as one table (``data``, ready to be kept), and what the last one brought."""

    file: str
    data: bytes
    records: int
    new: int = 0
    corrected: int = 0
    removed: int = 0
    known: int = 0
    older: int = 0
    missing: int = 0

    @property
    def sentence(self) -> str:
        """What an export brought, in one sentence."""
        said = [
            f"{number:,} {words}"
            for number, words in (
                (self.new, "new"),
                (self.corrected, "corrected"),
                (self.removed, "taken out"),
                (self.known, "on file already"),
                (self.older, "older than what is on file, which stays"),
            )
            if number
        ]
        many = "" if self.records == 1 else "s"
        text = f"{self.file}: {self.records:,} record{many} of a day sheet"
        text += ": " + ", ".join(said) if said else ""
        if self.missing:
            be = "are" if self.missing > 1 else "is"
            text += f"; {self.missing:,} more from other exports {be} kept"
        return text + "."


def is_day_sheet(grid: Grid) -> bool:
    """Whether a sheet is an export of the day sheet, by its first row."""
    return bool(grid.rows) and set(_MARKS) <= set(_heads(grid))


def records_of(grid: Grid) -> tuple[Record, ...]:
    """The records of an export, each once: of several versions of one the newest.

    A row without an id, or a changed copy of another row, was added by hand: its id is made from
    what it says, so that the same row is the same record the next time too.
    """
    heads = _heads(grid)
    found: dict[str, Record] = {}
    by_hand: Counter[str] = Counter()
    for index, row in enumerate(grid.rows[1:], 1):
        cells = {h: text for h, raw in zip(heads, row, strict=False) if h and (text := _text(raw))}
        if not cells:
            continue
        place = _origin(cells, Place(grid.file, grid.sheet, grid.first_row + index))
        own = {h: text for h, text in cells.items() if h not in tidy.ORIGIN}
        record = _record(own, place)
        first = found.get(record.key)
        if first is not None and first.version != record.version:
            found[record.key] = max(first, record, key=lambda one: one.version)
            continue
        if not record.key or (first is not None and first.cells != record.cells):
            record = _named_by_content(record, by_hand)
        found.setdefault(record.key, record)
    return tuple(found.values())


def gather(path: Path, earlier: tuple[Record, ...] = ()) -> Gathered:
    """An export put together with what earlier ones brought.

    Of each record the higher version counts, wherever it stands; of two of one version the one of
    this export (somebody changed the file itself). Nothing is lost because an export lacks it.

    Args:
        path: the export.
        earlier: the records of the exports so far, by :func:`earlier_records`.

    Raises:
        UnreadableFile: the file cannot be read.
        InputProblem: it is no export of the day sheet.
    """
    grids = [grid for grid in read_grids(path) if is_day_sheet(grid)]
    if not grids:
        raise InputProblem("this is no export of a day sheet", place=Place(path.name))
    fresh = records_of(grids[0])
    kept = {record.key: record for record in earlier}
    counts: Counter[str] = Counter()
    for record in fresh:
        before = kept.get(record.key)
        what = _what(before, record)
        counts[what] += 1
        if what not in ("known", "older"):
            kept[record.key] = record
    missing = len({r.key for r in earlier if not r.removed} - {r.key for r in fresh})
    return Gathered(path.name, _table(kept.values()), len(fresh), missing=missing, **counts)


def earlier_records(data: bytes, folder: Path) -> tuple[Record, ...]:
    """The records of a table that :func:`gather` made.

    Args:
        data: the table as it was kept.
        folder: where it may be laid down to be read.

    Raises:
        UnreadableFile: it cannot be read.
    """
    path = folder / NAME
    path.write_bytes(data)
    return records_of(read_grids(path)[0])


def _what(before: Record | None, record: Record) -> str:
    """What a record of an export is to the book."""
    if before is None:
        return "removed" if record.removed else "new"
    if record.version < before.version:
        return "older"
    if record.cells == before.cells:
        return "known"
    return "removed" if record.removed and not before.removed else "corrected"


def _heads(grid: Grid) -> tuple[str, ...]:
    """The headings of a sheet, spelled as ours are."""
    return tuple(fold_heading(cell_text(raw)) for raw in grid.rows[0])


def _text(raw: Raw) -> str:
    """A cell as text; a spreadsheet program may have made a date or a number of it."""
    if isinstance(raw, datetime):
        raw = raw.date()
    if isinstance(raw, date):
        return raw.isoformat()
    return cell_text(raw) if not isinstance(raw, str) else raw.strip(" ")


def _record(cells: Mapping[str, str], place: Place) -> Record:
    try:
        version = int(float(cells.get("version", "")))
    except (ValueError, OverflowError):
        version = 1
    if not 1 <= version <= LAST_VERSION:
        version = 1
    removed = cells.get("removed", "").casefold() in _YES
    return Record(tidy.unguard(cells.get("record id", "")), version, removed, cells, place)


def _named_by_content(record: Record, by_hand: Counter[str]) -> Record:
    """A row added by hand, with an id made from what it says and how often it stands there."""
    own = sorted((h, t) for h, t in record.cells.items() if h not in ("record id", "version"))
    by_hand[repr(own)] += 1
    mark = hashlib.sha256(repr((own, by_hand[repr(own)])).encode()).hexdigest()[:14]
    key = f"by hand {mark}"
    return replace(record, key=key, cells={**record.cells, "record id": key})


def _origin(cells: Mapping[str, str], place: Place) -> Place:
    """Where a record stood first: a kept table says it, in an export it is the row itself."""
    file, sheet, row, column = (cells.get(heading, "") for heading in tidy.ORIGIN)
    if not file:
        return place
    number = int(row) if row.isdecimal() and len(row) < len(str(tidy.LAST_ROW)) else 0
    return Place(tidy.unguard(file), tidy.unguard(sheet), number, tidy.unguard(column))


def _table(records: Iterable[Record]) -> bytes:
    """Records as a table that says where each one came from, the oldest day first."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow((*HEADINGS, *tidy.ORIGIN))
    for record in sorted(records, key=lambda one: (one.said("day"), one.key)):
        at = record.place
        origin: Sequence[str] = (
            tidy.guard(at.file), tidy.guard(at.sheet), str(at.row), tidy.guard(at.column)
        )  # fmt: skip
        writer.writerow([*(record.cells.get(h, "") for h in HEADINGS), *origin])
    return b"\xef\xbb\xbf" + out.getvalue().encode()
