"""A field is declared once: how it is read, kept, exported and asked for all follow from that."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

import costlearn
from costlearn import tidy
from costlearn.book.export import export
from costlearn.book.rows import TABLES
from costlearn.book.store import Book
from costlearn.book.template import sheets
from costlearn.errors import Place
from costlearn.fields import Column, columns
from costlearn.firm import Firm
from costlearn.intake.reader import read_file
from costlearn.intake.targets import reads_as
from costlearn.records import Amounts, Batch, Entry, Span

KINDS = {
    **{"jobs": "jobs", "phases": "phases", "hours": "hours"},
    **{"costs": "receipts", "changes": "changes"},
}
"""The tables of an export, and the kind of table each is read from."""
SHEETS = {
    **{"jobs": "Jobs", "phases": "Phases", "hours": "Hours"},
    **{"costs": "Receipts", "changes": "Changes"},
}
BASE: Mapping[str, Mapping[str, tuple[str, str]]] = {
    "jobs": {
        **{"job": ("Job", "J-1 hall"), "kind": ("Kind", "bathroom")},
        **{"area_sqft": ("Floor area (sq ft)", "48")},
    },
    "phases": {
        **{"job": ("Job", "J-1 hall"), "phase": ("Phase", "Tile and grout")},
        **{"plan.cost": ("Planned cost", "2600.00")},
    },
    "hours": {
        **{"job": ("Job", "J-1 hall"), "day": ("Day", "2025-03-12")},
        **{"person": ("Person", "Ann"), "hours": ("Hours", "6.5")},
    },
    "costs": {
        **{"job": ("Job", "J-1 hall"), "day": ("Day", "2025-03-12"), "payee": ("Payee", "yard")},
        **{"kind": ("Kind", "Materials"), "net": ("Amount before tax", "612.40")},
    },
    "changes": {
        **{"job": ("Job", "J-1 hall"), "label": ("Change", "niche"), "cost": ("Cost", "480.00")},
        **{"price": ("Change order price", "750.00"), "state": ("State", "approved")},
    },
}
"""What a row must say besides, so that its table is known for what it is."""
WRITTEN = {
    **{"money": ("1234.50", 123_450), "date": ("2025-03-18", date(2025, 3, 18))},
    **{"time": ("7.5", 7.5), "number": ("3", 3.0), "percent": ("40%", 0.4)},
    **{
        "area": ("48 sq ft", 48.0),
        "grade": ("high", 2.0),
        "year": ("1962", 1962),
        "flag": ("yes", True),
    },
}
"""What is written in a cell that is read so, and what it means."""
WORDS = {
    **{"state": ("approved", "approved"), "kind": ("Disposal", "disposal")},
    **{"phase": ("Tile and grout", "tile"), "callback_of": ("Painting", "paint")},
    **{"currency": ("USD", "USD")},
}
OF_JOBS = {"kind": ("bathroom", "bathroom"), "state": ("running", "running")}
NOT_IN_A_CELL = {"scope", "rough", "on_statement"}
"""Fields that no cell alone fills: parts of the work, ranges, and who wrote a line."""


def declared() -> Iterator[tuple[str, Column]]:
    for kind, record in tidy.KINDS.items():
        for column in columns(record):
            if column.field not in NOT_IN_A_CELL:
                yield kind, column


def sample(kind: str, column: Column) -> tuple[str, Any]:
    """What a person writes of a field, and what its record then holds."""
    words = WORDS | (OF_JOBS if kind == "jobs" else {})
    if column.unit.reads == "text":
        return words.get(column.field, ("some words", "some words"))
    return WRITTEN[column.unit.reads]


def spelled(kind: str, column: Column) -> str:
    """How the first spelling of a field heads its column."""
    known = tomllib.loads(files("costlearn.intake").joinpath("headings.toml").read_text("utf-8"))
    if column.amount:
        return f"{known['sides'][column.field][0]} {known['measures'][column.amount][0]}"
    name = column.shown.called or column.field
    return str({**known["any"], **known[KINDS[kind]]}[name][0])


def held(entry: Entry, column: Column) -> Any:
    value = getattr(entry, column.field)
    return getattr(value, column.amount) if column.amount else value


def read_one(folder: Path, kind: str, column: Column, heading: str) -> list[Entry]:
    text, _ = sample(kind, column)
    path = folder / "records.csv"
    row = dict(said for field, said in BASE[kind].items() if field != column.path)
    row[heading] = text
    path.write_text(",".join(row) + "\n" + ",".join(row.values()) + "\n")
    return list(read_file(path, Firm()).entries)


@pytest.mark.parametrize("kind", tidy.KINDS)
def test_each_field_is_read_under_its_headings(kind: str, tmp_path: Path) -> None:
    lost = []
    for column in (c for k, c in declared() if k == kind):
        _, wanted = sample(kind, column)
        for heading in {spelled(kind, column), column.shown.sheet} - {""}:
            name = "Floor area (sq ft)" if heading == "Floor area" else heading
            entries = read_one(tmp_path, kind, column, name)
            if [held(e, column) for e in entries if type(e) is tidy.KINDS[kind]] != [wanted]:
                lost.append((column.path, heading, entries))
    assert not lost


def test_how_a_cell_is_read_follows_from_the_unit() -> None:
    for kind, column in declared():
        name = column.path if column.amount else column.shown.called or column.field
        assert reads_as(KINDS[kind], name) == column.unit.reads, (kind, name)


def whole(kind: str, *, blank: bool) -> Entry:
    """An entry with every field filled, or with those alone that it cannot be without."""
    values: dict[str, Any] = {}
    sides: dict[str, dict[str, Any]] = {}
    for column in columns(tidy.KINDS[kind]):
        if blank and not column.needed:
            continue
        _, value = sample(kind, column)
        if column.style == "scope":
            value = {"niche": 1.0, "bench": None, "curbless": 0.0}
        elif column.style == "spans":
            value = {"actual.cost": Span(100.0, 200.0)}
        if column.amount:
            sides.setdefault(column.field, {})[column.amount] = value
        else:
            values[column.field] = value
    values |= {side: Amounts(**amounts) for side, amounts in sides.items()}
    if blank and kind == "hours":
        values["day"] = None
    if blank and kind == "costs":
        values["job"] = None
    return tidy.KINDS[kind](**values, place=Place("first.xlsx", "sheet 1", 7))


@pytest.mark.parametrize("blank", [False, True])
def test_each_field_comes_back_from_book_and_export(blank: bool, tmp_path: Path) -> None:
    entries = [whole(kind, blank=blank) for kind in tidy.KINDS]
    with Book.in_memory() as book:
        book.add(Batch("first.xlsx", "digest", tuple(entries), ()))
        kept = list(book.entries())
    assert kept == entries
    export(kept, Firm(), tmp_path / "out")
    found = [
        entry
        for kind in tidy.KINDS
        for entry in read_file(tmp_path / "out" / f"tidy_{kind}.csv", Firm()).entries
    ]
    assert found == entries
    for entry in entries:
        for column in columns(type(entry)):
            usual = [column.default, None, {}]
            assert blank or held(entry, column) not in usual or column.style == "flag"


def test_each_field_has_a_column_in_the_book_and_those_that_say_so_one_to_fill_in() -> None:
    made = {sheet.name: [f.heading for f in sheet.fields] for sheet in sheets(Firm())}
    tables = {table.holds: table.columns for table in TABLES}
    for kind, column in declared():
        assert column.path.replace(".", "_") in tables[tidy.KINDS[kind]]
        if column.shown.sheet:
            heads = [heading.partition(" (")[0] for heading in made[SHEETS[kind]]]
            assert column.shown.sheet in heads


NEW = {
    "records.py": (
        '    percent_complete: Annotated[Share | None, Shown("share complete")] = None\n'
        '    books_closed: BooksClosed | None = None\n    notes: Notes = ""\n'
        "    rough: Mapping[str, Span] = field(default_factory=dict)\n",
        '    inspected: Annotated[date | None, Shown("day of the inspection", sheet="Inspected", '
        "example=date(2025, 3, 17))] = None\n",
    ),
    "intake/headings.toml": ("[phases]\n", 'inspected = ["inspected", "inspection date"]\n'),
    "book/schema.py": (
        '"""Step n turns a book of version n - 1 into one of version n."""\n',
        "STEPS += ((f\"ALTER TABLE phase_entry ADD COLUMN {_day('inspected')}\",),)\n",
    ),
}
"""All that a new column of the phase sheet is: two files and one numbered change."""

ROUND = """
import json, sys
from pathlib import Path
import costlearn
from costlearn.book.export import export
from costlearn.book.store import Book
from costlearn.book.template import sheets

