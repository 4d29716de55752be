"""Logs of something else altogether: exercise, rides, medication; they have no job and no cost."""

from __future__ import annotations

import re
from collections.abc import Collection

from costlearn.errors import InputProblem, Place
from costlearn.intake.files.sheets import Grid
from costlearn.intake.findings import Notes
from costlearn.intake.looks import SAMPLE
from costlearn.intake.row import key_of
from costlearn.intake.tables import Table, cell_text
from costlearn.intake.targets import fold_heading
from costlearn.intake.values.cells import Raw, is_missing

_STRONG = frozenset(
    ("reps", "rep", "sets", "repetitions", "kg", "kgs", "calories", "kcal", "cal", "exercise",
     "exercises", "workout", "workouts", "bpm", "heart", "pace", "laps", "cadence", "elevation",
     "dose", "dosage", "mg", "medication", "medicine", "pill", "pills", "sleep", "mood", "steps",
     "swim", "run", "bike", "ride", "training", "bodyweight", "rpe", "repeats", "exercice")
)  # fmt: skip
"""Words of headings that no log of jobs has (common practice, no source)."""
_WEAK = frozenset(("km", "kms", "miles", "mi", "distance", "weight", "lbs", "route", "temperature"))
"""Words that a log of jobs may have, but not in the place of its jobs."""
_MEASURED = re.compile(r"\d+(?:[.,]\d+)? ?(?:kg|km|mg|ml|kcal|cal|bpm|reps?|sets?)|\d+ ?x ?\d+ ?kg")
_KINDS = frozenset(("hours", "phases"))
_FEWEST_STRONG = 2
_HALF = 2


Tables = list[tuple[Grid, Table | None]]


def of_jobs(tables: Tables, known_jobs: Collection[str], notes: Notes) -> Tables:
    """The tables of a file without logs of something else, each of which is said.

    Raises:
        InputProblem: the file holds nothing but such logs.
    """
    others = {
        id(table): speaks_of
        for _, table in tables
        if table and (speaks_of := of_something_else(table, known_jobs))
    }
    kept: Tables = [(grid, table) for grid, table in tables if id(table) not in others]
    for grid, table in tables:
        speaks_of = others.get(id(table), "")
        if not speaks_of:
            continue
        place = Place(grid.file, grid.sheet)
        if not any(table for _, table in kept):
            raise InputProblem(
                f"a log of {speaks_of} is of no job and has no cost",
                place=place,
                expected="records of jobs: hours with their job, bills, phases, prices",
                hint="if it is of jobs, name each row's job in a column headed Job",
            )
        text = f"this log of {speaks_of} is of no job and has no cost; it is not read"
        notes.add("set aside", place, text)
    return kept


def of_something_else(table: Table, known_jobs: Collection[str]) -> str:
    """What a table of hours or phases speaks of that is no job, in words; "" if it may be of jobs.

    Two words no log of jobs has are needed where a column names jobs, and none of those on file.
    """
    if table.kind not in _KINDS:
        return ""
    heads = [cell_text(raw) for raw in table.grid.rows[table.body - 1] if cell_text(raw)]
    words = [(head, set(fold_heading(head).split())) for head in heads]
    strong = [head for head, said in words if said & _STRONG]
    measured = [
        cell_text(table.grid.rows[table.body - 1][at])
        for at in range(len(table.grid.rows[0]))
        if _measured(table, at)
    ]
    strong += [head for head in measured if head and head not in strong]
    column = table.column("job")
    if column is None:
        strong += [head for head, said in words if said & _WEAK and head not in strong]
        return ", ".join(strong)
    keys = {key_of(name) for name in known_jobs}
    rows = table.grid.rows[table.body :]
    if any(key_of(cell_text(row[column.indexes[0]])) in keys for row in rows):
        return ""
    return ", ".join(strong) if len(strong) >= _FEWEST_STRONG else ""


def _measured(table: Table, at: int) -> bool:
    """Whether most cells of a column are weights, distances or doses."""
    said: list[Raw] = [
        row[at]
        for row in table.grid.rows[table.body : table.body + SAMPLE]
        if not is_missing(row[at])
    ]
    found = [raw for raw in said if isinstance(raw, str) and _MEASURED.fullmatch(raw.lower())]
    return bool(found) and _HALF * len(found) > len(said)