book, table, out = map(Path, sys.argv[1:])
firm = costlearn.Firm()
with Book.open(book) as kept:
    before = [str(e.inspected) for e in kept.entries()]
    kept.add(costlearn.read_file(table, firm), table)
    entries = list(kept.entries())
export(entries, firm, out)
again = costlearn.read_file(out / "tidy_phases.csv", firm).entries
print(json.dumps({
    "house": costlearn.__file__,
    "before": before,
    "read": str(entries[-1].inspected),
    "same": list(again) == entries,
    "asked for": [f.heading for s in sheets(firm) if s.name == "Phases" for f in s.fields],
}))
"""


def test_a_new_column_of_the_phase_sheet_is_two_files_and_a_numbered_change(
    tmp_path: Path,
) -> None:
    house = tmp_path / "new" / "costlearn"
    shutil.copytree(
        Path(costlearn.__file__).parent, house, ignore=shutil.ignore_patterns("__pycache__")
    )
    for name, (after, more) in NEW.items():
        text = (house / name).read_text("utf-8")
        assert text.count(after) == 1
        (house / name).write_text(text.replace(after, after + more), "utf-8")
    book = tmp_path / "old.book"
    entry = whole("phases", blank=True)
    with Book.open(book, create=True) as kept:
        kept.add(Batch("old.csv", "digest", (replace(entry, place=Place("old.csv", "", 2)),), ()))
    table = tmp_path / "phases.csv"
    table.write_text(
        "Job,Phase,Planned cost,Actual cost,Inspected\nJ-1 hall,tile,2600,2700,2025-03-17\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", ROUND, str(book), str(table), str(tmp_path / "out")],
        env={**os.environ, "PYTHONPATH": str(house.parent)},
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert Path(said["house"]) == house / "__init__.py"
    assert said["before"] == ["None"]
    assert said["read"] == "2025-03-17"
    assert said["same"]
    assert "Inspected" in said["asked for"]
